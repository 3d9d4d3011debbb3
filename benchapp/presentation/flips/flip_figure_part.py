"""The figure of a run of flips with its interval and uncertainty."""

from statistics import median

from benchapp.presentation.flips.figure_bands import figure_bands
from benchapp.presentation.flips.flip_places import interval_decimals
from benchapp.presentation.flips.straggler_words import straggler_limit
from benchapp.presentation.flips.switch_on_words import beside_headline, stands_for_words
from benchapp.presentation.ground.numbers import (
    NBSP,
    at_places,
    counted,
    digits,
    exists,
    sentence_start,
    span,
    uncertainty_places,
    value_and_u,
    with_unit,
)
from benchapp.presentation.ground.page import PRACTICE_MARK, Block, Heading, KeyFigure
from benchapp.presentation.ground.too_few import is_too_few, too_few_figure
from benchapp.presentation.ground.wording import ESTIMATORS, POINTS, RULES
from benchapp.records.codes import Flag
from benchapp.records.findings import Headline, Latency, RunFindings
from benchapp.records.method import FEWEST_ANSWERED


def ramp_sentence(run: RunFindings, latency: Latency) -> str:
    """Return over how long the output glides, for the flag that says it does; "" where that is not known."""
    glide_ms = _glide_ms(run, latency)
    if glide_ms is None:
        return ""
    return f"The output glides over {digits(glide_ms, 2, 'ms')}, more than three frames: a speed or slow setting is on."


def _glide_ms(run: RunFindings, latency: Latency) -> float | None:
    """Return the median glide from 10 to 90 % [ms], or None where it is not known."""
    if run.frame is None or not exists(run.frame.period_ms):
        return None
    rises = [trial.rise_frames for trial in latency.trials if exists(trial.rise_frames)]
    glide_ms = median(rises) * run.frame.period_ms if rises else 0.0
    return glide_ms if glide_ms > 0.0 else None


def flip_figure_part(run: RunFindings, latency: Latency, *, key: str, practice: bool) -> tuple[Block, ...]:
    """Return the figure, large, with the lines that say what it stands for."""
    headline = latency.headline
    if is_too_few(run):
        answered, lines = len(latency.trials), (_counts(latency),)
        return too_few_figure("Answered flips", answered, FEWEST_ANSWERED, "flips", lines, key=key, practice=practice)
    value, spread = value_and_u(headline.value_ms, headline.expanded_uncertainty_ms)
    mark = f"{PRACTICE_MARK} · " if practice else ""
    figure = KeyFigure(
        label=f"{mark}{_what(headline)}",
        value=value,
        unit="ms",
        spread=_give_or_take(latency, spread),
        lines=_lines(run, latency),
        bands=figure_bands(latency),
    )
    return (Heading(text="The figure", key=f"{key}figure"), figure)


def _what(headline: Headline) -> str:
    point = POINTS.get(headline.point, headline.point)
    return f"{sentence_start(point)}, to the end of the answering servo pulse"


def _give_or_take(latency: Latency, spread: str) -> str:
    headline = latency.headline
    if not exists(headline.value_ms):
        return "no figure: too few flips were answered"
    if not exists(headline.expanded_uncertainty_ms):
        return "give or take cannot be told: too few flips"
    return f"give or take {spread}{NBSP}ms, {stands_for_words(headline.stands_for, latency.switch_ons)}"


def _counts(latency: Latency) -> str:
    headline, late = latency.headline, latency.stragglers.flips
    ways = f"{headline.up} up, {headline.down} down" + (f", {counted(late, 'straggler')}" if late else "")
    return f"{len(latency.trials)} of {counted(latency.flips, 'flip')} count: {ways}."


def _lines(run: RunFindings, latency: Latency) -> tuple[str, ...]:
    headline = latency.headline
    beside = beside_headline(latency)
    lines = [f"{sentence_start(beside)}."] if beside else []
    lines.append(_counts(latency))
    if not exists(headline.value_ms):
        return tuple(lines)
    limit = straggler_limit(latency.stragglers)
    lines += [limit] if limit else []
    method = ESTIMATORS.get(headline.estimator, "a mean this version has no words for")
    switch_ons = counted(latency.switch_ons, "switch-on")
    lines.append(f"Method: {method}; {switch_ons} of the transmitter.")
    lines.append(RULES.get(latency.any_switch_on.rule, "How any switch-on was found has no words in this version."))
    interval = span(*headline.ci95_ms, interval_decimals(latency), "ms")
    if any(exists(end) for end in headline.ci95_ms):
        lines.append(f"95{NBSP}% interval from the spread of the flips alone: {interval}.")
    if exists(headline.combined_standard_ms) and exists(headline.k):
        standard = with_unit(headline.combined_standard_ms, uncertainty_places(headline.combined_standard_ms), "ms")
        coverage = at_places(headline.k, 2)
        lines.append(
            f"Give or take is the expanded uncertainty U, every budget line in it: {standard} combined standard "
            f"uncertainty, coverage factor k{NBSP}={NBSP}{coverage}, for 95{NBSP}% coverage."
        )
    if Flag.PHASE_LOCKED in run.flags:
        lines.append("Your flips kept step with the radio: the figure may be off by as much as half a frame.")
    return tuple(lines)
