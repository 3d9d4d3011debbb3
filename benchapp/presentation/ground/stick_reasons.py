"""Why a figure of a stick test does not exist, as the end of a sentence."""

from collections.abc import Iterable, Mapping

from benchapp.presentation.ground.numbers import exists
from benchapp.records.codes import Note
from benchapp.records.sweep_findings import BY_STOPS, SPEED_NOT_VARIED, TOO_FEW_STROKES, Linearity, Steadiness

NO_CURVE: Mapping[str, str] = {
    Note.NO_STICK_SAMPLES: "the voltage lead on the stick recorded nothing",
    Note.STICK_NEVER_MOVED: "the stick was not moved from end to end",
    Note.STOPPED_BEFORE_FIRST_SWEEP: "the run was stopped before the first sweep was done",
    Note.OUTPUT_DID_NOT_FOLLOW: "the output did not follow the stick",
    Note.TOO_FEW_POSITIONS: "pulses were read at fewer than two positions",
}
"""Notes of a sweep that has no curve at all."""
NOT_TOLD_APART: Mapping[str, str] = {
    BY_STOPS: "by stops nothing moves while it is read",
    SPEED_NOT_VARIED: "the strokes were too much alike in speed to tell lag from hysteresis",
    TOO_FEW_STROKES: "it takes four strokes, two there and two back, to tell lag from hysteresis",
}
BOTH_UNTOLD = (
    "Lag and hysteresis cannot be told apart in this sweep, so neither is given, nor how far up and down lie apart"
)
_RAILED = "the voltage lead stood at the end of its range, so the middle of the travel is not known"
_NO_SCATTER = "no position was read twice in one direction"
_READ_MOVING = "it is read while the stick moves, and this sweep went by stops"


def no_curve(notes: Iterable[str]) -> str:
    """Return why a sweep has no curve."""
    return next((NO_CURVE[note] for note in notes if note in NO_CURVE), "no curve could be drawn")


def missing_figures(linearity: Linearity, notes: Iterable[str] = ()) -> dict[str, str]:
    """Return the reason of every figure of a sweep that does not exist, by the figure's name in the findings."""
    if not exists(linearity.span_us):
        return {name: no_curve(notes) for name in _ALL if _value(linearity, name) is None}
    return {name: _why(linearity, name) for name in _ALL if _value(linearity, name) is None}


def missing_steadiness(steadiness: Steadiness) -> dict[str, str]:
    """Return the reason of every figure of a hold that does not exist, by the figure's name in the findings."""
    if not steadiness.pulses:
        return dict.fromkeys(_STEADY, "no servo pulse came while it was held")
    told = {name: _known(getattr(steadiness, name, None)) for name in _STEADY}
    told["distinct_values"] = steadiness.values
    told["sd_ci95_us"] = steadiness.sd_ci95_us[0]
    if not exists(steadiness.frame_period_ms):
        told["missing_pulses"] = None
    return {name: "too few servo pulses came one after the other" for name, value in told.items() if value is None}


_ALL = (
    "delay_ms", "fitted_hysteresis_pct", "expanded_uncertainty_pct", "independent_pct", "terminal_pct",
    "zero_based_pct", "cubic_pct", "hysteresis_pct", "repeatability_pct", "least_squares", "dead_band_pct_of_input",
    "centre_flat_pct_of_input", "refresh_ms", "centre_offset_us", "symmetry_pct", "bow_pct", "monotonic", "step_us",
    "repeated_values", "distinct_values", "clipped_low", "clipped_high", "steps",
)  # fmt: skip
_STEADY = (
    "sd_us", "sd_ci95_us", "told_from_probe", "peak_to_peak_us", "distinct_values", "frame_period_ms", "frame_sd_us",
    "longest_gap_ms", "missing_pulses", "drift_us_per_min", "drift_u_us_per_min", "drift_resolved",
)  # fmt: skip
_LINES = {"independent_pct": "independent", "terminal_pct": "terminal", "zero_based_pct": "zero_based"}


def _value(linearity: Linearity, name: str) -> object:
    if name in _LINES:
        line = linearity.lines.get(_LINES[name])
        return None if line is None else _known(line.deviation_pct)
    if name == "distinct_values":
        return linearity.values
    if name.startswith("clipped"):
        return None if not exists(linearity.span_us) or by_stops(linearity) else True
    return _known(getattr(linearity, name))


def _known(value: object) -> object:
    """Return the value, None for a number that is none."""
    return None if isinstance(value, float) and not exists(value) else value


def by_stops(linearity: Linearity) -> bool:
    """Return whether a sweep went by stops."""
    return linearity.told_apart_why_not == BY_STOPS


def _why(linearity: Linearity, name: str) -> str:
    if by_stops(linearity) and name in _MOVING:
        return _READ_MOVING
    why_not = NOT_TOLD_APART.get(linearity.told_apart_why_not, "it could not be fitted")
    if name in ("delay_ms", "fitted_hysteresis_pct"):
        return why_not
    if name == "hysteresis_pct":
        return "no position was reached from both sides" if by_stops(linearity) else why_not
    if name == "dead_band_pct_of_input" and linearity.delay_ms is None:
        return why_not
    if name in _MIDDLE and (linearity.railed_low or linearity.railed_high):
        return _RAILED
    return _OTHERWISE[name]


_MOVING = frozenset(
    {
        "dead_band_pct_of_input",
        "centre_flat_pct_of_input",
        "refresh_ms",
        "clipped_low",
        "clipped_high",
        "step_us",
        "steps",
        "repeated_values",
    }
)
_MIDDLE = frozenset({"centre_flat_pct_of_input", "centre_offset_us", "symmetry_pct"})
_NEAR = "too few servo pulses came near the middle of the travel"
_OTHERWISE: Mapping[str, str] = {
    "dead_band_pct_of_input": "no stroke began at a rest where the output follows the stick",
    "centre_flat_pct_of_input": _NEAR,
    "centre_offset_us": _NEAR,
    "symmetry_pct": _NEAR,
    "expanded_uncertainty_pct": "a line of the uncertainty could not be worked out",
    "independent_pct": "too few positions",
    "terminal_pct": "too few positions",
    "zero_based_pct": "too few positions",
    "repeatability_pct": _NO_SCATTER,
    "cubic_pct": "a cubic passes through four positions whatever they say",
    "repeated_values": "the stick hardly ever moved by more than a step from one servo pulse to the next",
    "least_squares": "too few positions",
    "refresh_ms": "the stick moved too slowly to tell one new value from the next",
    "bow_pct": "fewer than three positions",
    "monotonic": "too few positions",
    "step_us": "the values lie too close together, or are too few, to show a step",
    "distinct_values": "too few servo pulses",
    "steps": "it takes ten servo pulses to each step, and steps to begin with",
}
