"""What a sweep of the stick and a hold conclude: linearity and steadiness, in µs and in % of output span.

None where a value does not exist; arrays are float64, read-only, and NaN where a position has no reading.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from benchapp.records.results import Result

Array = NDArray[np.float64]

LINES = ("independent", "terminal", "zero_based")
"""The straight lines through an averaged curve: the best one, the one from end to end, the one from the low end."""
SPEED_NOT_VARIED = "speed not varied"
"""Why delay and hysteresis were not told apart: the strokes were too much alike in speed for the noise there is."""
TOO_FEW_STROKES = "too few strokes"
BY_STOPS = "by stops"
"""Why a sweep by stops has no delay and no fitted hysteresis: nothing moved while it was read."""


@dataclass(frozen=True, kw_only=True, slots=True)
class CurveLine:
    """One straight line through the averaged curve.

    slope is µs a volt or a degree. deviation_us keeps its sign (curve less line) for the terminal-based line and is
    half the band's width, above 0, for the others; deviation_pct is its size. at_x is where it lies.
    expanded_u_pct : the line's own expanded uncertainty, with its factor k; None where it could not be worked out
    """

    slope: float
    intercept_us: float
    deviation_us: float
    deviation_pct: float
    at_x: float
    expanded_u_pct: float | None = None
    k: float | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class CurveLeastSquares:
    """The line of least squares over the averaged positions, n of them; u: standard uncertainties, n - 2 dof."""

    slope: float
    intercept_us: float
    slope_u: float | None
    intercept_u_us: float | None
    residual_sd_us: float | None
    correlation: float
    n: int


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class TransferCurve:
    """Readings at positions x (volts or degrees), all (n,), rising in x.

    up_us, down_us : reached with x rising and falling     mean_us : half-way between, or the one there is
    up_off_us, down_off_us, mean_off_us : the same less the independent line
    u_us : standard uncertainty of mean_us from the scatter of strokes, NaN where nothing was repeated
    """

    x: Array
    up_us: Array
    down_us: Array
    mean_us: Array
    up_off_us: Array
    down_off_us: Array
    mean_off_us: Array
    u_us: Array


@dataclass(frozen=True, kw_only=True, slots=True)
class StrokeFacts:
    """One stroke. speed is volts a second, above 0; off_us: its mean distance from its own direction's curve."""

    from_ns: int
    to_ns: int
    from_x: float
    to_x: float
    rising: bool
    whole: bool
    speed: float
    pulses: int
    off_us: float | None


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class StrokeDots:
    """Single pulses for a close look at the steps: x (n,), us (n,), rising bool (n,)."""

    x: Array
    us: Array
    rising: NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class DistinctValues:
    """The values the pulses took, rising, and how often each. us (n,), counts (n,).

    Where the output has steps, each is a whole step; else each is a stamp.
    """

    us: Array
    counts: NDArray[np.int64]

    @property
    def count(self) -> int:
        """How many different values."""
        return int(self.us.size)


@dataclass(frozen=True, kw_only=True, slots=True)
class StepLinearity:
    """How even the output's steps are over the stick's travel, in steps: largest sizes, with their signs kept.

    dnl : a step's width less the mean width     inl : a step's place less its even place
    codes : steps judged     missing : those among them that never showed     pulses_a_code : the mean
    """

    dnl: float
    inl: float
    codes: int
    missing: int
    pulses_a_code: float


