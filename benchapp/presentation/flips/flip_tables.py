"""The tables of a run of flips: points of the answer, certainty, up and down, stages, budget, the output."""

from collections.abc import Iterable, Sequence

from benchapp.presentation.flips.flip_places import table_places
from benchapp.presentation.ground.numbers import (
    DASH,
    at_places,
    counted,
    exists,
    grouped,
    percent,
    plainly,
    sentence_start,
)
from benchapp.presentation.ground.output_part import output_part
from benchapp.presentation.ground.page import Block, Cell, Column, Heading, Row, Table
from benchapp.presentation.ground.table_making import number_cell, with_reasons
from benchapp.presentation.ground.wording import POINTS, PREDICTIONS, budget_words, role_words
from benchapp.records.findings import BudgetLine, Interval, Latency, PointSummary, RunFindings, Stage

_NO_POINT = "no flip gave this point: the step is too small beside the noise, or no flip counts"
_TOO_FEW = "too few flips"
_BALANCED = "not evened out: the flips kept step with the radio, or their place in the frame is not known"
_P95_HIGH = "an upper limit of the 95 % point needs 72 flips"
_ALL = "the flips without an answer reach this far: later than the answer window"


def flip_tables(run: RunFindings, latency: Latency, *, key: str) -> tuple[Block, ...]:
    """Return the tables that this run has data for, and what the output did meanwhile."""
    places = table_places(latency)
    blocks: list[Block] = [
        Heading(text="Tables", key=f"{key}tables"),
        points_table(latency, places, key=key),
        certainty_table(latency, places, key=key),
        directions_table(latency, places, key=key),
    ]
    if run.stages:
        blocks.append(stages_table(run.stages, places, key=key))
    if run.uncertainty:
        blocks.append(budget_table(run.uncertainty, key=key, wide=latency.any_switch_on.lines))
    return (*blocks, *output_part(run, key=key, ends="Servo pulse, down and up", more=flip_rows(latency)))


def flip_rows(latency: Latency) -> Iterable[Row]:
    """Return what the switch did, and what was added to its delays."""
    yield Row(label="Glitches of the switch", value=counted(latency.switch_glitches, "glitch", "glitches"))
    yield from _phase_rows(latency)
    yield from _correction_rows(latency)


def points_table(latency: Latency, places: int, *, key: str) -> Table:
    """Return one row for each point of the answer, with its whole distribution."""
    columns = (
        Column(title="Point of the answer", share=2.6),
        Column(title="Flips", unit="count", numeric=True),
        *(
            Column(title=title, unit="ms", numeric=True)
            for title in ("Smallest", "5 %", "Median", "Mean", "95 %", "Largest", "SD")
        ),
    )
    rows = []
    for point, name in POINTS.items():
        summary = latency.points.get(point, PointSummary(n=0))
        values = (
            summary.min_ms, summary.p05_ms, summary.median_ms, summary.mean_ms,
            summary.p95_ms, summary.max_ms, summary.sd_ms,
        )  # fmt: skip
        why = _NO_POINT if summary.n == 0 else _TOO_FEW
        cells = (number_cell(value, places, why) for value in values)
        rows.append((Cell(text=sentence_start(name)), Cell(text=grouped(summary.n)), *cells))
    note = "Delays from the flip to the end of the pulse; where it says so, to its beginning. SD: standard deviation."
    return with_reasons(f"{key}points", "The points of the answer", columns, rows, notes=(note,))


def certainty_table(latency: Latency, places: int, *, key: str) -> Table:
    """Return half-way's mean, median and 95 % point, plain and evened out, each with its 95 % interval."""
    summary = latency.points.get("mid", PointSummary(n=0))
    nothing: Interval = (None, None)
    lines = [
        ("Mean", summary.mean_ms, summary.mean_ci95_ms, _TOO_FEW),
        ("Median", summary.median_ms, summary.median_ci95_ms, _TOO_FEW),
        ("95 % point", summary.p95_ms, summary.p95_ci95_ms, _P95_HIGH if exists(summary.p95_ms) else _TOO_FEW),
        ("Mean, evened out over the frame", summary.balanced_mean_ms, summary.balanced_mean_ci95_ms, _BALANCED),
        ("Median, evened out", summary.balanced_median_ms, summary.balanced_median_ci95_ms, _BALANCED),
        ("95 % point, evened out", summary.balanced_p95_ms, summary.balanced_p95_ci95_ms, _BALANCED),
    ]
    if latency.no_answer_flips:
        lines += [
            ("Median, unanswered flips counted as late", summary.median_all_ms, nothing, _ALL),
            ("95 % point, unanswered flips counted as late", summary.p95_all_ms, nothing, _ALL),
        ]
    columns = (
        Column(title="Half-way, end of the pulse", share=3.4),
        *(Column(title=title, unit="ms", numeric=True) for title in ("Value", "95 % from", "95 % to")),
    )
    rows = []
    for name, value, (low, high), why in lines:
        ends_why = "no interval is computed for this one" if name.endswith("late") else _ends_why(value, why)
        cells = (number_cell(value, places, why), *(number_cell(end, places, ends_why) for end in (low, high)))
        rows.append((Cell(text=name), *cells))
    return with_reasons(f"{key}certainty", "How sure half-way is", columns, rows)


