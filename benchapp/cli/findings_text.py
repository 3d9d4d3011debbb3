"""Findings as plain text for a terminal."""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence

from benchapp.cli.stick_text import stick_lines
from benchapp.desk.loading import Loaded
from benchapp.presentation.flips.flip_places import figure_places, interval_decimals, table_places
from benchapp.presentation.flips.switch_on_words import beside_headline, figure_for
from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.enough import so_many_of
from benchapp.presentation.ground.numbers import (
    at_places,
    counted,
    digits,
    known,
    span,
    with_unit,
)
from benchapp.presentation.ground.page import PRACTICE_MARK
from benchapp.presentation.ground.wording import (
    ESTIMATORS,
    EXCLUSIONS,
    OUTCOMES,
    POINTS,
    budget_words,
    flag_words,
    note_sentence,
    role_words,
    test_words,
)
from benchapp.presentation.report_page.verdict import meaning, verdict
from benchapp.presentation.report_page.versions import other_version
from benchapp.records.findings import POINTS as POINT_KEYS
from benchapp.records.findings import Latency, PointSummary, RunFindings
from benchapp.records.method import FEWEST_ANSWERED
from benchapp.records.run import Origin

_WIDTH = 22
_STICK_WIDTH = 36
_SUMMARY: Sequence[tuple[str, Callable[[PointSummary], float | None]]] = (
    ("least", lambda point: point.min_ms),
    ("5 %", lambda point: point.p05_ms),
    ("median", lambda point: point.median_ms),
    ("mean", lambda point: point.mean_ms),
    ("95 %", lambda point: point.p95_ms),
    ("most", lambda point: point.max_ms),
    ("spread (SD)", lambda point: point.sd_ms),
)


def findings_lines(loaded: Loaded) -> list[str]:
    """Return the findings of a session as lines: each run's verdict, figure, counts, table, reasons and flags."""
    lines = [clean(loaded.facts.name) or "Session without a name"]
    if loaded.facts.origin is Origin.PRACTICE:
        lines.append(PRACTICE_MARK)
    other = other_version(loaded.facts, loaded.findings)
    if other:
        lines.append(other)
    if not loaded.findings.runs:
        lines.append("No test finished yet.")
    for run in loaded.findings.runs:
        others = [other for other in loaded.findings.runs if other is not run]
        lines += ["", *_run_lines(run, others)]
    return [*lines, "", f"Evidence code {loaded.facts.evidence_hash}"]


def _run_lines(run: RunFindings, others: Sequence[RunFindings]) -> Iterator[str]:
    yield f"Run {run.run}: {test_words(run.test)}, {OUTCOMES[run.outcome]}"
    yield f"  {verdict(run)}"
    yield from (f"  {sentence}" for sentence in meaning(run, others))
    latency = run.latency
    if latency is not None:
        yield ""
        yield from _figure_lines(latency)
        yield from _table_lines(latency.points, table_places(latency))
        yield from _excluded_lines(latency)
    elif run.linearity is not None or run.steadiness is not None:
        yield ""
        yield from (_row(label, text, width=_STICK_WIDTH) for label, text in stick_lines(run, others))
    yield from _frame_lines(run)
    yield from _stage_lines(run)
    yield from _budget_lines(run)
    yield from (f"  Mind: {flag_words(flag, run.test).sentence}" for flag in run.flags)
    yield from (f"  Note: {note_sentence(note)}" for note in run.notes)


def _row(label: str, text: str, *, width: int = _WIDTH) -> str:
    return f"  {label:<{width}} {text}".rstrip()


def _figure_lines(latency: Latency) -> Iterator[str]:
    answered = len(latency.trials)
    if answered < FEWEST_ANSWERED:
        yield _row("The figure", f"{so_many_of(answered, FEWEST_ANSWERED)} flips that a figure needs")
    else:
        yield from _headline_lines(latency)
    yield _row("Answered", f"{answered} of {counted(latency.flips, 'flip')}")
    yield _row("  up, down", f"{latency.headline.up}, {latency.headline.down}")
    yield _row("Switch-ons", str(latency.switch_ons))
    late = latency.stragglers
    if late.later_than_ms is not None:
        limit = with_unit(late.later_than_ms, 1, "ms")
        yield _row("Stragglers", f"{late.flips} of {late.answered}, later than {limit}")
        yield _row("  mean of all", with_unit(late.mean_all_ms, table_places(latency), "ms"))


def _headline_lines(latency: Latency) -> Iterator[str]:
    headline = latency.headline
    own = figure_for(headline.value_ms, headline.expanded_uncertainty_ms, headline.stands_for, latency.switch_ons)
    yield _row("The figure", own)
    beside = beside_headline(latency)
    if beside:
        label, _, figure = beside.partition(": ")
        yield _row(f"  {label}", figure)
    yield _row("  how", ESTIMATORS.get(headline.estimator, headline.estimator))
    low, high = headline.ci95_ms
    yield _row("  from flips alone", span(low, high, interval_decimals(latency), "ms"))
    if headline.with_hand_drops_ms is not None:
        yield _row("  with dropped flips", with_unit(headline.with_hand_drops_ms, figure_places(latency), "ms"))


def _table_lines(points: Mapping[str, PointSummary], places: int) -> Iterator[str]:
    keys = [key for key in POINT_KEYS if key in points]
    yield ""
    yield _row("ms", "".join(f"{POINTS[key]:>22}" for key in keys))
    yield _row("flips", "".join(f"{points[key].n:>22}" for key in keys))
    for label, value in _SUMMARY:
        yield _row(label, "".join(f"{at_places(value(points[key]), places):>22}" for key in keys))


def _excluded_lines(latency: Latency) -> Iterator[str]:
    if not latency.excluded:
        return
    yield ""
    counts = Counter(flip.code for flip in latency.excluded)
    for code, number in counts.most_common():
        yield _row("Left out", f"{counted(number, 'flip')}: {EXCLUSIONS.get(code, code)}")


def _frame_lines(run: RunFindings) -> Iterator[str]:
    frame = run.frame
    if frame is None:
        return
    yield ""
    yield _row("Frame period", known(frame.period_ms, frame.period_u_ms, "ms"))
    yield _row("  spread (SD)", digits(frame.period_sd_us, 2, "µs"))
    yield _row("Missing pulses", str(frame.missing_pulses))
    yield _row("Spikes", str(frame.glitches))


def _stage_lines(run: RunFindings) -> Iterator[str]:
    places = 3 if run.latency is None else table_places(run.latency)
    for stage in run.stages:
        path = f"{role_words(stage.start)} to {role_words(stage.end)}"
        yield _row("Stage", f"{path}: {with_unit(stage.mean_ms, places, 'ms')} on average, {counted(stage.n, 'flip')}")


def _budget_lines(run: RunFindings) -> Iterator[str]:
    for line in run.uncertainty:
        yield _row("Uncertainty", f"{with_unit(line.standard_ms, 5, 'ms')}  {budget_words(line.source)}")
    for line in () if run.latency is None else run.latency.any_switch_on.lines:
        if line not in run.uncertainty:
            yield _row("  any switch-on", f"{with_unit(line.standard_ms, 5, 'ms')}  {budget_words(line.source)}")
