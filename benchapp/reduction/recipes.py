"""A test's name and the reduction that goes with it."""

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType

from benchapp.records.errors import WrongInput
from benchapp.records.findings import REDUCTION_VERSION, RunFindings, SessionFindings
from benchapp.records.method import FEWEST_HELD_PULSES, SEEN_LATE_NS, SHORTEST_WINDOW_NS, WINDOW_FRAMES
from benchapp.records.run import RunEvidence
from benchapp.reduction.flips.answers import MID_SIGMAS, NEAR_SIGMAS, OUTER_SIGMAS
from benchapp.reduction.flips.switch_flip import reduce_switch_flip
from benchapp.reduction.hold.hold_still import reduce_hold_still
from benchapp.reduction.sweep.linearity import RESOLVED
from benchapp.reduction.sweep.stick_sweep import reduce_stick_sweep
from benchapp.reduction.sweep.sweep_ends import SETTLE_NS
from benchapp.reduction.sweep.sweep_fit import LEAST_SPREAD, MOST_DELAY_U_S
from benchapp.reduction.sweep.sweep_pulses import GUARD_NS
from benchapp.reduction.sweep.transfer_curve import POSITIONS
from benchapp.waveforms.flips import HOLD_OFF_NS
from benchapp.waveforms.polarity import LONGEST_PULSE_NS, SHORTEST_PULSE_NS
from benchapp.waveforms.transitions import SPIKE_NS

RECIPES: Mapping[str, Callable[[RunEvidence], RunFindings]] = MappingProxyType(
    {"switch-flip": reduce_switch_flip, "stick-sweep": reduce_stick_sweep, "hold-still": reduce_hold_still}
)

SETTINGS: Mapping[str, float] = MappingProxyType(
    {
        "hold_off_ms": HOLD_OFF_NS / 1e6,
        "shortest_pulse_ms": SHORTEST_PULSE_NS / 1e6,
        "longest_pulse_ms": LONGEST_PULSE_NS / 1e6,
        "spike_ms": SPIKE_NS / 1e6,
        "shortest_window_s": SHORTEST_WINDOW_NS / 1e9,
        "window_frames": WINDOW_FRAMES,
        "mid_sigmas": MID_SIGMAS,
        "outer_sigmas": OUTER_SIGMAS,
        "near_half_way_sigmas": NEAR_SIGMAS,
        "sweep_positions": POSITIONS,
        "sweep_guard_ms": GUARD_NS / 1e6,
        "sweep_settle_ms": SETTLE_NS / 1e6,
        "sweep_speed_spread_pct": 100 * LEAST_SPREAD,
        "sweep_delay_u_ms": MOST_DELAY_U_S * 1e3,
        "resolved_sigmas": RESOLVED,
        "hold_touch_s": SEEN_LATE_NS / 1e9,
        "hold_fewest_pulses": FEWEST_HELD_PULSES,
    }
)
"""What the reductions were set to, printed with every finding."""


def reduce_run(evidence: RunEvidence) -> RunFindings:
    """Return the findings of one run by the recipe of its test.

    Raises WrongInput for a test this version does not know, NotEnoughData where a lead it needs is missing.
    """
    recipe = RECIPES.get(evidence.test)
    if recipe is None:
        known = ", ".join(RECIPES)
        raise WrongInput(f"run {evidence.run} is a “{evidence.test}” test; this version reduces {known}")
    return recipe(evidence)


def reduce_session(runs: Iterable[RunEvidence]) -> SessionFindings:
    """Return the findings of every run, with the reduction's version and settings."""
    return SessionFindings(runs=tuple(reduce_run(run) for run in runs), version=REDUCTION_VERSION, settings=SETTINGS)
