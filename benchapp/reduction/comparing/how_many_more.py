"""How many switch-ons would tell two sets apart."""

import math

from benchapp.records.comparison import DAY_UNIT, More, SetFigure
from benchapp.records.findings import ONE_FRAME
from benchapp.reduction.comparing.set_figure import PLANNED_FLIPS
from benchapp.reduction.ground.distributions import student_t_quantile

FEWEST, MOST = 2, 200
"""Units a set that can be asked for; with more than 200 there is no reasonable number."""


def more_units(a: SetFigure, b: SetFigure, *, shift_ms: float, level: float) -> More:
    """Return how many units each set would need to show a difference of that size, at that level.

    The smallest k with t(2k - 2)·√(s_a² + s_b²)/√k at most |shift|, s how far apart one unit and the next lie; at least
    one more than there are now, since these do not tell. More() where 200 would not do.
    """
    units = _fewest(a.spread_ms, b.spread_ms, abs(shift_ms), level)
    if units is None:
        return More()
    units = max(units, min(a.units, b.units) + 1)
    if DAY_UNIT in (a.unit, b.unit):
        return More(days=units)
    return More(switch_ons=units, flips=_flips(a, b, units))


def _fewest(a: float | None, b: float | None, shift_ms: float, level: float) -> int | None:
    if a is None or b is None or shift_ms <= 0.0:
        return None

    def shows(units: int) -> bool:
        t = student_t_quantile(0.5 + level / 2.0, 2.0 * units - 2.0)
        return t * math.hypot(a, b) / math.sqrt(units) <= shift_ms

    if not shows(MOST):
        return None
    low, high = FEWEST, MOST
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if shows(middle) else (middle + 1, high)
    return low


def _flips(a: SetFigure, b: SetFigure, units: int) -> int | None:
    """Return the flips a set in all; None where both keep step over several switch-ons: flips then hardly matter."""
    if a.keeps_step and b.keeps_step and ONE_FRAME not in (a.rule, b.rule):
        return None
    each = [PLANNED_FLIPS if one.rule == ONE_FRAME else one.flips_each for one in (a, b)]
    return math.ceil(units * max(each))
