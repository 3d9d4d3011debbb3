"""The tables of a sweep: its figures in both units, its uncertainty, its strokes and every position."""

from benchapp.presentation.ground.numbers import at_places, exists, grouped, sentence_start
from benchapp.presentation.ground.page import Cell, Column, Table
from benchapp.presentation.ground.stick_facts import up_and_down_told
from benchapp.presentation.ground.stick_reasons import NOT_TOLD_APART
from benchapp.presentation.ground.table_making import number_cell, with_reasons
from benchapp.presentation.ground.wording import budget_words
from benchapp.presentation.sweep.sweep_details import place
from benchapp.presentation.sweep.sweep_rows import row_places, sweep_rows
from benchapp.records.sweep_findings import Linearity, TransferCurve

_NOT_REACHED = "too few servo pulses at this position"


def sweep_table(found: Linearity, notes: tuple[str, ...], *, key: str) -> Table:
    """Return straightness, hysteresis and repeatability in µs and in % of full travel."""
    columns = (
        Column(title="What", share=3.0),
        Column(title="Size", unit="µs", numeric=True),
        Column(title="Of full travel", unit="%", numeric=True),
        Column(title="Where", share=1.1),
        Column(title="How sure", share=2.4),
    )
    us_places, pct_places = row_places(found)
    rows = [
        (
            Cell(text=row.name),
            number_cell(row.us, us_places, row.why),
            number_cell(row.pct, pct_places, row.why),
            Cell(text=place(row.at_x, found.x_unit) if exists(row.at_x) else ""),
            Cell(text=row.sure),
        )
        for row in sweep_rows(found, notes)
    ]
    note = (
        "Straightness (best line) and (from the low end): half the band that holds the curve; (end to end): the "
        "greatest "
        "distance, above the line with +. Largest-of figures grow with the number of positions and cycles. "
        "Repeatability is a standard deviation, the probe's share and the pulses' noise taken out."
    )
    return with_reasons(f"{key}straightness", "Straightness, and up against down", columns, rows, notes=(note,))


def share_table(found: Linearity, *, key: str) -> Table:
    """Return the uncertainty budget of straightness."""
    columns = (
        Column(title="Source", share=3.2),
        Column(title="Best line", unit="%", numeric=True),
        Column(title="The same", unit="µs", numeric=True),
        Column(title="End to end", unit="%", numeric=True),
        Column(title="From the low end", unit="%", numeric=True, share=1.2),
        Column(title="Type", share=1.6),
        Column(title="Degrees of freedom", unit="count", numeric=True, share=1.3),
    )
    span = found.span_us or 0.0
    rows = [
        (
            Cell(text=sentence_start(budget_words(line.source))),
            number_cell(line.standard_pct, 4, "not known"),
            number_cell(line.standard_pct * span / 100.0, 3, "not known"),
            number_cell(line.terminal_pct, 4, "not known"),
            number_cell(line.zero_based_pct, 4, "not known"),
            Cell(text="A, from the strokes" if line.kind == "A" else "B, from elsewhere"),
            Cell(text=at_places(line.dof, 0)) if exists(line.dof) else Cell(text="unlimited"),
        )
        for line in found.uncertainty
    ]
    note = (
        "Standard uncertainties, of full travel: what each source adds to each line. Added as squares, times k, they "
        "are the line's own give or take."
    )
    return with_reasons(f"{key}budget", "What the uncertainty is made of", columns, rows, notes=(note,))


def strokes_table(found: Linearity, *, key: str) -> Table:
    """Return one row a stroke: when, from where to where, how fast, and how far from the others."""
    unit = found.x_unit
    columns = (
        Column(title="Stroke", unit="no.", numeric=True, share=0.8),
        Column(title="At", unit="s", numeric=True),
        Column(title="Way", share=1.4),
        Column(title="From", unit=unit, numeric=True),
        Column(title="To", unit=unit, numeric=True),
        Column(title="Speed", unit=f"{unit}/s", numeric=True),
        Column(title="Servo pulses", unit="count", numeric=True),
        Column(title="Off its way's curve", unit="µs", numeric=True, share=1.4),
    )
    rows = [
        (
            Cell(text=str(number)),
            Cell(text=at_places(stroke.from_ns / 1e9, 2)),
            Cell(text=("coming up" if stroke.rising else "going down") + ("" if stroke.whole else ", part of the way")),
            number_cell(stroke.from_x, 3, "not known"),
            number_cell(stroke.to_x, 3, "not known"),
            number_cell(stroke.speed, 3, "not known"),
            Cell(text=grouped(stroke.pulses)),
            number_cell(stroke.off_us, 2, "no servo pulse of this stroke counts"),
        )
        for number, stroke in enumerate(found.strokes, start=1)
    ]
    note = "Servo pulses that count: those near a turn do not. Off its way's curve: the mean over the stroke."
    return with_reasons(
        f"{key}strokes", "Every stroke", columns, rows, notes=(note,), splits=len(rows) > 12, by_request=True
    )


def positions_table(found: Linearity, curve: TransferCurve, *, key: str) -> Table:
    """Return one row a position: the pulse coming up and going down, and their distance from the best line."""
    unit = found.x_unit
    columns = (
        Column(title="Position", unit="no.", numeric=True, share=0.8),
        Column(title="Stick", unit=unit, numeric=True),
        Column(title="Coming up", unit="µs", numeric=True),
        Column(title="Going down", unit="µs", numeric=True),
        Column(title="Half-way", unit="µs", numeric=True),
        Column(title="Off the line, up", unit="µs", numeric=True),
        Column(title="Off the line, down", unit="µs", numeric=True),
        Column(title="Off the line, half-way", unit="µs", numeric=True),
    )
    why = _NOT_REACHED if up_and_down_told(found) else NOT_TOLD_APART.get(found.told_apart_why_not, _NOT_REACHED)
    series = (curve.up_us, curve.down_us, curve.mean_us, curve.up_off_us, curve.down_off_us, curve.mean_off_us)
    rows = [
        (
            Cell(text=str(number + 1)),
            Cell(text=at_places(float(x), 3 if unit == "V" else 1)),
            *(number_cell(float(values[number]), 2, why) for values in series),
        )
        for number, x in enumerate(curve.x.tolist())
    ]
    return with_reasons(f"{key}positions", "Every position", columns, rows, splits=len(rows) > 12, by_request=True)
