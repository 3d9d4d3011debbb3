"""Quantities of sweeps and holds of two sets, judged where both say how sure they are."""

import math
from collections.abc import Sequence

from benchapp.records.comparison import CANNOT_TELL, DIFFERENT, SHOWN, Quantity, QuantityPair
from benchapp.reduction.comparing.quantities import equally_long
from benchapp.reduction.comparing.welch import effective_dof
from benchapp.reduction.ground.distributions import student_t_quantile


def quantity_pairs(a: Sequence[Quantity], b: Sequence[Quantity], *, level: float) -> tuple[QuantityPair, ...]:
    """Return the quantities that both sets have, in a's order.

    level : for all of a pair's quantities together; each that is judged gets its share of what is left of 1.
    """
    others = {quantity.key: quantity for quantity in b}
    both = [(quantity, others[quantity.key]) for quantity in a if quantity.key in others]
    both = [(one, other) for one, other in both if one.of == other.of and equally_long([one.held_s, other.held_s])]
    judged = sum(is_judged(one, other) for one, other in both)
    own_level = 1.0 - (1.0 - level) / max(judged, 1)
    return tuple(_pair(one, other, own_level) for one, other in both)


def is_judged(a: Quantity, b: Quantity) -> bool:
    """Return whether both values carry an uncertainty of their own."""
    return a.standard is not None and b.standard is not None


def _pair(a: Quantity, b: Quantity, level: float) -> QuantityPair:
    in_log = a.in_log
    shift = math.log(b.value / a.value) if in_log else b.value - a.value
    shown = b.value / a.value if in_log else shift
    if a.standard is None or b.standard is None:
        return QuantityPair(key=a.key, verdict=SHOWN, a=a.value, b=b.value, shift=shown, in_log=in_log)
    dof = effective_dof(a.standard, a.dof, b.standard, b.dof)
    t = student_t_quantile(0.5 + level / 2.0, math.inf if dof is None else dof)
    half = t * math.hypot(a.standard, b.standard)
    low, high = shift - half, shift + half
    return QuantityPair(
        key=a.key,
        verdict=DIFFERENT if low > 0.0 or high < 0.0 else CANNOT_TELL,
        a=a.value,
        b=b.value,
        shift=shown,
        ci=(math.exp(low), math.exp(high)) if in_log else (low, high),
        in_log=in_log,
    )
