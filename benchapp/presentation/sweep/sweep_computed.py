"""The choices behind the figures of a sweep, printed with them: a figure without its choices can be another."""

from collections.abc import Iterable

from benchapp.presentation.ground.numbers import NBSP, at_places, counted, digits, exists, percent, plainly
from benchapp.presentation.ground.stick_reasons import by_stops
from benchapp.presentation.sweep.sweep_rows import RESOLVED_U
from benchapp.records.sweep_findings import CurveLeastSquares, Linearity
from benchapp.reduction.sweep.linearity_budget import LEVEL_LEAD
from benchapp.reduction.sweep.repeatability import SHARE_KNOWN


def sweep_computed(found: Linearity) -> tuple[str, ...]:
    """Return sentences; empty where there is no curve."""
    return tuple(_sentences(found)) if exists(found.span_us) else ()


def _sentences(found: Linearity) -> Iterable[str]:
    yield (
        f"Percentages are of output span: the {digits(found.span_us, 5, 'µs')} from one end of this travel to "
        "the other, "
        "not of a full scale laid down elsewhere."
    )
    yield _curve(found)
    yield (
        "The best line is free, and its greatest distance from the averaged curve is the least possible, "
        "exactly (independent "
        "linearity); the line from end to end passes through both end points (terminal-based); the line from "
        "the low end "
        "passes through that end point alone (zero-based). For the best line and the one from the low end the "
        "figure is "
        "half the band, for end to end it is the greatest distance with its sign."
    )
    if found.least_squares is not None:
        yield _least_squares(found.least_squares, found.x_unit)
    yield (
        f"Differences from up to down are the largest over {counted(found.positions, 'position')} and "
        f"{counted(found.cycles, 'cycle')}, play included; below {at_places(RESOLVED_U, 1)} times the standard "
        f"uncertainty of one difference{_difference(found)} they are called not resolved: the largest of so many "
        "reaches less by chance."
    )
    yield (
        "Each straight line has its own give or take. A deviation is a norm of the curve, so errors of the curve "
        "change it by no more than their own deviation: each source is weighted with what that line's deviation of "
        f"such errors alone stays below in 95{NBSP}% of simulated cases. Where a deviation lies below its give or "
        "take, the most it may be is stated instead."
    )
    yield from _smooth(found)
    yield from _repeats(found)
    if not by_stops(found):
        yield _fit(found)
    if any(line.source == LEVEL_LEAD and line.standard_pct == 0 for line in found.uncertainty):
        yield (
            "The voltage lead on the stick states no step of its own and none shows in its values, so how true "
            "it reads "
            "is not in the give or take."
        )


def _curve(found: Linearity) -> str:
    middle = "the averaged curve, half-way between coming up and going down"
    if by_stops(found):
        return (
            f"Lines are laid through {middle}, at {counted(found.positions, 'position')}; each stop's reading "
            "is the median "
            "of the servo pulses while everything stood still, and a direction's reading is the mean over its cycles."
        )
    ends = "End points are medians while the stick rested there"
    if not (found.rested_low and found.rested_high):
        ends = f"{ends}; where it did not, the value of a straight line through the last servo pulses"
    return (
        f"Lines are laid through {middle}, at {counted(found.positions, 'even position')}; each reading is the "
        "value of a "
        f"straight line fitted to the servo pulses within 2{NBSP}% of the travel either way. {ends}."
    )


def _least_squares(line: CurveLeastSquares, unit: str) -> str:
    per = f"µs/{unit}"
    slope = f"slope {digits(line.slope, 6, per)}{_u(line.slope_u, per)}"
    intercept = f"intercept {digits(line.intercept_us, 6, 'µs')}{_u(line.intercept_u_us, 'µs')}"
    residual = f", residual standard deviation {digits(line.residual_sd_us, 3, 'µs')}" if line.residual_sd_us else ""
    return (
        f"Line of least squares over the averaged positions, n{NBSP}={NBSP}{line.n}: {slope}, "
        f"{intercept}{residual} with "
        f"n{NBSP}−{NBSP}2{NBSP}={NBSP}{line.n - 2} degrees of freedom, correlation of the two "
        f"{at_places(line.correlation, 3)} (form of JCGM 100, H.3)."
    )


def _smooth(found: Linearity) -> Iterable[str]:
    if not exists(found.cubic_us):
        return
    yield (
        f"The best cubic, whose greatest distance from the averaged curve is the least possible, leaves "
        f"{digits(found.cubic_us, 2, 'µs')}; where that is less than a third of what the best line leaves, the curve "
        "is called smooth. A flat round the centre counts only where it is wider than the same rule finds on the cubic."
    )


def _repeats(found: Linearity) -> Iterable[str]:
    if not exists(found.repeatability_us) or not exists(found.repeatability_dof):
        return
    yield (
        "Repeatability is the pooled standard deviation of single readings of one direction (usage of ISO 5725), less "
        f"{digits(found.repeatability_share_us, 2, 'µs')} that the scatter of single pulses, the probe's own among it, "
        "lets a reading scatter by; its interval is by chi-squared with "
        f"{at_places(found.repeatability_dof, 0)} degrees of freedom. Less than {at_places(SHARE_KNOWN, 2)} times that "
        "share and a step's own is not called the stick's."
    )


def _u(standard: float | None, unit: str) -> str:
    return f" (standard uncertainty {digits(standard, 2, unit)})" if exists(standard) else ""


def _difference(found: Linearity) -> str:
    return f" ({digits(found.difference_u_us, 2, 'µs')})" if exists(found.difference_u_us) else ""


def _fit(found: Linearity) -> str:
    spread = f" The speed varied by {percent(found.speed_spread)} either way." if exists(found.speed_spread) else ""
    if not exists(found.delay_ms):
        alone = ""
        if exists(found.alone_ms):
            lag = digits(found.alone_ms, 3, "ms")
            alone = f" The curve was drawn as if the lag were {lag} and there were no hysteresis."
        return (
            "Lag and hysteresis are fitted together with the curve; they count as told apart when the lag's standard "
            f"uncertainty is at most 0.5{NBSP}ms and the speed varied by at least 15{NBSP}%.{spread} Here they "
            "were not."
            f"{alone}"
        )
    return (
        "Lag and hysteresis were fitted together with the curve, to the servo pulses whose stick moved one way for "
        f"80{NBSP}ms before and after; their standard uncertainties ({digits(found.delay_u_ms, 2, 'ms')} and "
        f"{plainly(found.fitted_hysteresis_u_pct, 2, '%')}) come from leaving out one stroke at a time, and "
        "their give or "
        f"take from Student's t with {found.fit_dof} degrees of freedom.{spread}"
    )
