"""The block `linearity` of a findings document."""

from collections.abc import Iterable

from benchapp.presentation.ground.stick_facts import told_curve
from benchapp.presentation.ground.stick_reasons import by_stops, missing_figures
from benchapp.records.sweep_findings import (
    LINES,
    CurveLeastSquares,
    CurveLine,
    Linearity,
    ShareLine,
    StepLinearity,
    StrokeFacts,
    TransferCurve,
)
from benchapp.report.filed_test import Tree
from benchapp.report.json_numbers import at_seconds, interval, listed, milliseconds, number, tally


def linearity_block(linearity: Linearity, notes: Iterable[str], *, expected_flip_ms: float | None) -> Tree:
    """Return everything a sweep says; expected_flip_ms: what a flip would take by its delay, half a frame and a pulse.

    Where the stick's place is a number the key ends with its unit: _v against the stick's voltage, _deg against an
    angle. What does not exist is null, and `null_because` says why.
    Clipping by stops is not judged, and so null: two stops at one value may be a clip or a step.
    """
    x = x_unit(linearity)
    told = linearity.span_us is not None
    judged = told and not by_stops(linearity)
    lines, curve = linearity.lines, told_curve(linearity)
    return {
        "against": linearity.against,
        "span_us": number(linearity.span_us),
        f"span_{x}": number(linearity.span_x),
        "cycles": linearity.cycles,
        "positions": linearity.positions,
        "delay_ms": milliseconds(linearity.delay_ms),
        "delay_u_ms": milliseconds(linearity.delay_u_ms),
        "fitted_hysteresis_pct": number(linearity.fitted_hysteresis_pct),
        "fitted_hysteresis_u_pct": number(linearity.fitted_hysteresis_u_pct),
        "fitted_hysteresis_us": number(linearity.fitted_hysteresis_us),
        "fitted_hysteresis_u_us": number(linearity.fitted_hysteresis_u_us),
        "fit_dof": linearity.fit_dof,
        "expected_flip_ms": milliseconds(expected_flip_ms),
        "expanded_uncertainty_pct": number(linearity.expanded_uncertainty_pct),
        "k": number(linearity.k),
        **{f"{name}_u_pct": number(line.expanded_u_pct) if (line := lines.get(name)) else None for name in LINES},
        "cubic_pct": number(linearity.cubic_pct),
        "cubic_us": number(linearity.cubic_us),
        "smooth_curve": linearity.smooth_curve,
        "independent_pct": _deviation_pct(lines.get("independent")),
        "terminal_pct": _deviation_pct(lines.get("terminal")),
        "zero_based_pct": _deviation_pct(lines.get("zero_based")),
        "independent_us": _deviation_us(lines.get("independent")),
        "terminal_us": _deviation_us(lines.get("terminal")),
        "zero_based_us": _deviation_us(lines.get("zero_based")),
        "hysteresis_pct": number(linearity.hysteresis_pct),
        "hysteresis_us": number(linearity.hysteresis_us),
        f"hysteresis_at_{x}": number(linearity.hysteresis_at_x),
        "hysteresis_resolved": linearity.hysteresis_resolved,
        "repeatability_pct": number(linearity.repeatability_pct),
        "repeatability_us": number(linearity.repeatability_us),
        "repeatability_ci95_pct": interval(linearity.repeatability_ci95_pct),
        "repeatability_ci95_us": interval(linearity.repeatability_ci95_us),
        "repeatability_share_us": number(linearity.repeatability_share_us),
        "repeatability_dof": number(linearity.repeatability_dof),
        "repeatability_resolved": linearity.repeatability_resolved,
        "spread_us": number(linearity.spread_us),
        "spread_pct": number(linearity.spread_pct),
        f"spread_at_{x}": number(linearity.spread_at_x),
        "difference_u_us": number(linearity.difference_u_us),
        "least_squares": None if linearity.least_squares is None else _least_squares(linearity.least_squares, x),
        "dead_band_pct_of_input": number(linearity.dead_band_pct_of_input),
        "dead_band_u_pct_of_input": number(linearity.dead_band_u_pct_of_input),
        "dead_band_resolved": linearity.dead_band_resolved,
        f"dead_band_{x}": number(linearity.dead_band_x),
        "centre_flat_pct_of_input": number(linearity.centre_flat_pct_of_input),
        "centre_flat_u_pct_of_input": number(linearity.centre_flat_u_pct_of_input),
        "centre_flat_resolved": linearity.centre_flat_resolved,
        f"centre_flat_{x}": number(linearity.centre_flat_x),
        "refresh_ms": milliseconds(linearity.refresh_ms),
        "repeated_values": linearity.repeated_values,
        "repeated_of": linearity.repeated_of,
        "centre_us": number(linearity.centre_us),
        "centre_u_us": number(linearity.centre_u_us),
        "span_u_us": number(linearity.span_u_us),
        "low_u_us": number(linearity.low_u_us),
        "high_u_us": number(linearity.high_u_us),
        "centre_offset_us": number(linearity.centre_offset_us),
        "symmetry_us": number(linearity.symmetry_us),
        "symmetry_pct": number(linearity.symmetry_pct),
        "bow_us": number(linearity.bow_us),
        "bow_pct": number(linearity.bow_pct),
        "monotonic": linearity.monotonic,
        "step_us": number(linearity.step_us),
        "noise_us": number(linearity.noise_us),
        "distinct_values": None if linearity.values is None else linearity.values.count,
        "clipped_low": linearity.clipped_low if judged else None,
        "clipped_high": linearity.clipped_high if judged else None,
        "railed_low": linearity.railed_low if judged else None,
        "railed_high": linearity.railed_high if judged else None,
        "rested_low": linearity.rested_low if told else None,
        "rested_high": linearity.rested_high if told else None,
        "rising_output": linearity.rising_output,
        f"travel_{x}": number(linearity.travel_x),
        f"low_{x}": number(linearity.low_x),
        f"high_{x}": number(linearity.high_x),
        "low_us": number(linearity.low_us),
        "high_us": number(linearity.high_us),
        "speed_spread": number(linearity.speed_spread),
        "lines": {name: _line(line, x) for name, line in lines.items()},
        "steps": None if linearity.steps is None else _steps(linearity.steps),
        "uncertainty": [_share(line) for line in linearity.uncertainty],
        "curve": None if curve is None else _curve(curve, x),
        "strokes": [_stroke(stroke, x) for stroke in linearity.strokes],
        "values": None if linearity.values is None else tally(linearity.values),
        "null_because": dict(missing_figures(linearity, notes)),
    }


