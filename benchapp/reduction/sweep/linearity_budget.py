"""What the uncertainty of each straightness line is made of, in % of output span.

A line's deviation is a norm of the curve: errors of the curve can change it by no more than the deviation of the errors
themselves, whatever the curve. So each source goes into each line's budget with a weight: half of what that line's
deviation of errors of that kind alone, of standard uncertainty 1, stays below in 95 % of cases (simulated; the weights
are made anew by `python -m tests.reduction.line_weights`).
Below its give or take a deviation is stated as "at most" the sum of both.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.records.findings import BudgetLine
from benchapp.records.sweep_findings import LINES, ShareLine
from benchapp.reduction.ground.uncertainty import Combined, combine, rectangular
from benchapp.reduction.sweep.transfer_curve import Curve

LEVEL_LEAD = "level lead"
TYPED_POSITIONS = "typed positions"
STROKES = "strokes"
OUTPUT_STEP = "output step"
BEND = "bend within a reading"

UNKNOWN_NONLINEARITY_LSB = 0.5
"""Taken for a level lead that states none, as data sheets of converters on hobby boards do."""
TYPED_HALF_WIDTH_DEG = 0.5
"""Taken where nobody was asked how well a marked position can be set."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Weights:
    """What one source of standard uncertainty 1 adds to each line's."""

    independent: float
    terminal: float
    zero_based: float


LEAD_WEIGHTS = Weights(independent=1.0, terminal=1.2, zero_based=1.0)
"""A lead bent smoothly: the line between its ends may lie farther off than the best one."""
END_WEIGHTS = Weights(independent=0.42, terminal=0.83, zero_based=0.8)
"""Errors of the two ends alone: the line from end to end takes both in full."""
RESTED_WEIGHTS = Weights(independent=1.45, terminal=1.8, zero_based=1.6)
"""Errors of 49 positions that share pulses with their neighbours, between ends that were read at rest; a tenth more
than simulated with errors of a normal law, since the scatter that a few strokes show is itself not well known."""
_ALONE = {
    3: Weights(independent=0.6, terminal=1.2, zero_based=0.8),
    5: Weights(independent=0.82, terminal=1.52, zero_based=1.07),
    9: Weights(independent=0.98, terminal=1.73, zero_based=1.33),
    11: Weights(independent=1.02, terminal=1.76, zero_based=1.37),
    21: Weights(independent=1.19, terminal=1.95, zero_based=1.56),
    51: Weights(independent=1.35, terminal=2.11, zero_based=1.76),
}
"""Errors of so many positions, each its own, the ends among them."""
_BEND_WEIGHTS = Weights(independent=1.0, terminal=1.0, zero_based=1.0)
_BEND_REACH = 4

Array = NDArray[np.float64]


def alone_weights(positions: int) -> Weights:
    """Return the weights of errors that are each position's own, between the simulated numbers by their logarithm."""
    known = sorted(_ALONE)
    at, logs = math.log(max(positions, 1)), np.log(known)
    ind, term, zero = (float(np.interp(at, logs, [getattr(_ALONE[n], name) for n in known])) for name in LINES)
    return Weights(independent=ind, terminal=term, zero_based=zero)


def level_lead_line(*, lsb_v: float, nonlinearity_lsb: float | None, span_v: float) -> ShareLine:
    """Return the line of the level lead's own non-linearity, which no repeating averages out (rectangular)."""
    most = (UNKNOWN_NONLINEARITY_LSB if nonlinearity_lsb is None else nonlinearity_lsb) * lsb_v
    return _share(LEVEL_LEAD, 100.0 * rectangular(most) / span_v, LEAD_WEIGHTS)


def typed_positions_line(*, half_width_deg: float | None, span_deg: float, positions: int) -> ShareLine:
    """Return the line of positions set and typed by hand (rectangular, each position its own)."""
    return _share(TYPED_POSITIONS, 100.0 * typed_share(half_width_deg, span_deg), alone_weights(positions))


def typed_share(half_width_deg: float | None, span_deg: float) -> float:
    """Return the standard uncertainty of one typed position, as a share of the span between the outer ones."""
    most = TYPED_HALF_WIDTH_DEG if half_width_deg is None else half_width_deg
    return rectangular(most) / span_deg


def reading_lines(curve: Curve, *, end_u_us: float | None, span_us: float, rested: bool) -> tuple[ShareLine, ...]:
    """Return the lines of the readings: scatter of strokes at one position, and how well the ends are known.

    end_u_us : standard uncertainty of an end's pulse, its step above all; None where the ends are positions like others
    rested : both ends were read while the stick rested there. Neighbouring positions share their pulses, so the scatter
    counts for half its degrees of freedom. Where nothing was repeated, the scatter of single pulses stands in.
    """
    weights = RESTED_WEIGHTS if rested else alone_weights(int(np.count_nonzero(np.isfinite(curve.mean_us))))
    percent = 100.0 / span_us
    lines = []
    if curve.u_us is not None:
        lines.append(_share(STROKES, percent * curve.u_us, weights, dof=max(1.0, curve.dof / 2)))
    elif curve.share_us > 0.0:
        lines.append(_share(STROKES, percent * curve.share_us, weights))
    if end_u_us is not None:
        lines.append(_share(OUTPUT_STEP, percent * end_u_us, END_WEIGHTS))
    return tuple(lines)


def bend_line(curve: Curve, span_us: float) -> ShareLine | None:
    """Return the line of what a straight stretch within ± 2 % of travel misses of a bent curve (rectangular).

    A straight line over one spacing h either way reads f + f''h²/6; f'' from parabolas over nine positions. None where
    fewer were read.
    """
    y = curve.mean_us[np.isfinite(curve.mean_us)]
    size = 2 * _BEND_REACH + 1
    if y.size < size:
        return None
    at = np.arange(-_BEND_REACH, _BEND_REACH + 1.0)
    bends = 2.0 * np.linalg.pinv(np.vander(at, 3))[0]
    most_us = float(np.max(np.abs(np.convolve(y, bends[::-1], mode="valid")))) / 6.0
    return _share(BEND, 100.0 * rectangular(most_us) / span_us, _BEND_WEIGHTS)


def expanded(lines: tuple[ShareLine, ...]) -> dict[str, Combined]:
    """Return, by each straight line's name, its sources combined by the rule of every budget, in % of span.

    Empty where there is no source, or one is not a number.
    """
    if not lines or not all(math.isfinite(share) for line in lines for share in line.shares_pct.values()):
        return {}
    # The rule knows no unit: what it calls ms is % of span here.

    def own(name: str) -> list[BudgetLine]:
        return [BudgetLine(source=o.source, standard_ms=o.shares_pct[name], kind=o.kind, dof=o.dof) for o in lines]

    return {name: combine(own(name)) for name in LINES}


def _share(source: str, standard_pct: float, weights: Weights, *, dof: float | None = None) -> ShareLine:
    return ShareLine(
        source=source,
        standard_pct=weights.independent * standard_pct,
        terminal_pct=weights.terminal * standard_pct,
        zero_based_pct=weights.zero_based * standard_pct,
        kind="B" if dof is None else "A",
        dof=dof,
    )
