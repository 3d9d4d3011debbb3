"""A run as its page shows it: one instruction, counts, the last value, how sure, what is left."""

from benchapp.presentation.flips.straggler_words import straggler_sentence
from benchapp.presentation.flips.switch_on_words import any_beside, stands_for_words
from benchapp.presentation.ground.enough import so_many_of
from benchapp.presentation.ground.numbers import DASH, NBSP, at_places, counted, value_and_u, with_unit
from benchapp.presentation.ground.run_words import PROMPTS, pause_sentence, stop_sentence
from benchapp.presentation.ground.wording import EXCLUSIONS
from benchapp.presentation.live.count_view import count_view
from benchapp.presentation.live.run_shown import SHORT_PROMPTS, RunState, RunView, short_prompt
from benchapp.presentation.live.stick_view import StickChoice, stick_view
from benchapp.procedures.ground.progress import Prompt, RunProgress
from benchapp.records.method import FEWEST_ANSWERED

THE_FIGURE = "The figure"
FIRST_HALF_HOUR = "The figure, first half hour"


def run_view(run: RunProgress, *, chosen: StickChoice | None = None) -> RunView:
    """Return what the page shows of a run, or of a stick test as it was chosen."""
    if run.stick is not None:
        return stick_view(run, run.stick, chosen or StickChoice())
    if run.counts is not None:
        return count_view(run, run.counts)
    ended = bool(run.outcome)
    figure, give_or_take, beside = _figure(run)
    state = RunState.ENDED if ended else RunState.PAUSED if run.paused else RunState.GOING
    return RunView(
        state=state,
        prompt=short_prompt(run),
        sentence=_sentence(run),
        act_now=run.prompt in {Prompt.FLIP_NOW, Prompt.FLIP_TO_START},
        count=_count(run),
        share=_share(run),
        last=_last(run),
        figure=figure,
        give_or_take=give_or_take,
        beside=beside,
        left=_left(run),
        minutes="" if ended else _minutes(run),
        dropped=f"{counted(run.dropped, 'flip')} dropped by hand" if run.dropped else "",
        blocks=_blocks(run.blocks, run.switch_ons),
        can_drop=not ended and run.flips > run.dropped,
        can_undrop=not ended and run.dropped > 0,
        titles=("Last flip", _figure_title(run), "Still to go"),
    )


def _figure_title(run: RunProgress) -> str:
    if run.outcome:
        return THE_FIGURE
    return FIRST_HALF_HOUR if run.stands else "The figure so far"


def _figure(run: RunProgress) -> tuple[str, str, str]:
    """Return the figure, what stands below it, and what stands beside it; a run ended with too few flips has none."""
    if run.outcome and run.answered < FEWEST_ANSWERED:
        return so_many_of(run.answered, FEWEST_ANSWERED), "flips that a figure needs", ""
    figure, spread = value_and_u(run.value_ms, run.half_width_ms)
    return (
        figure if figure == DASH else f"{figure}{NBSP}ms",
        "" if spread == DASH else f"give or take {spread}{NBSP}ms{_for(run)}",
        any_beside(run.value_ms, run.any_half_width_ms, run.stands_for),
    )


def _for(run: RunProgress) -> str:
    words = stands_for_words(run.stands_for, run.seen_switch_ons)
    return f", {words}" if words else ""


def _left(run: RunProgress) -> str:
    if run.outcome:
        return ""
    if run.switch_ons_left:
        return counted(run.switch_ons_left, "switch-on")
    if run.out_of_reach and run.flips_left is None:
        return "more flips will not bring it there"
    return "" if run.flips_left is None else f"about {counted(run.flips_left, 'flip')}"


def _blocks(begun: int, wanted: int) -> str:
    if wanted > 1:
        return f"Switch-on {begun} of {max(begun, wanted)}"
    return f"Switch-on {begun}" if begun > 1 else ""


def _sentence(run: RunProgress) -> str:
    if run.outcome:
        return _ended(run)
    if run.paused:
        return f"{pause_sentence(run.paused)} Carry on, or stop and keep."
    whole = PROMPTS[run.prompt]
    return "" if whole == SHORT_PROMPTS[run.prompt] else f"{whole}."


def _count(run: RunProgress) -> str:
    if run.wanted is None:
        return counted(run.flips, "flip")
    return f"{run.flips} of {counted(run.wanted, 'flip')}"


def _share(run: RunProgress) -> float | None:
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
    parts = (how, stop_sentence(run.stop_reason), done, straggler_sentence(run.stragglers))
    return " ".join(part for part in parts if part)
