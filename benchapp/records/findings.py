"""What a reduction concludes; times in ms unless named otherwise, None where a value does not exist."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from benchapp.records.leads import ClockKind
from benchapp.records.results import Result
from benchapp.records.run import Outcome

R = TypeVar("R", bound=Result)

Interval = tuple[float | None, float | None]
POINTS = ("first", "mid", "near_final")
"""The three points of an answer: 10, 50 and 90 % of the step."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Trial:
    """One answered flip. Latencies run from t0 to a trailing edge; those named lead, to the leading edge."""

    flip: int
    at_ns: int
    direction: str
    first_ms: float | None
    mid_ms: float
    near_final_ms: float | None
    first_lead_ms: float | None
    mid_lead_ms: float
    near_final_lead_ms: float | None
    phase: float | None
    missing_pulses: int
    frames_to_answer: int
    near_half_way: bool
    rise_frames: float | None
    before_us: float
    after_us: float
    block: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Excluded:
    """A flip left out, with its one code; the values it would have had, where they exist."""

    flip: int
    at_ns: int
    code: str
    direction: str | None = None
    mid_ms: float | None = None
    step_us: float | None = None
    sigma_us: float | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Frame:
    """The output's pulse train over the run.

    period_u_ms, width_u_us : expanded uncertainties of the period, and of the longest of the durations; the clock's
    line is in both. None where there is nothing to be unsure of.
    """

    period_ms: float | None
    period_sd_us: float | None
    missing_pulses: int
    glitches: int
    pulses: int
    polarity: str | None
    short_us: float | None
    long_us: float | None
    period_u_ms: float | None = None
    width_u_us: float | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class PointSummary:
    """The distribution of one point's latency. p… are percentiles; n_eff belongs to the balanced figures."""

    n: int
    min_ms: float | None = None
    p05_ms: float | None = None
    median_ms: float | None = None
    mean_ms: float | None = None
    p95_ms: float | None = None
    max_ms: float | None = None
    sd_ms: float | None = None
    mean_ci95_ms: Interval = (None, None)
    median_ci95_ms: Interval = (None, None)
    p95_ci95_ms: Interval = (None, None)
    median_all_ms: float | None = None
    p95_all_ms: float | None = None
    balanced_mean_ms: float | None = None
    balanced_mean_ci95_ms: Interval = (None, None)
    balanced_median_ms: float | None = None
    balanced_median_ci95_ms: Interval = (None, None)
    balanced_p95_ms: float | None = None
    balanced_p95_ci95_ms: Interval = (None, None)
    n_eff: float | None = None


THIS_SWITCH_ON = "this-switch-on"
ANY_SWITCH_ON = "any-switch-on"
"""What a figure stands for: the set while it stayed on, or the set whenever it is switched on."""
ONE_FRAME = "one-frame"
KNOWN_FRAME = "known-frame"
SWITCH_ON_MEANS = "switch-on-means"
"""How the uncertainty of any switch-on was found: a frame for the switch-ons not seen (fewer than 3), the same for a
set that keeps step (3 to 7), or how far the switch-ons' own means lie apart."""


@dataclass(frozen=True, kw_only=True, slots=True)
class BudgetLine:
    """One source of uncertainty. kind is the type of its evaluation, A or B; dof None means infinite."""

    source: str
    standard_ms: float
    kind: str
    dof: float | None


