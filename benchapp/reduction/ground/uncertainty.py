"""Budget lines combined into one standard and one expanded uncertainty."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from benchapp.records.findings import BudgetLine
from benchapp.reduction.ground.distributions import student_t_quantile

ENOUGH_DOF = 30.0
"""From here on k is 2; below, t at 97.5 % of the effective degrees of freedom (2.04 at 30)."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Combined:
    """A budget's sum. dof are the effective degrees of freedom, None if infinite; expanded_ms = k · standard_ms."""

    standard_ms: float
    dof: float | None
    k: float
    expanded_ms: float


def combine(lines: Sequence[BudgetLine]) -> Combined:
    """Return the lines added in quadrature, with a coverage factor for 95 %.

    JCGM 100:2008, 5.1.2 (quadrature) and G.4.1 (Welch-Satterthwaite, kept as a real number). No lines: all zero.
    """
    standard = math.hypot(*(line.standard_ms for line in lines))
    dof = _effective_dof(lines, standard)
    k = 2.0 if dof is None or dof >= ENOUGH_DOF else student_t_quantile(0.975, dof)
    return Combined(standard_ms=standard, dof=dof, k=k, expanded_ms=k * standard)


def rectangular(half_width: float) -> float:
    """Return the standard uncertainty of a value anywhere within ± half_width alike: a/√3 (JCGM 100:2008, 4.3.7)."""
    return half_width / math.sqrt(3.0)


def one_step(step: float) -> float:
    """Return the standard uncertainty of a reading in steps: step/√12 (JCGM 100:2008, F.2.2.1)."""
    return step / math.sqrt(12.0)


def _effective_dof(lines: Sequence[BudgetLine], standard: float) -> float | None:
    if standard == 0.0:
        return None
    # Shares of the whole, so that neither very small nor very large lines run out of range.
    spread = sum((line.standard_ms / standard) ** 4 / line.dof for line in lines if line.dof is not None)
    return 1.0 / spread if spread > 0.0 else None
