"""What sweeps and holds conclude, as quantities that can stand side by side."""

import math
from collections.abc import Iterator, Sequence

from benchapp.records.comparison import Quantity
from benchapp.records.sweep_findings import Linearity, Steadiness
from benchapp.reduction.comparing.set_parts import RunPart
from benchapp.reduction.ground.distributions import student_t_quantile
from benchapp.reduction.ground.summary import mean, standard_deviation
from benchapp.reduction.ground.uncertainty import ENOUGH_DOF

FEWEST_REPEATS = 3
"""Sweeps or holds of a set from which their own scatter says how sure a quantity is."""
ALIKE_HELD = 0.1
"""Peak to peak grows with the time held: it stands only where the holds were equally long to within this share."""


def quantities_of(parts: Sequence[RunPart]) -> tuple[Quantity, ...]:
    """Return a set's quantities, each over all of its runs that have it.

    From three runs on the value is their mean, its uncertainty their scatter over the root of their number; below that
    one run's own uncertainty stands for the mean (two runs do not lessen it: their systematic part is not known), and a
    quantity without one is shown, not judged. The spread of a hold is judged by its logarithm, from three holds on: a
    hold's own interval says nothing of how the next one differs.
    """
    single: dict[str, list[Quantity]] = {}
    for part in parts:
        for quantity in _of_run(part):
            single.setdefault(quantity.key, []).append(quantity)
    alike = (found for found in single.values() if equally_long([one.held_s for one in found]))
    return tuple(_taken_together(found) for found in alike)


def equally_long(held_s: Sequence[float | None]) -> bool:
    """Return whether holds were equally long to within a tenth; so is everything that does not grow with the time."""
    times = [time for time in held_s if time is not None]
    return not times or min(times) >= (1.0 - ALIKE_HELD) * max(times)


def dof_of_factor(k: float) -> float | None:
    """Return the degrees of freedom whose t at 97.5 % is k; None (infinite) for 2, which stands from 30 on."""
    if k <= student_t_quantile(0.975, ENOUGH_DOF):
        return None
    low, high = 0.5, ENOUGH_DOF
    for _ in range(60):
        middle = math.sqrt(low * high)
        low, high = (middle, high) if student_t_quantile(0.975, middle) > k else (low, middle)
    return low


def _taken_together(found: Sequence[Quantity]) -> Quantity:
    key, in_log = found[0].key, found[0].in_log
    values = [math.log(one.value) if in_log else one.value for one in found]
    middle = mean(values)
    value = math.exp(middle) if in_log else middle
    if len(found) >= FEWEST_REPEATS:
        scatter = standard_deviation(values) or 0.0
        standard = scatter / math.sqrt(len(values)) if scatter > 0.0 else None
        return Quantity(key=key, value=value, n=len(found), standard=standard, dof=float(len(found) - 1), in_log=in_log)
    own = [(one.standard, one.dof) for one in found if one.standard is not None]
    if len(own) < len(found):
        return Quantity(key=key, value=value, n=len(found), in_log=in_log, held_s=found[0].held_s)
    standard, dof = max(own, key=lambda pair: pair[0])
    return Quantity(key=key, value=value, n=len(found), standard=standard, dof=dof, in_log=in_log)


def _of_run(part: RunPart) -> Iterator[Quantity]:
    if isinstance(part.result, Linearity):
        yield from _of_sweep(part.result)
    elif isinstance(part.result, Steadiness):
        yield from _of_hold(part.result)


def _of_sweep(linearity: Linearity) -> Iterator[Quantity]:
    for key, name in (("straightness_pct", "independent"), ("end_to_end_pct", "terminal")):
        line = linearity.lines.get(name)
        if line is not None:
            yield from _quantity(key, line.deviation_pct, line.expanded_u_pct, k=line.k or 2.0)
    fitted, fitted_u = linearity.fitted_hysteresis_pct, linearity.fitted_hysteresis_u_pct
    if fitted is not None:
        dof = None if linearity.fit_dof is None else float(linearity.fit_dof)
        yield Quantity(key="fitted_hysteresis_pct", value=fitted, n=1, standard=fitted_u, dof=dof)
    yield from _quantity("hysteresis_pct", linearity.hysteresis_pct)
    yield from _quantity("low_end_us", linearity.low_us, linearity.low_u_us)
    yield from _quantity("high_end_us", linearity.high_us, linearity.high_u_us)
    yield from _quantity("centre_offset_us", linearity.centre_offset_us, linearity.centre_u_us)
    yield from _quantity("dead_band_pct_of_input", linearity.dead_band_pct_of_input, linearity.dead_band_u_pct_of_input)
    yield from _quantity(
        "centre_flat_pct_of_input", linearity.centre_flat_pct_of_input, linearity.centre_flat_u_pct_of_input
    )
    yield from _quantity("step_us", linearity.step_us)
    yield from _quantity("repeatability_us", linearity.repeatability_us)


def _of_hold(steadiness: Steadiness) -> Iterator[Quantity]:
    if steadiness.sd_us is not None and steadiness.sd_us > 0.0:
        yield Quantity(key="unsteadiness_us", value=steadiness.sd_us, n=1, in_log=True)
    yield Quantity(key="peak_to_peak_us", value=steadiness.peak_to_peak_us, n=1, held_s=steadiness.held_s)
    yield from _quantity("frame_period_ms", steadiness.frame_period_ms, steadiness.frame_period_u_ms)
    yield from _quantity("frame_sd_us", steadiness.frame_sd_us)
    yield from _quantity("drift_us_per_min", steadiness.drift_us_per_min)


def _quantity(key: str, value: float | None, expanded: float | None = None, *, k: float = 2.0) -> Iterator[Quantity]:
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
