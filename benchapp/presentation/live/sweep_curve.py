"""The curve of a sweep so far against its line: what grows while the stick goes to and fro."""

from dataclasses import dataclass

import numpy as np

from benchapp.presentation.ground.axes import axis
from benchapp.presentation.ground.numbers import with_unit
from benchapp.records.sweep_findings import Linearity

CURVE = "The curve so far, and the straight line closest to it"
_MOST_TICKS = 3


@dataclass(frozen=True, kw_only=True, slots=True)
class CurveShown:
    """Pulse against stick, each 0 to 1 of the picture.

    up, down : readings with the stick going up and coming down, (x, y)   line : both ends of the closest straight line
    ticks    : (y, words) of the pulse's scale
    """

    up: tuple[tuple[float, float], ...]
    down: tuple[tuple[float, float], ...]
    line: tuple[tuple[float, float], ...]
    ticks: tuple[tuple[float, str], ...]


def sweep_curve(found: Linearity | None) -> CurveShown | None:
    """Return the curve of a sweep's findings so far, None before there is one."""
    if found is None or found.curve is None or found.curve.x.size < 2:
        return None
    curve, straight = found.curve, found.lines.get("independent")
    low_x, high_x = float(curve.x[0]), float(curve.x[-1])
    pulses = np.concatenate([curve.up_us, curve.down_us])
    pulses = pulses[np.isfinite(pulses)]
    if not pulses.size or not high_x > low_x:
        return None
    scale = axis(float(pulses.min()), float(pulses.max()), 0.0, 1.0, most=_MOST_TICKS)

    def places(values: np.ndarray) -> tuple[tuple[float, float], ...]:
        known = np.isfinite(values)
        shares = (curve.x[known] - low_x) / (high_x - low_x)
        return tuple((x, scale.at(y)) for x, y in zip(shares.tolist(), values[known].tolist(), strict=True))

    ends = () if straight is None else tuple(straight.intercept_us + straight.slope * x for x in (low_x, high_x))
    return CurveShown(
        up=places(curve.up_us),
        down=places(curve.down_us),
        line=tuple((float(x), min(max(scale.at(us), 0.0), 1.0)) for x, us in enumerate(ends)),
        ticks=tuple((scale.at(tick), with_unit(tick, 0, "µs")) for tick in scale.ticks),
    )
