"""Sweeps and holds of a session as tables in CSV: every position, every stroke, every position held.

`trials.csv` stays one row a flip; these stand beside it, each written only where it has a row.
"""

from collections.abc import Iterator, Mapping

from benchapp.presentation.ground.stick_facts import told_curve
from benchapp.records.findings import SessionFindings
from benchapp.records.run import SessionFacts
from benchapp.records.sweep_findings import Linearity, Steadiness
from benchapp.report.csv_cells import cell_text, number_text, seconds_text, table_text
from benchapp.report.csv_table import session_cells

_SESSION = ("session", "origin", "evidence_code", "run", "test")
POSITION_COLUMNS = (
    *_SESSION, "position", "stick", "stick_unit", "up_us", "down_us", "half_way_us",
    "up_off_line_us", "down_off_line_us", "half_way_off_line_us",
    "up_off_line_pct_of_span", "down_off_line_pct_of_span", "half_way_off_line_pct_of_span",
)  # fmt: skip
"""One row a position of a sweep; off_line: away from the best straight line."""
STROKE_COLUMNS = (
    *_SESSION, "stroke", "from_s", "to_s", "way", "from_stick", "to_stick", "stick_unit", "whole", "speed_per_s",
    "pulses", "off_own_curve_us",
)  # fmt: skip
"""One row a stroke of a moving sweep; way is rising or falling, as the stick's reading does."""
HELD_COLUMNS = (
    *_SESSION, "position", "from_s", "to_s", "stick_v", "pulses", "median_us", "sd_us", "peak_to_peak_us",
    "drift_us_per_min", "drift_u_us_per_min", "drift_resolved", "held_s",
)  # fmt: skip
"""One row a position of a hold."""
Row = tuple[str, ...]
STICK_TABLES = ("sweeps.csv", "strokes.csv", "holds.csv")
"""The names of the tables that a report may hold beside trials.csv."""


def stick_tables(facts: SessionFacts, findings: SessionFindings) -> Mapping[str, str]:
    """Return file names with their tables, of those that have any row: text as trials_csv makes it."""
    head = session_cells(facts)
    positions: list[Row] = []
    strokes: list[Row] = []
    held: list[Row] = []
    for run in findings.runs:
        own = (*head, str(run.run), cell_text(run.test))
        if run.linearity is not None:
            positions += [(*own, *cells) for cells in _positions(run.linearity)]
            strokes += [(*own, *cells) for cells in _strokes(run.linearity)]
        if run.steadiness is not None:
            held += [(*own, *cells) for cells in _held(run.steadiness)]
    tables = ((POSITION_COLUMNS, positions), (STROKE_COLUMNS, strokes), (HELD_COLUMNS, held))
    named = zip(STICK_TABLES, tables, strict=True)
    return {name: table_text(columns, rows) for name, (columns, rows) in named if rows}


def _positions(found: Linearity) -> Iterator[Row]:
    curve = told_curve(found)
    if curve is None or not found.span_us:
        return
    percent = 100.0 / found.span_us
    for place, x in enumerate(curve.x.tolist()):
        us = [float(values[place]) for values in (curve.up_us, curve.down_us, curve.mean_us)]
        off = [float(values[place]) for values in (curve.up_off_us, curve.down_off_us, curve.mean_off_us)]
        yield (
            str(place + 1),
            number_text(x),
            _unit(found),
            *(number_text(value) for value in (*us, *off)),
            *(number_text(percent * value) for value in off),
        )


def _strokes(found: Linearity) -> Iterator[Row]:
    for number, stroke in enumerate(found.strokes, start=1):
        yield (
            str(number),
            seconds_text(stroke.from_ns),
            seconds_text(stroke.to_ns),
            "rising" if stroke.rising else "falling",
            number_text(stroke.from_x),
            number_text(stroke.to_x),
            _unit(found),
            "yes" if stroke.whole else "no",
            number_text(stroke.speed),
            str(stroke.pulses),
            number_text(stroke.off_us),
        )


def _held(found: Steadiness) -> Iterator[Row]:
    for number, position in enumerate(found.positions, start=1):
        yield (
            str(number),
            seconds_text(position.from_ns),
            seconds_text(position.to_ns),
            number_text(position.at_x),
            str(position.pulses),
            number_text(position.median_us),
            number_text(position.sd_us),
            number_text(position.peak_to_peak_us),
            number_text(position.drift_us_per_min),
            number_text(position.drift_u_us_per_min),
            {True: "yes", False: "no", None: ""}[position.drift_resolved],
            number_text(position.held_s),
        )


def _unit(found: Linearity) -> str:
    return "V" if found.x_unit == "V" else "deg"