@dataclass(frozen=True, kw_only=True, slots=True)
class ShareLine:
    """One source of a linearity's uncertainty: what it adds to each line's standard uncertainty, in % of output span.

    standard_pct is the best line's     kind : type of evaluation     dof None : infinite
    """

    source: str
    standard_pct: float
    terminal_pct: float
    zero_based_pct: float
    kind: str
    dof: float | None

    @property
    def shares_pct(self) -> Mapping[str, float]:
        """What it adds to each line, by the line's name."""
        return dict(zip(LINES, (self.standard_pct, self.terminal_pct, self.zero_based_pct), strict=True))


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Linearity(Result):
    """All findings of a sweep of the stick. Percentages are of output span unless named of input.

    against          : "stick-voltage" or "angle"; x_unit "V" or "°"
    span_us, span_x  : from end to end, of the unclipped stretch where the output clips
    low_x, high_x, low_us, high_us : the ends (low and high in x)     travel_x : the stick's whole travel
    rested_low, rested_high : the end was read while the stick rested; else from the strokes
    rising_output    : more x is a longer pulse; False: the channel is reversed
    cycles, positions : full cycles, and positions with a reading
    alone_ms         : the delay if there were no hysteresis (the loop closes best): used for the curve where the two
                       were not told apart; not a fact
    told_apart_why_not : "" or why delay and fitted hysteresis are None
    delay_u_ms, fitted_hysteresis_u… : standard uncertainties, one stroke left out at a time; intervals with fit_dof
    speed_spread     : half the width of the middle nine tenths of the speed, over its mean
    lines            : "independent", "zero_based", "terminal"
    cubic_pct        : greatest deviation from the best cubic     smooth_curve : that is what an expo setting gives
    hysteresis_…     : largest difference up to down, dead band included; resolved: at least 3.7 times difference_u_us
    repeatability_…  : standard deviation of readings of one direction at one position, less what the pulses' own
                       scatter (share_us) accounts for; ci95: by chi-squared, with dof degrees of freedom
    spread_us        : the largest difference between readings of one direction at one position
    dead_band_u_pct, centre_flat_u_pct : expanded uncertainties, % of input     …_resolved: not chance, nor the curve
    repeated_values  : pulses that said the same again, of repeated_of before which the stick had moved by over a step
    symmetry_pct     : upper half of the output's way less the lower half     bow_pct : parabola's share at mid-travel
    step_us          : the output's step     refresh_ms : between new values while moving     noise_us : SD at rest
    railed_low, railed_high : the level lead stood at its end while the output went on
    low_u_us, high_u_us, centre_u_us, span_u_us : expanded, the clock's share in them
    uncertainty      : lines of the linearity's own budget; expanded_uncertainty_pct is the best line's, with factor k
    """

    against: str
    x_unit: str
    cycles: int
    positions: int
    span_us: float | None = None
    span_x: float | None = None
    travel_x: float | None = None
    low_x: float | None = None
    high_x: float | None = None
    low_us: float | None = None
    high_us: float | None = None
    rested_low: bool = False
    rested_high: bool = False
    rising_output: bool | None = None
    delay_ms: float | None = None
    delay_u_ms: float | None = None
    alone_ms: float | None = None
    fitted_hysteresis_us: float | None = None
    fitted_hysteresis_u_us: float | None = None
    fitted_hysteresis_pct: float | None = None
    fitted_hysteresis_u_pct: float | None = None
    fit_dof: int | None = None
    speed_spread: float | None = None
    told_apart_why_not: str = ""
    lines: Mapping[str, CurveLine] = field(default_factory=lambda: MappingProxyType({}))
    least_squares: CurveLeastSquares | None = None
    hysteresis_us: float | None = None
    hysteresis_pct: float | None = None
    hysteresis_at_x: float | None = None
    hysteresis_resolved: bool | None = None
    cubic_us: float | None = None
    cubic_pct: float | None = None
    smooth_curve: bool | None = None
    repeatability_us: float | None = None
    repeatability_pct: float | None = None
    repeatability_ci95_us: tuple[float, float] | None = None
    repeatability_ci95_pct: tuple[float, float] | None = None
    repeatability_share_us: float | None = None
    repeatability_dof: float | None = None
    repeatability_resolved: bool | None = None
    spread_us: float | None = None
    spread_pct: float | None = None
    spread_at_x: float | None = None
    repeated_values: int | None = None
    repeated_of: int | None = None
    low_u_us: float | None = None
    high_u_us: float | None = None
    centre_u_us: float | None = None
    span_u_us: float | None = None
    difference_u_us: float | None = None
    dead_band_x: float | None = None
    dead_band_pct_of_input: float | None = None
    dead_band_u_pct_of_input: float | None = None
    dead_band_resolved: bool | None = None
    centre_flat_x: float | None = None
    centre_flat_pct_of_input: float | None = None
    centre_flat_u_pct_of_input: float | None = None
    centre_flat_resolved: bool | None = None
    centre_us: float | None = None
    centre_offset_us: float | None = None
    symmetry_us: float | None = None
    symmetry_pct: float | None = None
    bow_us: float | None = None
    bow_pct: float | None = None
    monotonic: bool | None = None
    step_us: float | None = None
    noise_us: float | None = None
    refresh_ms: float | None = None
    clipped_low: bool = False
    clipped_high: bool = False
    railed_low: bool = False
    railed_high: bool = False
    steps: StepLinearity | None = None
    uncertainty: tuple[ShareLine, ...] = ()
    expanded_uncertainty_pct: float | None = None
    k: float | None = None
    curve: TransferCurve | None = None
    strokes: tuple[StrokeFacts, ...] = ()
    values: DistinctValues | None = None
    close_up: StrokeDots | None = None


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class HeldPosition:
    """One position of a hold: its span, the time held in it, and its pulses' median, SD, peak to peak and drift."""

    from_ns: int
    to_ns: int
    at_x: float | None
    median_us: float
    sd_us: float | None
    peak_to_peak_us: float
    pulses: int
    held_s: float
    drift_us_per_min: float | None
    drift_u_us_per_min: float | None
    drift_resolved: bool | None


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Steadiness(Result):
    """All findings of a hold-still run: how far the servo pulse wandered while nothing was touched.

    With several positions sd_us and drift are pooled over them, peak_to_peak_us is the largest, and values are all.
    sd_ci95_us   : interval of sd_us by chi-squared, with sd_dof degrees of freedom
    floor_us     : the spread the probe shows of pulses that are all alike; told_from_probe: sd_us is twice that or more
    drift_u_…    : standard uncertainty; drift_half_…: of the 95 % interval; resolved: the drift lies beyond that
    frame_period_ms, frame_sd_us : mean and SD of intervals that miss no pulse     frame_period_u_ms : expanded, the
    mean's
    longest_gap_ms : the longest time between the starts of pulses that follow each other
    at_s, off_us : the strip, (n,): seconds since the run's start, and each pulse less its position's median
    stick_moved  : the stick's own lead moved during the hold; None without one
    """

    pulses: int
    held_s: float
    sd_us: float | None = None
    sd_ci95_us: tuple[float | None, float | None] = (None, None)
    sd_dof: float | None = None
    floor_us: float | None = None
    told_from_probe: bool | None = None
    peak_to_peak_us: float | None = None
    median_us: float | None = None
    median_u_us: float | None = None
    frame_period_ms: float | None = None
    frame_period_u_ms: float | None = None
    frame_sd_us: float | None = None
    longest_gap_ms: float | None = None
    missing_pulses: int = 0
    drift_us_per_min: float | None = None
    drift_u_us_per_min: float | None = None
    drift_half_us_per_min: float | None = None
    drift_resolved: bool | None = None
    positions: tuple[HeldPosition, ...] = ()
    values: DistinctValues | None = None
    at_s: Array | None = None
    off_us: Array | None = None
    stick_moved: bool | None = None
