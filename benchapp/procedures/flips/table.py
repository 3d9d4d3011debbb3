"""The switch-flip run as one table: every state, everything seen in it, and what follows.

Rules
- A run starts in WAITING_FOR_PULSES and counts flips from its first moment; whatever the table does not name
  changes nothing.
- A flip opens a trial; the trial closes when its answer can no longer come and ten more pulses have ended, or
  just before the next flip, which is then seen after TRIAL_CLOSED.
- The last flip's trial is waited for; another flip in that time ends the run just before it.
- Bad signal pauses, and so does a hand; an answer that is due after the last flip is waited for.
- A pause ends only by carrying on, and then with steady pulses.
- From every state that is open, STOP, BROKE and GIVE_UP end the run and keep it.
"""

from enum import StrEnum

from benchapp.procedures.ground.moments import Seen


class State(StrEnum):
    """The states of a switch-flip run."""

    WAITING_FOR_PULSES = "waiting-for-pulses"
    AWAITING_FLIP = "awaiting-flip"
    AWAITING_ANSWER = "awaiting-answer"
    LAST_ANSWER = "last-answer"
    PAUSED = "paused"
    SWITCHING_ON = "switching-on"
    REGAINING = "regaining"
    ENDED = "ended"


OPEN = tuple(state for state in State if state is not State.ENDED)
PAUSES = frozenset({State.PAUSED, State.SWITCHING_ON, State.REGAINING})

NEXT: dict[tuple[State, Seen], State] = {
    (State.WAITING_FOR_PULSES, Seen.PULSES_STEADY): State.AWAITING_FLIP,
    (State.WAITING_FOR_PULSES, Seen.FLIP): State.WAITING_FOR_PULSES,
    (State.WAITING_FOR_PULSES, Seen.LAST_FLIP): State.LAST_ANSWER,
    (State.WAITING_FOR_PULSES, Seen.HAND_PAUSE): State.PAUSED,
    (State.WAITING_FOR_PULSES, Seen.SWITCH_ON): State.SWITCHING_ON,
    (State.WAITING_FOR_PULSES, Seen.TIME_OVER): State.ENDED,
    (State.AWAITING_FLIP, Seen.FLIP): State.AWAITING_ANSWER,
    (State.AWAITING_FLIP, Seen.LAST_FLIP): State.LAST_ANSWER,
    (State.AWAITING_FLIP, Seen.PULSES_LOST): State.PAUSED,
    (State.AWAITING_FLIP, Seen.HAND_PAUSE): State.PAUSED,
    (State.AWAITING_FLIP, Seen.SWITCH_ON): State.SWITCHING_ON,
    (State.AWAITING_FLIP, Seen.ENOUGH): State.ENDED,
    (State.AWAITING_FLIP, Seen.TIME_OVER): State.ENDED,
    (State.AWAITING_ANSWER, Seen.TRIAL_CLOSED): State.AWAITING_FLIP,
    (State.AWAITING_ANSWER, Seen.PULSES_LOST): State.PAUSED,
    (State.AWAITING_ANSWER, Seen.HAND_PAUSE): State.PAUSED,
    (State.AWAITING_ANSWER, Seen.SWITCH_ON): State.SWITCHING_ON,
    (State.AWAITING_ANSWER, Seen.TIME_OVER): State.LAST_ANSWER,
    (State.LAST_ANSWER, Seen.TRIAL_CLOSED): State.ENDED,
    (State.LAST_ANSWER, Seen.PULSES_LOST): State.ENDED,
    (State.PAUSED, Seen.CARRY_ON): State.REGAINING,
    (State.PAUSED, Seen.SWITCH_ON): State.SWITCHING_ON,
    (State.PAUSED, Seen.TIME_OVER): State.ENDED,
    (State.SWITCHING_ON, Seen.CARRY_ON): State.REGAINING,
    (State.SWITCHING_ON, Seen.TIME_OVER): State.ENDED,
    (State.REGAINING, Seen.PULSES_STEADY): State.AWAITING_FLIP,
    (State.REGAINING, Seen.HAND_PAUSE): State.PAUSED,
    (State.REGAINING, Seen.SWITCH_ON): State.SWITCHING_ON,
    (State.REGAINING, Seen.TIME_OVER): State.ENDED,
    **{(state, seen): State.ENDED for state in OPEN for seen in (Seen.STOP, Seen.BROKE, Seen.GIVE_UP)},
}
