"""A run as its page shows it: one instruction, counts, the last value, how sure, what is left."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from benchapp.presentation.numbers import DASH, NBSP, at_places, counted, value_and_u, with_unit
from benchapp.presentation.run_words import PROMPTS, pause_sentence, stop_sentence
from benchapp.presentation.stick_words import stick_count, stick_hint, stick_share
from benchapp.presentation.wording import EXCLUSIONS
from benchapp.procedures.progress import Prompt, RunProgress

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


class RunState(StrEnum):
    """What can be done with a run now."""

    GOING = "going"
    PAUSED = "paused"
    ENDED = "ended"


@dataclass(frozen=True, kw_only=True, slots=True)
class RunView:
    """Everything the run page says, as text; share is how full the bar is, 0 to 1, None where no end is known.

    prompt is short enough to be read across a room, sentence says it whole; give_or_take stands below figure,
    minutes below left.
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


def run_view(run: RunProgress, *, blocks: int = 1) -> RunView:
    """Return what the page shows of a run that is to have so many switch-ons."""
    ended = bool(run.outcome)
    figure, spread = value_and_u(run.value_ms, run.half_width_ms)
    state = RunState.ENDED if ended else RunState.PAUSED if run.paused else RunState.GOING
    return RunView(
        state=state,
        prompt=SHORT_PROMPTS[run.prompt],
        sentence=_sentence(run),
        act_now=run.prompt in {Prompt.FLIP_NOW, Prompt.FLIP_TO_START},
        count=_count(run),
        share=_share(run),
        last=_last(run),
        figure=figure if figure == DASH else f"{figure}{NBSP}ms",
        give_or_take="" if spread == DASH else f"give or take {spread}{NBSP}ms",
        left="" if ended or run.flips_left is None else f"about {counted(run.flips_left, 'flip')}",
        minutes="" if ended else _minutes(run),
        dropped=f"{counted(run.dropped, 'flip')} dropped by hand" if run.dropped else "",
        blocks=_blocks(run.blocks, blocks),
        can_drop=not ended and run.flips > run.dropped,
        can_undrop=not ended and run.dropped > 0,
    )


def _blocks(begun: int, wanted: int) -> str:
    if wanted > 1:
        return f"Switch-on {begun} of {max(begun, wanted)}"
    return f"Switch-on {begun}" if begun > 1 else ""


def _sentence(run: RunProgress) -> str:
    if run.outcome:
        return _ended(run)
    if run.paused:
        return f"{pause_sentence(run.paused)} Carry on, or stop and keep."
    whole, hint = PROMPTS[run.prompt], stick_hint(run)
    if hint:
        return f"{whole}: {hint}."
    return "" if whole == SHORT_PROMPTS[run.prompt] else f"{whole}."


def _count(run: RunProgress) -> str:
    if run.stick is not None:
        return stick_count(run.stick)
    if run.wanted is None:
        return counted(run.flips, "flip")
    return f"{run.flips} of {counted(run.wanted, 'flip')}"


def _share(run: RunProgress) -> float | None:
    if run.stick is not None:
        return stick_share(run.stick)
    if run.wanted:
        return min(1.0, run.flips / run.wanted)
    if run.flips_left is not None and run.flips:
        return run.flips / (run.flips + run.flips_left)
    return None


def _last(run: RunProgress) -> str:
    if run.last_ms is not None:
        return with_unit(run.last_ms, 1, "ms")
    if run.last_code:
        return EXCLUSIONS.get(run.last_code, "did not count")
    return DASH


def _minutes(run: RunProgress) -> str:
    if run.minutes_left is None or not run.flips_left:
        return ""
    if run.minutes_left < 1:
        return "under a minute"
    return f"about {at_places(run.minutes_left, 0)}{NBSP}min"


def _ended(run: RunProgress) -> str:
    how = "Complete." if run.outcome == "complete" else "Stopped early and kept."
    done = f"{run.answered} of {counted(run.flips, 'flip')} answered."
    if run.stick is not None:
        count = stick_count(run.stick)
        done = f"{count[0].upper()}{count[1:]}."
    return " ".join(part for part in (how, stop_sentence(run.stop_reason), done) if part)