def x_unit(linearity: Linearity) -> str:
    """Return the unit of the stick's place as keys spell it: "v" or "deg"."""
    return "v" if linearity.x_unit == "V" else "deg"


def _deviation_pct(line: CurveLine | None) -> float | None:
    return None if line is None else number(line.deviation_pct)


def _deviation_us(line: CurveLine | None) -> float | None:
    return None if line is None else number(line.deviation_us)


def _line(line: CurveLine, x: str) -> Tree:
    return {
        f"slope_us_per_{x}": number(line.slope),
        "intercept_us": number(line.intercept_us),
        "deviation_us": number(line.deviation_us),
        "deviation_pct": number(line.deviation_pct),
        "expanded_u_pct": number(line.expanded_u_pct),
        "k": number(line.k),
        f"at_{x}": number(line.at_x),
    }


def _least_squares(line: CurveLeastSquares, x: str) -> Tree:
    return {
        f"slope_us_per_{x}": number(line.slope),
        "intercept_us": number(line.intercept_us),
        "slope_u": number(line.slope_u),
        "intercept_u": number(line.intercept_u_us),
        "residual_sd_us": number(line.residual_sd_us),
        "correlation": number(line.correlation),
        "n": line.n,
    }


def _steps(steps: StepLinearity) -> Tree:
    return {
        "dnl": number(steps.dnl),
        "inl": number(steps.inl),
        "codes": steps.codes,
        "missing": steps.missing,
        "pulses_a_code": number(steps.pulses_a_code),
    }


def _share(line: ShareLine) -> Tree:
    return {
        "source": line.source,
        "standard_pct": number(line.standard_pct),
        "terminal_pct": number(line.terminal_pct),
        "zero_based_pct": number(line.zero_based_pct),
        "type": line.kind,
        "dof": number(line.dof),
    }


def _curve(curve: TransferCurve, x: str) -> Tree:
    return {
        x: listed(curve.x),
        "up_us": listed(curve.up_us),
        "down_us": listed(curve.down_us),
        "mean_us": listed(curve.mean_us),
        "up_off_us": listed(curve.up_off_us),
        "down_off_us": listed(curve.down_off_us),
        "mean_off_us": listed(curve.mean_off_us),
    }


def _stroke(stroke: StrokeFacts, x: str) -> Tree:
    return {
        "from_s": at_seconds(stroke.from_ns),
        "to_s": at_seconds(stroke.to_ns),
        f"from_{x}": number(stroke.from_x),
        f"to_{x}": number(stroke.to_x),
        "rising": stroke.rising,
        "whole": stroke.whole,
        f"speed_{x}_per_s": number(stroke.speed),
        "pulses": stroke.pulses,
        "off_us": number(stroke.off_us),
    }
