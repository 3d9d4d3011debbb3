"""The reduction of stick-sweep."""

from benchapp.reduction.ground.recipe import Recipe
from benchapp.reduction.sweep.linearity import RESOLVED
from benchapp.reduction.sweep.stick_sweep import reduce_stick_sweep
from benchapp.reduction.sweep.sweep_ends import SETTLE_NS
from benchapp.reduction.sweep.sweep_fit import LEAST_SPREAD, MOST_DELAY_U_S
from benchapp.reduction.sweep.sweep_pulses import GUARD_NS
from benchapp.reduction.sweep.transfer_curve import POSITIONS

PART = Recipe(
    reduce=reduce_stick_sweep,
    settings={
        "sweep_positions": POSITIONS,
        "sweep_guard_ms": GUARD_NS / 1e6,
        "sweep_settle_ms": SETTLE_NS / 1e6,
        "sweep_speed_spread_pct": 100 * LEAST_SPREAD,
        "sweep_delay_u_ms": MOST_DELAY_U_S * 1e3,
        "resolved_sigmas": RESOLVED,
    },
)
