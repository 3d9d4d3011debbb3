"""A run of flips as plain text for a terminal."""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence

from benchapp.presentation.flips.flip_places import figure_places, interval_decimals, table_places
from benchapp.presentation.flips.switch_on_words import beside_headline, figure_for
from benchapp.presentation.ground.enough import so_many_of
from benchapp.presentation.ground.numbers import at_places, counted, span, with_unit
from benchapp.presentation.ground.terminal import frame_lines, text_row
from benchapp.presentation.ground.wording import ESTIMATORS, EXCLUSIONS, POINTS, budget_words, role_words
from benchapp.records.findings import POINTS as POINT_KEYS
from benchapp.records.findings import Latency, PointSummary, RunFindings
from benchapp.records.method import FEWEST_ANSWERED

_SUMMARY: Sequence[tuple[str, Callable[[PointSummary], float | None]]] = (
    ("least", lambda point: point.min_ms),
    ("5 %", lambda point: point.p05_ms),
    ("median", lambda point: point.median_ms),
    ("mean", lambda point: point.mean_ms),
    ("95 %", lambda point: point.p95_ms),
    ("most", lambda point: point.max_ms),
    ("spread (SD)", lambda point: point.sd_ms),
)


def flip_lines(run: RunFindings, latency: Latency) -> Iterator[str]:
    """Yield the figure, counts, table and reasons, the output's frame, the stages and the uncertainty."""
    yield ""
    yield from _figure_lines(latency)
    yield from _table_lines(latency.points, table_places(latency))
    yield from _excluded_lines(latency)
    yield from frame_lines(run)
    yield from _stage_lines(run, latency)
    yield from _budget_lines(run, latency)


def _figure_lines(latency: Latency) -> Iterator[str]:
    answered = len(latency.trials)
    if answered < FEWEST_ANSWERED:
        yield text_row("The figure", f"{so_many_of(answered, FEWEST_ANSWERED)} flips that a figure needs")
    else:
        yield from _headline_lines(latency)
    yield text_row("Answered", f"{answered} of {counted(latency.flips, 'flip')}")
    yield text_row("  up, down", f"{latency.headline.up}, {latency.headline.down}")
    yield text_row("Switch-ons", str(latency.switch_ons))
    late = latency.stragglers
    if late.later_than_ms is not None:
        limit = with_unit(late.later_than_ms, 1, "ms")
        yield text_row("Stragglers", f"{late.flips} of {late.answered}, later than {limit}")
        yield text_row("  mean of all", with_unit(late.mean_all_ms, table_places(latency), "ms"))


def _headline_lines(latency: Latency) -> Iterator[str]:
    headline = latency.headline
    own = figure_for(headline.value_ms, headline.expanded_uncertainty_ms, headline.stands_for, latency.switch_ons)
    yield text_row("The figure", own)
    beside = beside_headline(latency)
    if beside:
        label, _, figure = beside.partition(": ")
        yield text_row(f"  {label}", figure)
    yield text_row("  how", ESTIMATORS.get(headline.estimator, headline.estimator))
    low, high = headline.ci95_ms
    yield text_row("  from flips alone", span(low, high, interval_decimals(latency), "ms"))
    if headline.with_hand_drops_ms is not None:
        yield text_row("  with dropped flips", with_unit(headline.with_hand_drops_ms, figure_places(latency), "ms"))


def _table_lines(points: Mapping[str, PointSummary], places: int) -> Iterator[str]:
    keys = [key for key in POINT_KEYS if key in points]
    yield ""
    yield text_row("ms", "".join(f"{POINTS[key]:>22}" for key in keys))
    yield text_row("flips", "".join(f"{points[key].n:>22}" for key in keys))
    for label, value in _SUMMARY:
        yield text_row(label, "".join(f"{at_places(value(points[key]), places):>22}" for key in keys))


def _excluded_lines(latency: Latency) -> Iterator[str]:
    if not latency.excluded:
        return
    yield ""
    counts = Counter(flip.code for flip in latency.excluded)
    for code, number in counts.most_common():
        yield text_row("Left out", f"{counted(number, 'flip')}: {EXCLUSIONS.get(code, code)}")


def _stage_lines(run: RunFindings, latency: Latency) -> Iterator[str]:
    places = table_places(latency)
    for stage in run.stages:
        path = f"{role_words(stage.start)} to {role_words(stage.end)}"
        yield text_row(
            "Stage", f"{path}: {with_unit(stage.mean_ms, places, 'ms')} on average, {counted(stage.n, 'flip')}"
        )


def _budget_lines(run: RunFindings, latency: Latency) -> Iterator[str]:
    for line in run.uncertainty:
        yield text_row("Uncertainty", f"{with_unit(line.standard_ms, 5, 'ms')}  {budget_words(line.source)}")
    for line in latency.any_switch_on.lines:
        if line not in run.uncertainty:
            yield text_row("  any switch-on", f"{with_unit(line.standard_ms, 5, 'ms')}  {budget_words(line.source)}")
