"""What the run page shows, whatever test runs."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from benchapp.presentation.ground.numbers import counted
from benchapp.procedures.ground.progress import Prompt, RunProgress, StopReason
from benchapp.records.run import Outcome

SHORT_PROMPTS: Mapping[Prompt, str] = {
    Prompt.WAIT_FOR_PULSES: "Wait",
    Prompt.FLIP_TO_START: "Flip to start",
    Prompt.FLIP_NOW: "Flip now",
    Prompt.WAIT_FOR_ANSWER: "Wait",
    Prompt.LAST_ANSWER: "Wait",
    Prompt.CARRY_ON: "Paused",
    Prompt.SWITCH_OFF_AND_ON: "Switch off, then on",
    Prompt.HANDS_OFF: "Hands off",
    Prompt.GO_TO_AN_END: "To one end",
    Prompt.REST: "Rest",
    Prompt.SWEEP: "Sweep slowly",
    Prompt.GO_ON: "Go on",
    Prompt.SET_STOP: "Set the stick",
    Prompt.KEEP_STILL: "Keep still",
    Prompt.WENT_PAST: "Went past",
    Prompt.TOUCH_NOTHING: "Hands off",
    Prompt.LET_GO: "Let go",
    Prompt.NEXT_POSITION: "Next position",
    Prompt.DONE: "Done",
}
"""One to four words for what to do now."""
_ENDS: Mapping[str, str] = {
    StopReason.PROBE_LOST: "The probe was lost",
    StopReason.PROBE_RESET: "The probe restarted",
    StopReason.COMPUTER_SLEPT: "The computer slept",
    StopReason.DISK_TROUBLE: "The disk failed",
}
_STOPPED = "Stopped early"


def asking_again(view: "RunView", lines: int) -> "RunView":
    """Return a paused run that may carry on only once so many lines of Make it safe are confirmed again."""
    if not lines or view.state is not RunState.PAUSED:
        return view
    left = f"Before you carry on, confirm Make it safe again: {counted(lines, 'line')} left."
    return replace(view, sentence=f"{view.sentence} {left}".strip(), safe="Go to Make it safe", by_itself=False)


def short_prompt(run: RunProgress) -> str:
    """Return what to do now in one to four words, or how the run ended: "Done" only where it is complete."""
    if run.outcome == Outcome.CUT_SHORT:
        return _ENDS.get(run.stop_reason, _STOPPED)
    return SHORT_PROMPTS[run.prompt]


def left_words(view: "RunView") -> str:
    """Return about how much is left, in one line: "about 37 flips, under a minute"."""
    return ", ".join(part for part in (view.left, view.minutes) if part)


class RunState(StrEnum):
    """What can be done with a run now."""

    GOING = "going"
    PAUSED = "paused"
    ENDED = "ended"


@dataclass(frozen=True, kw_only=True, slots=True)
class RunView:
    """Everything the run page says, as text; share is how full the bar is, 0 to 1, None where no end is known.

    prompt is short enough to be read across a room, sentence says it whole; give_or_take stands below figure and
    says what it stands for, beside below that: the figure for any switch-on; minutes below left.
    titles   : the words above last, figure and left
    how      : one or two words for how the stick goes: "Too fast", "Stands still"; "" where there is none
    take     : the words of the button that takes a stop now; "" where nothing can be taken
    drop     : the words of the button that leaves the last one out; "" where none can be: no_drop says why
    safe     : the words of the button that leads to Make it safe, where its lines are asked again before the run may
    carry on; "" where they are not
    by_itself : a pause ends by itself once what is asked for is done
    """

    state: RunState
    prompt: str
    sentence: str
    act_now: bool
    count: str
    share: float | None
    last: str
    figure: str
    give_or_take: str
    left: str
    minutes: str
    dropped: str
    blocks: str
    can_drop: bool
    can_undrop: bool
    titles: tuple[str, str, str] = ("Last flip", "The figure so far", "Still to go")
    how: str = ""
    take: str = ""
    drop: str = "Drop last flip"
    no_drop: str = ""
    safe: str = ""
    by_itself: bool = False
    beside: str = ""
