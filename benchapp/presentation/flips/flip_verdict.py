"""The verdict of a run of flips in one plain sentence, and what it means in distance, spread and certainty."""

import math

from benchapp.presentation.flips.flip_places import figure_places
from benchapp.presentation.flips.straggler_words import SURE, straggler_sentence, trend_sentence, usual_sentence
from benchapp.presentation.flips.switch_on_words import beside_headline, next_switch_on, stands_for_words
from benchapp.presentation.ground.enough import has_figure
from benchapp.presentation.ground.numbers import (
    NBSP,
    counted,
    digits,
    exists,
    give_or_take,
    in_words,
    percent,
    plainly,
    sentence_start,
    uncertainty_places,
    value_and_u,
    with_unit,
)
from benchapp.presentation.ground.wording import CONTROLS, budget_words
from benchapp.records.codes import Exclusion, Flag
from benchapp.records.findings import ANY_SWITCH_ON, SWITCH_ON_MEANS, BudgetLine, Latency, RunFindings
from benchapp.records.method import FEWEST_ANSWERED

_SPEED_M_PER_S = 20.0


def flip_verdict(run: RunFindings, latency: Latency) -> str:
    """Return one sentence: the figure, or why it cannot be told."""
    return _cannot_tell(run, latency) or _told(run, latency)


def _cannot_tell(run: RunFindings, latency: Latency) -> str:
    answered = len(latency.trials)
    if not answered:
        return "Cannot tell: no flip was answered." if latency.flips else "Cannot tell: no flip was seen."
    if Flag.INSUFFICIENT in run.flags:
        return f"Not enough data: {answered} of the {FEWEST_ANSWERED} flips that a figure needs were answered."
    return "" if exists(latency.headline.value_ms) else "Cannot tell: the flips give no figure."


def _told(run: RunFindings, latency: Latency) -> str:
    headline = latency.headline
    control = CONTROLS.get(latency.control, "the control")
    figure = give_or_take(headline.value_ms, headline.expanded_uncertainty_ms, "ms")
    own = stands_for_words(headline.stands_for, latency.switch_ons)
    start = f"From {control} to the end of the servo pulse that answers it, this set took {figure}"
    if Flag.PHASE_LOCKED in run.flags:
        return f"{start} ({own}); but your flips kept step with the radio, so this is one case and not the average."
    if headline.stands_for == ANY_SWITCH_ON:
        seen = counted(latency.switch_ons, "switch-on")
        return f"{start}, on average over any switch-on of the transmitter ({seen} seen)."
    beside = beside_headline(latency)
    return f"{start}, on average over {own} of the transmitter" + (f"; {beside}." if beside else ".")


def flip_meaning(run: RunFindings, latency: Latency) -> tuple[str, ...]:
    """Return sentences that say what the verdict means, the most useful first; empty without a figure."""
    if not latency.trials:
        return ()
    sentences = [
        _distance(latency),
        _range(latency),
        next_switch_on(run, latency),
        _waiting(latency),
        _largest_line(run.uncertainty, latency),
        _unanswered(latency),
        *_beside_the_mean(latency),
        _drops(latency),
        _stopped_itself(latency),
    ]
    return tuple(sentence for sentence in sentences if sentence)


def largest_budget_line(lines: tuple[BudgetLine, ...]) -> BudgetLine | None:
    """Return the budget's largest line, or None where there is none above 0."""
    some = [line for line in lines if exists(line.standard_ms) and line.standard_ms > 0.0]
    return max(some, key=lambda line: line.standard_ms) if some else None


def _distance(latency: Latency) -> str:
    value = latency.headline.value_ms
    if not exists(value) or not has_figure(latency):
        return ""
    metres = digits(_SPEED_M_PER_S * value / 1e3, 2, "m")
    return f"At {_SPEED_M_PER_S:.0f}{NBSP}m/s the model moves {metres} in {digits(value, 2, 'ms')}."


def _range(latency: Latency) -> str:
    summary = latency.points.get("mid")
    if summary is None or not (exists(summary.min_ms) and exists(summary.max_ms)):
        return ""
    places = max(figure_places(latency), 0)
    quickest, slowest = with_unit(summary.min_ms, places, "ms"), with_unit(summary.max_ms, places, "ms")
    if not (exists(summary.median_ms) and exists(summary.p95_ms)):
        return f"The quickest flip took {quickest}, the slowest {slowest}."
    half, most = with_unit(summary.median_ms, places, "ms"), with_unit(summary.p95_ms, places, "ms")
    return (
        f"Half of the flips that count were answered within {half}, 95{NBSP}% of them within {most}; the quickest took "
        f"{quickest}, the slowest {slowest}."
    )


