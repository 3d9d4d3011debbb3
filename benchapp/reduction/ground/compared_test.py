"""What a named test brings along to be compared: each test answers for its own result."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from benchapp.records.comparison import Quantity
from benchapp.records.findings import RunFindings
from benchapp.reduction.ground.distributions import student_t_quantile
from benchapp.reduction.ground.uncertainty import ENOUGH_DOF


def no_quantities(_run: RunFindings) -> Iterator[Quantity]:
    """Yield nothing: what a timed test concludes is compared by its switch-ons."""
    return iter(())


def against_nothing(_run: RunFindings) -> str:
    """Return "": there is but one thing this test measures against."""
    return ""


@dataclass(frozen=True, kw_only=True, slots=True)
class ComparedTest:
    """A test's part in comparisons.

    timed : it concludes a latency, whose switch-ons are the samples and whose pick-up must be alike
    quantities : of one run, with their own uncertainties;  against : what it measures against, which must be alike
    """

    timed: bool = False
    quantities: Callable[[RunFindings], Iterator[Quantity]] = no_quantities
    against: Callable[[RunFindings], str] = against_nothing


def quantity(key: str, value: float | None, expanded: float | None = None, *, k: float = 2.0) -> Iterator[Quantity]:
    """Yield a quantity with its expanded uncertainty, nothing where it has no value. key ends in its unit."""
    if value is None or not math.isfinite(value):
        return
    known = expanded is not None and math.isfinite(expanded) and expanded > 0.0
    yield Quantity(
        key=key,
        value=value,
        n=1,
        standard=expanded / k if known and expanded is not None else None,
        dof=dof_of_factor(k) if known else None,
    )


def dof_of_factor(k: float) -> float | None:
    """Return the degrees of freedom whose t at 97.5 % is k; None (infinite) for 2, which stands from 30 on."""
    if k <= student_t_quantile(0.975, ENOUGH_DOF):
        return None
    low, high = 0.5, ENOUGH_DOF
    for _ in range(60):
        middle = math.sqrt(low * high)
        low, high = (middle, high) if student_t_quantile(0.975, middle) > k else (low, middle)
    return low
