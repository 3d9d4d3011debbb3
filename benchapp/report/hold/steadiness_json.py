"""The block `steadiness` of a findings document."""

from benchapp.presentation.ground.stick_reasons import missing_steadiness
from benchapp.records.sweep_findings import HeldPosition, Steadiness
from benchapp.report.filed_test import Tree
from benchapp.report.json_numbers import at_seconds, interval, milliseconds, number, tally


def steadiness_block(steadiness: Steadiness) -> Tree:
    """Return everything a hold says; what does not exist is null, and `null_because` says why."""
    framed = steadiness.frame_period_ms is not None
    return {
        "sd_us": number(steadiness.sd_us),
        "sd_ci95_us": interval(steadiness.sd_ci95_us),
        "sd_dof": number(steadiness.sd_dof),
        "floor_us": number(steadiness.floor_us),
        "told_from_probe": steadiness.told_from_probe,
        "peak_to_peak_us": number(steadiness.peak_to_peak_us),
        "distinct_values": None if steadiness.values is None else steadiness.values.count,
        "frame_period_ms": milliseconds(steadiness.frame_period_ms),
        "frame_period_u_ms": milliseconds(steadiness.frame_period_u_ms),
        "frame_sd_us": number(steadiness.frame_sd_us),
        "longest_gap_ms": milliseconds(steadiness.longest_gap_ms),
        "missing_pulses": steadiness.missing_pulses if framed else None,
        "drift_us_per_min": number(steadiness.drift_us_per_min),
        "drift_u_us_per_min": number(steadiness.drift_u_us_per_min),
        "drift_half_us_per_min": number(steadiness.drift_half_us_per_min),
        "drift_resolved": steadiness.drift_resolved,
        "median_us": number(steadiness.median_us),
        "median_u_us": number(steadiness.median_u_us),
        "pulses": steadiness.pulses,
        "held_s": number(steadiness.held_s),
        "stick_moved": steadiness.stick_moved,
        "positions": [_position(position) for position in steadiness.positions],
        "values": None if steadiness.values is None else tally(steadiness.values),
        "null_because": dict(missing_steadiness(steadiness)),
    }


def _position(position: HeldPosition) -> Tree:
    return {
        "from_s": at_seconds(position.from_ns),
        "to_s": at_seconds(position.to_ns),
        "stick_v": number(position.at_x),
        "median_us": number(position.median_us),
        "sd_us": number(position.sd_us),
        "peak_to_peak_us": number(position.peak_to_peak_us),
        "pulses": position.pulses,
        "drift_us_per_min": number(position.drift_us_per_min),
        "drift_u_us_per_min": number(position.drift_u_us_per_min),
        "drift_resolved": position.drift_resolved,
        "held_s": number(position.held_s),
    }
