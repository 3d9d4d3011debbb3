"""Facts of a sweep that its words and tables share: give or take, smallest movement that shows, what a flip takes."""

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from benchapp.presentation.ground.numbers import NBSP, at_places, exists, uncertainty_places, value_and_u, with_unit
from benchapp.presentation.ground.stick_reasons import by_stops
from benchapp.records.findings import Latency, RunFindings, results
from benchapp.records.sweep_findings import CurveLine, Linearity, TransferCurve
from benchapp.reduction.ground.distributions import student_t_quantile

AT_MOST = "at most "
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


def at_most_pct(line: CurveLine) -> float | None:
    """Return the most a line's deviation may be in % of span, where what was seen lies below its give or take."""
    u = line.expanded_u_pct
    if not exists(line.deviation_pct) or not exists(u) or line.deviation_pct > u:
        return None
    return line.deviation_pct + u


def straight_words(line: CurveLine, *, of: str = "") -> str:
    """Return a line's deviation with its give or take, or "at most 0.13 %"; of: what the % are of, with its blank."""
    most = at_most_pct(line)
    if most is not None:
        return f"{AT_MOST}{at_places(most, uncertainty_places(most))}{NBSP}%{of}"
    value, give = value_and_u(line.deviation_pct, line.expanded_u_pct)
    return f"{value}{NBSP}%{of}" + ("" if give == "–" else f", give or take {give}{NBSP}%")


def off_cubic_words(linearity: Linearity) -> str:
    """Return how far the curve is off the best cubic, "" where that is not known.

    The best line's give or take holds for it too: noise cannot lie farther from the nearest cubic than from the nearest
    line.
    """
    line, pct = linearity.lines.get("independent"), linearity.cubic_pct
    if line is None or not exists(pct):
        return ""
    return straight_words(replace(line, deviation_pct=pct))


def signed_words(pct: float | None, half_width: float | None) -> str:
    """Return a difference of either sign with its give or take, or the most it may be where that is larger than it."""
    if exists(pct) and exists(half_width) and abs(pct) <= half_width:
        most = abs(pct) + half_width
        return f"{AT_MOST}{at_places(most, uncertainty_places(most))}{NBSP}% either way"
    value, give = value_and_u(pct, half_width)
    return f"{value}{NBSP}%" + (f", give or take {give}{NBSP}%" if exists(half_width) else "")


def width_words(pct: float | None, expanded_u: float | None, *, resolved: bool | None) -> str:
    """Return a width on the stick's travel: with its give or take where it is resolved, else the most it may be."""
    if not exists(pct):
        return ""
    if resolved is False and exists(expanded_u):
        most = pct + expanded_u
        return f"at most {at_places(most, uncertainty_places(most))}{NBSP}%"
    value, give = value_and_u(pct, expanded_u)
    return f"{value}{NBSP}%" + (f", give or take {give}{NBSP}%" if exists(expanded_u) else "")


def length_words(us: float | None, expanded_u: float | None) -> str:
    """Return a length in µs, to the place of its uncertainty's second digit; one decimal where that is not known."""
    return with_unit(us, min(uncertainty_places(expanded_u, default=1), 2), "µs")


def give_words(expanded_u: float | None) -> str:
    """Return ", give or take 0.63 µs", "" without an uncertainty."""
    if not exists(expanded_u):
        return ""
    return f", give or take {with_unit(expanded_u, min(uncertainty_places(expanded_u), 2), 'µs')}"


def flat_pct(linearity: Linearity) -> float | None:
    """Return the share of the stick's travel round the centre that does nothing, in %; None where it is not known.

    0 where it is no wider than two of the output's steps: a stair has treads, and one lies at the centre too; and where
    it is not resolved. A curve that is meant to be shallow there says nothing of the centre: None.
    The sentence then says that even the smallest movement shows; the table and the document keep the width.
    """
    flat = linearity.centre_flat_pct_of_input
    if not exists(flat):
        return None
    if linearity.centre_flat_resolved is False:
        return None if linearity.smooth_curve else 0.0
    least = max(_NO_FLAT_STEPS * (step_pct(linearity) or 0.0), _NO_FLAT_PCT)
    return flat if flat > least else 0.0


def expected_flip_ms(run: RunFindings, found: Linearity) -> float | None:
    """Return what a flip through this chain would take on average, to the end of the pulse [ms]; None without a lag.

    The lag, half a frame of waiting, and the mean pulse.
    """
    frame = run.frame
    if frame is None or not exists(found.delay_ms) or not exists(frame.period_ms):
        return None
    if not (exists(found.low_us) and exists(found.high_us)):
        return None
    return found.delay_ms + frame.period_ms / 2 + (found.low_us + found.high_us) / 2 / 1e3


def flip_beside(runs: Iterable[RunFindings]) -> tuple[RunFindings, Latency] | None:
    """Return the last run of a session that has a figure for flips, to hold a sweep's lag against; None without."""
    told = [(run, latency) for run, latency in results(Latency, runs) if exists(latency.headline.value_ms)]
    return told[-1] if told else None


def span_beside_us(runs: Iterable[RunFindings]) -> float | None:
    """Return the output span of a session's last sweep that has one, to hold a wander against; None without."""
    spans = [found.span_us for _, found in results(Linearity, runs) if exists(found.span_us)]
    return spans[-1] if spans else None


def up_and_down_told(linearity: Linearity) -> bool:
    """Return whether up and down are facts of their own.

    In a moving sweep they lie apart by hysteresis and by what the lag shears: without the lag nobody knows by which.
    Where the two are not told apart neither is given, nor how far up and down lie apart: not in the figures, the
    drawings, the tables or the document. The half-way curve stands; it hardly moves.
    """
    return by_stops(linearity) or exists(linearity.delay_ms)


def told_curve(linearity: Linearity) -> TransferCurve | None:
    """Return the curve as it may be shown: up and down are NaN where they are no facts; None without a curve."""
    curve = linearity.curve
    if curve is None or up_and_down_told(linearity):
        return curve
    nothing = np.full(curve.x.size, np.nan)
    return replace(curve, up_us=nothing, down_us=nothing, up_off_us=nothing, down_off_us=nothing)
