"""A sweep's tables: every position, and every stroke."""

from collections.abc import Iterator

from benchapp.presentation.ground.stick_facts import told_curve
from benchapp.records.sweep_findings import Linearity
from benchapp.report.csv_cells import number_text, seconds_text
from benchapp.report.filed_test import Row

POSITION_COLUMNS = (
    "position", "stick", "stick_unit", "up_us", "down_us", "half_way_us",
    "up_off_line_us", "down_off_line_us", "half_way_off_line_us",
    "up_off_line_pct_of_span", "down_off_line_pct_of_span", "half_way_off_line_pct_of_span",
)  # fmt: skip
"""One row a position of a sweep; off_line: away from the best straight line."""
STROKE_COLUMNS = (
    "stroke", "from_s", "to_s", "way", "from_stick", "to_stick", "stick_unit", "whole", "speed_per_s",
    "pulses", "off_own_curve_us",
)  # fmt: skip
"""One row a stroke of a moving sweep; way is rising or falling, as the stick's reading does."""


def position_rows(found: Linearity) -> Iterator[Row]:
    """Yield the cells of every position of the curve; none where there is no curve."""
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


def stroke_rows(found: Linearity) -> Iterator[Row]:
    """Yield the cells of every stroke, in the order of time."""
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


def _unit(found: Linearity) -> str:
    return "V" if found.x_unit == "V" else "deg"
