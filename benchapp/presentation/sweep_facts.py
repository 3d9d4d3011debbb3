"""Facts of a sweep that its words and tables share: give or take, smallest movement that shows, what a flip takes."""

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from benchapp.presentation.numbers import exists
from benchapp.presentation.stick_reasons import by_stops
from benchapp.records.findings import RunFindings
from benchapp.records.sweep_findings import Linearity, TransferCurve
from benchapp.reduction.distributions import student_t_quantile

_LEVEL = 0.975
_NO_FLAT_STEPS = 2.0
_NO_FLAT_PCT = 0.1


def delay_half_width_ms(linearity: Linearity) -> float | None:
    """Return the give or take of the lag, for 95 % coverage (Student's t); None without a lag."""
    return _half_width(linearity, linearity.delay_u_ms)


def hysteresis_half_width_pct(linearity: Linearity) -> float | None:
    """Return the give or take of the fitted hysteresis in % of output span; None without one."""
    return _half_width(linearity, linearity.fitted_hysteresis_u_pct)


def _half_width(linearity: Linearity, standard: float | None) -> float | None:
    if not exists(standard) or linearity.fit_dof is None or linearity.fit_dof < 1:
        return None
    return student_t_quantile(_LEVEL, linearity.fit_dof) * standard


def step_pct(linearity: Linearity) -> float | None:
    """Return the output's step in % of output span."""
    if not exists(linearity.step_us) or not exists(linearity.span_us):
        return None
    return 100.0 * linearity.step_us / linearity.span_us


def flat_pct(linearity: Linearity) -> float | None:
    """Return the share of the stick's travel round the centre that does nothing, in %; None where it is not known.

    0 where it is no wider than two of the output's steps: a stair has treads, and one lies at the centre too.
    """
    flat = linearity.centre_flat_pct_of_input
    if not exists(flat):
        return None
    least = max(_NO_FLAT_STEPS * (step_pct(linearity) or 0.0), _NO_FLAT_PCT)
    return flat if flat > least else 0.0


def expected_flip_ms(run: RunFindings) -> float | None:
    """Return what a flip through this chain would take on average, to the end of the pulse [ms]; None without a lag.

    The lag, half a frame of waiting, and the mean pulse.
    """
    found, frame = run.linearity, run.frame
    if found is None or frame is None or not exists(found.delay_ms) or not exists(frame.period_ms):
        return None
    if not (exists(found.low_us) and exists(found.high_us)):
        return None
    return found.delay_ms + frame.period_ms / 2 + (found.low_us + found.high_us) / 2 / 1e3


def flip_beside(runs: Iterable[RunFindings]) -> RunFindings | None:
    """Return the last run of a session that has a figure for flips, to hold a sweep's lag against; None without."""
    told = [run for run in runs if run.latency is not None and exists(run.latency.headline.value_ms)]
    return told[-1] if told else None


def span_beside_us(runs: Iterable[RunFindings]) -> float | None:
    """Return the output span of a session's last sweep that has one, to hold a wander against; None without."""
    spans = [run.linearity.span_us for run in runs if run.linearity is not None and exists(run.linearity.span_us)]
    return spans[-1] if spans else None


def up_and_down_told(linearity: Linearity) -> bool:
    """Return whether up and down are facts of their own.

    In a moving sweep they lie apart by hysteresis and by what the lag shears: without the lag nobody knows by which.
    """
    return by_stops(linearity) or exists(linearity.delay_ms)


def told_curve(linearity: Linearity) -> TransferCurve | None:
    """Return the curve as it may be shown: up and down are NaN where they are no facts; None without a curve."""
    curve = linearity.curve
    if curve is None or up_and_down_told(linearity):
        return curve
    nothing = np.full(curve.x.size, np.nan)
    return replace(curve, up_us=nothing, down_us=nothing, up_off_us=nothing, down_off_us=nothing)