def _waiting(latency: Latency) -> str:
    """Compare the observed SD with that of waiting for the next frame alone."""
    summary = latency.points.get("mid")
    expected = latency.expected_frame_sd_ms
    if summary is None or not exists(summary.sd_ms) or not exists(expected) or summary.n < FEWEST_ANSWERED:
        return ""
    if summary.sd_ms <= 0.0 or expected <= 0.0:
        return ""
    waits = _what_is_waited_for(latency.samplers_ms)
    waiting = _share_words((expected / summary.sd_ms) ** 2, len(latency.samplers_ms))
    head = f"{waits} would alone give a spread of {digits(expected, 2, 'ms')}; the flips spread by "
    return f"{head}{digits(summary.sd_ms, 2, 'ms')} (standard deviations), so {waiting}."


def _what_is_waited_for(samplers_ms: tuple[float, ...]) -> str:
    every = [f"one every {plainly(period, 3, 'ms')}" for period in samplers_ms]
    if len(every) == 2:
        return f"Waiting for the next pulse train ({every[0]}) and then for the next frame ({every[1]})"
    return f"Waiting for the next frame ({every[0]})" if every else "Waiting for a frame"


def _share_words(share: float, samplers: int) -> str:
    waiting = "waiting for both" if samplers > 1 else "waiting for the next frame"
    if share > 1.3:
        return "the flips met the frame less widely than chance would have them"
    if share >= 0.9:
        return f"nearly all of the spread is {waiting}"
    part = f"about {percent(math.floor(share * 20 + 0.5) / 20)}" if share >= 0.05 else "hardly any"
    return f"{part} of its square, the variance, is {waiting}"


def _largest_line(lines: tuple[BudgetLine, ...], latency: Latency) -> str:
    line = largest_budget_line(lines)
    if line is None:
        return ""
    words = budget_words(line.source)
    if line.source == "sampling" and latency.any_switch_on.rule == SWITCH_ON_MEANS:
        words = "the number of switch-ons, and how far they lie apart"
    standard = digits(line.standard_ms, 2, "ms")
    return f"The largest part of the uncertainty is {words} ({standard} standard uncertainty)."


def _unanswered(latency: Latency) -> str:
    if not latency.no_answer_flips:
        return ""
    low, high = latency.no_answer_share_ci95
    window = f" within {plainly(latency.window_s, 3, 's')}" if exists(latency.window_s) else ""
    share = ""
    if exists(low) and exists(high):
        share = f"; the true share of unanswered flips lies between {percent(low)} and {percent(high)} ({SURE})"
    number = sentence_start(in_words(latency.no_answer_flips))
    many = f"{number} of {counted(latency.flips, 'flip')} got no answer{window}{share}."
    return f"{many} The figure is over answered flips only."


def _beside_the_mean(latency: Latency) -> tuple[str, ...]:
    """Return what a mean alone would hide: answers that straggled, and a trend."""
    if not has_figure(latency):
        return ()
    late = latency.stragglers
    return straggler_sentence(late), usual_sentence(late, latency.headline), trend_sentence(latency.trend)


def _drops(latency: Latency) -> str:
    dropped = sum(flip.code == Exclusion.DROPPED for flip in latency.excluded)
    if not dropped:
        return ""
    who = f"{sentence_start(in_words(dropped))} {'flip was' if dropped == 1 else 'flips were'} dropped by hand"
    with_them = latency.headline.with_hand_drops_ms
    if not exists(with_them):
        return f"{who}."
    value, _ = value_and_u(latency.headline.value_ms, latency.headline.expanded_uncertainty_ms)
    places = uncertainty_places(latency.headline.expanded_uncertainty_ms)
    pronoun = "it" if dropped == 1 else "them"
    return f"{who}: with {pronoun} the figure would be {with_unit(with_them, places, 'ms')} instead of {value}{NBSP}ms."


def _stopped_itself(latency: Latency) -> str:
    if not latency.headline.stopped_itself:
        return ""
    return f"The run stopped itself when the figure was sure enough; its give or take is widened by 10{NBSP}% for that."