@dataclass(frozen=True, kw_only=True, slots=True)
class AnySwitchOn:
    """What the set does whenever it is switched on. lines : its budget; dof None means infinite; rule as above."""

    value_ms: float | None
    expanded_uncertainty_ms: float | None
    combined_standard_ms: float | None
    k: float | None
    dof: float | None
    switch_ons: int
    rule: str
    lines: tuple[BudgetLine, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Headline:
    """The figure. ci95_ms is sampling only; expanded_uncertainty_ms holds every budget line.

    stands_for : THIS_SWITCH_ON below three switch-ons (no line for the switch-ons not seen), else ANY_SWITCH_ON
    """

    point: str
    estimator: str
    value_ms: float | None
    ci95_ms: Interval
    expanded_uncertainty_ms: float | None
    combined_standard_ms: float | None
    k: float | None
    dof: float | None
    stopped_itself: bool
    with_hand_drops_ms: float | None
    up: int
    down: int
    stands_for: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Phase:
    """How evenly the flips fell over the frame; largest_gap is a fraction of the circle."""

    rayleigh_p: float | None
    kuiper_p: float | None
    largest_gap: float | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Stragglers:
    """Answers later than later_than_ms, the median and two and a half frames; None where no frame is known.

    flips of the answered ones; share_ci95 : 95 % interval of their share; earliest_ms, latest_ms : of the stragglers,
    None without any; mean_all_ms : the plain mean of all answers, stragglers included
    """

    flips: int
    answered: int
    later_than_ms: float | None
    share_ci95: Interval
    earliest_ms: float | None
    latest_ms: float | None
    mean_all_ms: float | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Trend:
    """How the latency changed over the run: a slope with its standard uncertainty, and the change from end to end.

    significant : the slope lies beyond 2.5 standard errors
    """

    ms_per_min: float
    ms_over_run: float
    standard_ms_per_min: float
    significant: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Latency(Result):
    """All findings of a switch-flip run: its delays, their spread and how sure they are.

    samplers_ms : the periods that a flip waits for, from which expected_frame_sd_ms follows
    correction_ms : entered by hand and added to every latency, right to within correction_within_ms
    keeps_step : whether the set reads its control in step with its own frame, None where the run cannot show it
    headline, any_switch_on and trend rest on the usual answers; points, up and down on all of them
    trend : None below 30 usual answers
    """

    control: str
    flips: int
    trials: tuple[Trial, ...]
    excluded: tuple[Excluded, ...]
    window_s: float | None
    no_answer_flips: int
    no_answer_share_ci95: Interval
    switch_ons: int
    keeps_step: bool | None
    headline: Headline
    any_switch_on: AnySwitchOn
    stragglers: Stragglers
    trend: Trend | None
    points: Mapping[str, PointSummary]
    up: Mapping[str, PointSummary]
    down: Mapping[str, PointSummary]
    phase: Phase
    expected_frame_sd_ms: float | None
    switch_glitches: int
    samplers_ms: tuple[float, ...] = ()
    correction_ms: float | None = None
    correction_within_ms: float | None = None


WAITING_AND_PLACE = "waiting-and-place"
REST_OF_FRAME = "rest-of-frame"


@dataclass(frozen=True, kw_only=True, slots=True)
class Stage:
    """The part of the chain between two roles; means share the headline's trials and weights.

    covers : what predicted_ms is made of, WAITING_AND_PLACE or REST_OF_FRAME; "" where nothing is predicted
    """

    start: str
    end: str
    n: int
    mean_ms: float | None
    median_ms: float | None
    predicted_ms: float | None = None
    covers: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class TrainFacts:
    """What was found of a module pulse train. channel counts from 1; None if none followed the control."""

    channels: int
    channel: int | None
    frame_ms: float
    separator_us: float
    polarity: str


@dataclass(frozen=True, kw_only=True, slots=True)
class ClockFit:
    """The probe's rate against the computer's. applied: durations in the findings were scaled by it.

    error_ppm None: never compared     kind : what the probe's tick comes from
    """

    error_ppm: float | None
    standard_ppm: float
    applied: bool
    kind: ClockKind = ClockKind.UNKNOWN


@dataclass(frozen=True, kw_only=True, slots=True)
class RunFindings:
    """One run's conclusions. flags and notes hold the codes of `interfaces`; a note may carry a count.

    result : what the run's own test concludes, its latency for one
    """

    run: int
    test: str
    control: str
    outcome: Outcome
    flags: tuple[str, ...]
    notes: tuple[str, ...]
    result: Result
    frame: Frame | None = None
    stages: tuple[Stage, ...] = ()
    uncertainty: tuple[BudgetLine, ...] = ()
    train: TrainFacts | None = None
    clock: ClockFit | None = None

    def own(self, kind: type[R]) -> R:
        """Return the result as its own test's record. Raises TypeError where it is another test's."""
        if isinstance(self.result, kind):
            return self.result
        raise TypeError(f"run {self.run} is a {self.test}: it has no {kind.__name__}")


def results(kind: type[R], runs: Iterable[RunFindings]) -> tuple[tuple[RunFindings, R], ...]:
    """Return the runs of one kind of test, each with its result: what a test of another kind is held against."""
    return tuple((run, run.result) for run in runs if isinstance(run.result, kind))


REDUCTION_VERSION = 2
"""Raised when an unchanged session gives another figure. 1: the first. 2: this switch-on and any switch-on."""


@dataclass(frozen=True, kw_only=True, slots=True)
class SessionFindings:
    """The findings of every run of one session, with the reduction's version and settings."""

    runs: tuple[RunFindings, ...]
    version: int
    settings: Mapping[str, float]
