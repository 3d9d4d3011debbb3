"""The switch-flip run as one table: every state, everything seen in it, and what follows.

Rules, beside those of every run (`ground.table`)
- A run counts flips from its first moment on, also before the pulses are steady.
- A flip opens a trial; the trial closes when its answer can no longer come and ten more pulses have ended, or
  just before the next flip, which is then seen after TRIAL_CLOSED.
- The last flip's trial is waited for; another flip in that time ends the run just before it, and so does bad signal.
- A time that is over while an answer is due makes that flip the last one.
- Another switch-on of the transmitter is a pause of its own, except while the last answer is waited for.
"""

from enum import StrEnum

from benchapp.procedures.ground.moments import Seen
from benchapp.procedures.ground.progress import Prompt
from benchapp.procedures.ground.table import State, table_of
from benchapp.records.events import SWITCH_ON


class FlipState(StrEnum):
    """The states in which a switch-flip run measures, and its own pause."""

    AWAITING_FLIP = "awaiting-flip"
    AWAITING_ANSWER = "awaiting-answer"
    LAST_ANSWER = "last-answer"
    SWITCHING_ON = "switching-on"


TABLE = table_of(
    {
        (State.WAITING_FOR_PULSES, Seen.FLIP): State.WAITING_FOR_PULSES,
        (State.WAITING_FOR_PULSES, Seen.LAST_FLIP): FlipState.LAST_ANSWER,
        (State.WAITING_FOR_PULSES, Seen.SWITCH_ON): FlipState.SWITCHING_ON,
        (FlipState.AWAITING_FLIP, Seen.FLIP): FlipState.AWAITING_ANSWER,
        (FlipState.AWAITING_FLIP, Seen.LAST_FLIP): FlipState.LAST_ANSWER,
        (FlipState.AWAITING_FLIP, Seen.SWITCH_ON): FlipState.SWITCHING_ON,
        (FlipState.AWAITING_FLIP, Seen.ENOUGH): State.ENDED,
        (FlipState.AWAITING_ANSWER, Seen.TRIAL_CLOSED): FlipState.AWAITING_FLIP,
        (FlipState.AWAITING_ANSWER, Seen.SWITCH_ON): FlipState.SWITCHING_ON,
        (FlipState.AWAITING_ANSWER, Seen.TIME_OVER): FlipState.LAST_ANSWER,
        (FlipState.LAST_ANSWER, Seen.TRIAL_CLOSED): State.ENDED,
        (FlipState.LAST_ANSWER, Seen.PULSES_LOST): State.ENDED,
        (State.PAUSED, Seen.SWITCH_ON): FlipState.SWITCHING_ON,
        (FlipState.SWITCHING_ON, Seen.CARRY_ON): State.REGAINING,
        (FlipState.SWITCHING_ON, Seen.TIME_OVER): State.ENDED,
        (State.REGAINING, Seen.SWITCH_ON): FlipState.SWITCHING_ON,
    },
    {
        FlipState.AWAITING_FLIP: Prompt.FLIP_NOW,
        FlipState.AWAITING_ANSWER: Prompt.WAIT_FOR_ANSWER,
        FlipState.LAST_ANSWER: Prompt.LAST_ANSWER,
        FlipState.SWITCHING_ON: Prompt.SWITCH_OFF_AND_ON,
    },
    ready=FlipState.AWAITING_FLIP,
    apart=(FlipState.LAST_ANSWER, FlipState.SWITCHING_ON),
    pauses={FlipState.SWITCHING_ON: SWITCH_ON},
)
