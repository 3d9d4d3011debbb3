"""A run in one line of text, while it goes on and when it has ended."""

from benchapp.presentation.flips.straggler_words import straggler_sentence
from benchapp.presentation.flips.switch_on_words import any_beside, figure_for
from benchapp.presentation.ground.enough import so_many_of
from benchapp.presentation.ground.numbers import at_places, counted, sentence_start, with_unit
from benchapp.presentation.ground.run_words import PROMPTS, pause_sentence, stop_sentence
from benchapp.presentation.ground.wording import EXCLUSIONS
from benchapp.presentation.shown import counted_words
from benchapp.presentation.sweep.stick_words import stick_count, stick_hint
from benchapp.procedures.ground.progress import RunProgress
from benchapp.records.method import FEWEST_ANSWERED
from benchapp.records.named_tests import times_flips


def going_text(run: RunProgress) -> str:
    """Return where a run stands: what to do, count, last value, figure, what is left."""
    what = pause_sentence(run.paused) or PROMPTS[run.prompt]
    parts = (what, stick_hint(run), _switch_on(run), _count(run), _last(run), figure_text(run), _left(run))
    return " · ".join(part for part in parts if part)


def ended_text(run: RunProgress) -> str:
    """Return how a run ended, in sentences."""
    how = "Complete." if run.outcome == "complete" else "Stopped early and kept."
    if run.counts is not None:
        return f"{how} {stop_sentence(run.stop_reason)} {sentence_start(counted_words(run.test, run.counts))}."
    if run.stick is not None:
        done = stick_count(run.stick)
        return f"{how} {stop_sentence(run.stop_reason)} {done[0].upper()}{done[1:]}."
    done = f"{run.answered} of {counted(run.flips, 'flip')} answered."
    parts = (how, stop_sentence(run.stop_reason), done, straggler_sentence(run.stragglers))
    return " ".join(part for part in parts if part)


def figure_text(run: RunProgress) -> str:
    """Return the figure with its give or take and what it stands for, any switch-on beside it; "" while none is.

    A run that ended with too few flips has a count in its place.
    """
    if run.outcome and times_flips(run.test) and run.answered < FEWEST_ANSWERED:
        return f"{so_many_of(run.answered, FEWEST_ANSWERED)} flips that a figure needs"
    if run.value_ms is None:
        return ""
    own = figure_for(run.value_ms, run.half_width_ms, run.stands_for, run.seen_switch_ons)
    return "; ".join(text for text in (own, any_beside(run.value_ms, run.any_half_width_ms, run.stands_for)) if text)


def _count(run: RunProgress) -> str:
    if run.counts is not None:
        return counted_words(run.test, run.counts)
    if run.stick is not None:
        return stick_count(run.stick)
    return counted(run.flips, "flip") if run.wanted is None else f"{run.flips} of {counted(run.wanted, 'flip')}"


def _switch_on(run: RunProgress) -> str:
    return f"switch-on {run.blocks} of {run.switch_ons}" if run.switch_ons > 1 else ""


def _last(run: RunProgress) -> str:
    if run.last_ms is not None:
        return f"last {with_unit(run.last_ms, 1, 'ms')}"
    return f"last: {EXCLUSIONS.get(run.last_code, 'did not count')}" if run.last_code else ""


def _left(run: RunProgress) -> str:
    if run.outcome:
        return ""
    ons = f"{counted(run.switch_ons_left, 'switch-on')} left" if run.switch_ons_left else ""
    return " · ".join(text for text in (ons, _minutes_left(run)) if text)


def _minutes_left(run: RunProgress) -> str:
    if run.minutes_left is None:
        return ""
    return "under a minute left" if run.minutes_left < 1 else f"about {at_places(run.minutes_left, 0)} min left"