def _ends_why(value: float | None, why: str) -> str:
    if why in (_TOO_FEW, _P95_HIGH) or not exists(value):
        return why
    return "the interval leaves the data: too few flips"


def directions_table(latency: Latency, places: int, *, key: str) -> Table:
    """Return up and down apart. A longer pulse ends later, so they are compared on the pulse's beginning."""
    columns = (
        Column(title="Direction", share=2.6),
        Column(title="Flips", unit="count", numeric=True),
        *(Column(title=title, unit="ms", numeric=True) for title in ("Median", "Mean", "SD")),
    )
    rows = []
    for name, points in (("Up", latency.up), ("Down", latency.down)):
        for point in ("mid_lead", "mid"):
            if point in points or point == "mid":
                summary = points.get(point, PointSummary(n=0))
                values = (summary.median_ms, summary.mean_ms, summary.sd_ms)
                end = "to the pulse's beginning" if point == "mid_lead" else "to the pulse's end"
                why = "no flip in this direction counts" if summary.n == 0 else _TOO_FEW
                cells = (number_cell(value, places, why) for value in values)
                rows.append((Cell(text=f"{name}, {end}"), Cell(text=grouped(summary.n)), *cells))
    note = "Up: the pulse grew longer. A longer pulse ends later by itself: compare the directions on its beginning."
    return with_reasons(f"{key}directions", "Up and down, half-way", columns, rows, notes=(note,))


def stages_table(stages: Iterable[Stage], places: int, *, key: str) -> Table:
    """Return the parts of the chain; their means add up to the whole."""
    all_stages = tuple(stages)
    predicted = any(exists(stage.predicted_ms) for stage in all_stages)
    titles = ("Mean", "Median", "Predicted") if predicted else ("Mean", "Median")
    columns = (
        Column(title="From", share=1.4),
        Column(title="To", share=1.4),
        Column(title="Flips", unit="count", numeric=True),
        *(Column(title=title, unit="ms", numeric=True) for title in titles),
    )
    rows = []
    for stage in all_stages:
        cells = [
            Cell(text=role_words(stage.start)),
            Cell(text=role_words(stage.end)),
            Cell(text=grouped(stage.n)),
            number_cell(stage.mean_ms, places, _TOO_FEW),
            number_cell(stage.median_ms, places, _TOO_FEW),
        ]
        if predicted:
            cells.append(number_cell(stage.predicted_ms, places, "no prediction exists for this stage"))
        rows.append(cells)
    notes = [
        f"Predicted, {role_words(stage.start)} to {role_words(stage.end)}: {PREDICTIONS[stage.covers]} (common "
        "practice, no source); no computing, no air, no servo pulse is in it."
        for stage in all_stages
        if stage.covers in PREDICTIONS
    ]
    return with_reasons(f"{key}stages", "Where the time goes", columns, rows, notes=tuple(notes))


def budget_table(lines: Sequence[BudgetLine], *, key: str, wide: Sequence[BudgetLine] = ()) -> Table:
    """Return the uncertainty budget, each line a standard uncertainty.

    wide : the budget of any switch-on, whose lines beyond these are named as its own
    """
    only = [line for line in wide if line not in lines]
    columns = (
        Column(title="Source", share=3.2),
        Column(title="Standard uncertainty", unit="ms", numeric=True, share=1.4),
        Column(title="Type", share=1.6),
        Column(title="Degrees of freedom", unit="count", numeric=True, share=1.3),
    )
    rows = [
        (
            Cell(text=sentence_start(_source_words(line, alone=line in only))),
            _standard_cell(line.standard_ms),
            Cell(text="A, from the flips" if line.kind == "A" else "B, from elsewhere"),
            Cell(text=at_places(line.dof, 0)) if exists(line.dof) else Cell(text="unlimited"),
        )
        for line in (*lines, *only)
    ]
    return with_reasons(f"{key}budget", "What the uncertainty is made of", columns, rows)


def _source_words(line: BudgetLine, *, alone: bool) -> str:
    words = budget_words(line.source)
    return f"for any switch-on besides: {words}" if alone else words


def _standard_cell(value: float) -> Cell:
    if value == 0.0:
        return Cell(text="0")
    if exists(value) and 0 < value < 0.0001:
        return Cell(text=f"below {at_places(0.0001, 4)}")
    return number_cell(value, 4, "not known")


def _phase_rows(latency: Latency) -> Iterable[Row]:
    phase = latency.phase
    tests = [
        f"{name} {_p_words(p)}" for name, p in (("Rayleigh", phase.rayleigh_p), ("Kuiper", phase.kuiper_p)) if exists(p)
    ]
    if exists(phase.largest_gap):
        tests.append(f"largest gap {percent(phase.largest_gap)} of the frame")
    yield Row(label="How evenly the flips fell over the frame", value="; ".join(tests) or DASH + " too few flips")


def _correction_rows(latency: Latency) -> Iterable[Row]:
    amount, within = latency.correction_ms, latency.correction_within_ms
    if exists(amount) and exists(within):
        sure = f"right to within {plainly(within, 2, 'ms')} either way"
        yield Row(label="Correction entered by hand", value=f"{plainly(amount, 6, 'ms')} added to every delay; {sure}")


def _p_words(p: float) -> str:
    return f"p below {at_places(0.001, 3)}" if p < 0.001 else f"p = {at_places(p, 3)}"
