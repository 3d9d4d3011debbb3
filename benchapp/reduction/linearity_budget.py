"""What a linearity's uncertainty is made of, in % of output span."""

import math

from benchapp.records.findings import BudgetLine
from benchapp.records.sweep_findings import ShareLine
from benchapp.reduction.transfer_curve import Curve
from benchapp.reduction.uncertainty import Combined, combine, one_step, rectangular

LEVEL_LEAD = "level lead"
TYPED_POSITIONS = "typed positions"
STROKES = "strokes"
OUTPUT_STEP = "output step"

UNKNOWN_NONLINEARITY_LSB = 0.5
"""Taken for a level lead that states none, as data sheets of converters on hobby boards do."""
TYPED_HALF_WIDTH_DEG = 0.5
"""Taken where nobody was asked how well a marked position can be set."""


def level_lead_line(*, lsb_v: float, nonlinearity_lsb: float | None, span_v: float) -> ShareLine:
    """Return the line of the level lead's own non-linearity, which no repeating averages out (rectangular)."""
    most = (UNKNOWN_NONLINEARITY_LSB if nonlinearity_lsb is None else nonlinearity_lsb) * lsb_v
    return ShareLine(source=LEVEL_LEAD, standard_pct=100.0 * rectangular(most) / span_v, kind="B", dof=None)


def typed_positions_line(*, half_width_deg: float | None, span_deg: float) -> ShareLine:
    """Return the line of positions set and typed by hand (rectangular)."""
    most = TYPED_HALF_WIDTH_DEG if half_width_deg is None else half_width_deg
    return ShareLine(source=TYPED_POSITIONS, standard_pct=100.0 * rectangular(most) / span_deg, kind="B", dof=None)


def reading_lines(curve: Curve, *, step_us: float | None, span_us: float) -> tuple[ShareLine, ...]:
    """Return the lines of the readings: the scatter of strokes at one position, and the output's step at the ends.

    Neighbouring positions share their pulses, so the scatter counts for half its degrees of freedom.
    """
    lines = []
    if curve.u_us is not None:
        dof = max(1.0, curve.dof / 2)
        lines.append(ShareLine(source=STROKES, standard_pct=100.0 * curve.u_us / span_us, kind="A", dof=dof))
    if step_us is not None:
        lines.append(
            ShareLine(source=OUTPUT_STEP, standard_pct=100.0 * one_step(step_us) / span_us, kind="B", dof=None)
        )
    return tuple(lines)


def expanded(lines: tuple[ShareLine, ...]) -> Combined | None:
    """Return the lines combined, in % of span, by the rule of every budget; None where a line is not a number."""
    if not lines or not all(math.isfinite(line.standard_pct) for line in lines):
        return None
    # The rule knows no unit: what it calls ms is % of span here.
    return combine([BudgetLine(source=o.source, standard_ms=o.standard_pct, kind=o.kind, dof=o.dof) for o in lines])
