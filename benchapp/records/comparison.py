"""Several sets side by side: what goes into a comparison, and what it concludes."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from benchapp.records.findings import BudgetLine, SessionFindings
from benchapp.records.power_ups import PowerUp
from benchapp.records.run import PickUp, SessionFacts

DIFFERENT = "different"
CANNOT_TELL = "cannot-tell"
NOT_THE_SAME_TEST = "not-the-same-test"
"""What can be said of two sets."""
SHOWN = "shown-not-judged"
"""A quantity without an uncertainty of its own: it stands side by side, and nothing follows from it."""

NAMED = "named"
ONE_OF = "one-of"
NOT_ASKED = "not-asked"
"""Which set is the quickest: one, one of several, or a question that these sessions do not answer."""

SWITCH_ON_UNIT = "switch-on"
DAY_UNIT = "day"

ONE_POWER_UP = "one-power-up"
PHASE_LOCKED = "phase-locked"
FEW_SWITCH_ONS = "few-switch-ons"
TOO_FEW_FLIPS = "too-few-flips"
"""Why two sets cannot be told apart, where more than the flips' own spread stands in the way."""


SAID, APART_IN_TIME, ANSWERED_YES, ANSWERED_NO, NOT_KNOWN = "said", "apart", "yes", "no", "not-known"
"""How it is known whether a set was switched off and on between two of its sessions: the later one says so, they began
long apart, somebody answered, or nobody knows."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Between:
    """What is known of two sessions of a set that follow each other (places in the comparison)."""

    before: int
    after: int
    how: str

    @property
    def distinct(self) -> bool:
        """Whether they count as distinct switch-ons; what is not known counts as no."""
        return self.how in (SAID, APART_IN_TIME, ANSWERED_YES)


@dataclass(frozen=True, kw_only=True, slots=True)
class RunSpan:
    """When a run began and ended on its session's clock, how the flips were picked up, and who ended it."""

    start_ns: int
    stop_ns: int
    pick_up: PickUp
    stopped_itself: bool = False


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class ComparedSession:
    """A session as it goes into a comparison.

    spans : by run number
    fresh : its set was switched off and on after the session that comes before it in the same set
    """

    facts: SessionFacts
    findings: SessionFindings
    spans: Mapping[int, RunSpan] = field(default_factory=lambda: MappingProxyType({}))
    fresh: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Likeness:
    """What must be the same in two sets for a comparison: a field that is not is named by its own name."""

    test: str
    origin: str
    control: str
    pick_up: str
    against: str = ""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class SetFigure:
    """What a set does whenever it is switched on: the mean of its units with every line of its uncertainty.

    unit : SWITCH_ON_UNIT, or DAY_UNIT where three and more days stand behind it;  unit_means_ms : their means
    standard_ms : combined, with dof (None: infinite);  spread_ms : between one unit and the next, as far as it is known
    half_ms, wide_ms : half-widths of 95 %, of this set's flips alone and with every line
    rule : as `AnySwitchOn.rule`;  keeps_step : None where fewer than 60 flips cannot show it
    flips_each : flips a switch-on, on average;  locked : the flips kept step with the frame
    """

    value_ms: float
    standard_ms: float
    dof: float | None
    half_ms: float
    wide_ms: float
    unit: str
    unit_means_ms: tuple[float, ...]
    rule: str
    keeps_step: bool | None
    frame_ms: float | None
    spread_ms: float | None
    flips_each: float
    locked: bool
    lines: tuple[BudgetLine, ...] = ()

    @property
    def units(self) -> int:
        """How many switch-ons, or days."""
        return len(self.unit_means_ms)


@dataclass(frozen=True, kw_only=True, slots=True)
class Quantity:
    """A figure of sweeps or holds. key ends in its unit; n : runs behind it.

    standard : of the value, of the natural logarithm where in_log; None: shown, not judged.  dof None : infinite
    held_s : the time held, where the value grows with it
    of : the test it comes from: quantities of unlike tests are never put side by side
    """

    key: str
    value: float
    n: int
    standard: float | None = None
    dof: float | None = None
    in_log: bool = False
    held_s: float | None = None
    of: Likeness | None = None


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class ComparedSet:
    """One radio set and all there is of it.

    sessions : places in the comparison, in the order of their dates;  likeness : None without a test to compare
    timed : its test concludes a latency, and the figure decides;  quantities : of its sweeps and holds, beside it too
    answered, flips : of all its flips;  left_out : run numbers of another kind, by session
    rank : from the best place it can have to the worst, counted from 1; None where it is not ranked
    """

    name: str
    sessions: tuple[int, ...]
    likeness: Likeness | None
    timed: bool = False
    figure: SetFigure | None = None
    power_ups: tuple[PowerUp, ...] = ()
    quantities: tuple[Quantity, ...] = ()
    answered: int = 0
    flips: int = 0
    left_out: tuple[tuple[int, int], ...] = ()
    rank: tuple[int, int] | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class More:
    """How much would tell two sets apart, if the difference is what it looks like (or, with an aim, the aim).

    switch_ons, days : of each set, one of them; None where 200 would not do.  flips : of each set, in all, where flips
    count beside switch-ons
    """

    switch_ons: int | None = None
    days: int | None = None
    flips: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class QuantityPair:
    """One quantity of two sets: b less a, or b over a where in_log, with the interval of the verdict."""

    key: str
    verdict: str
    a: float
    b: float
    shift: float
    ci: tuple[float, float] | None = None
    in_log: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Pair:
    """Two sets: b less a. The interval decides, and the verdict never disagrees with it.

    level : of the interval, with dof degrees of freedom (None: infinite);  at_most_ms : its larger end, without sign
    p, p_adjusted, mw_p, hl_… : Welch's, Holm's, Mann and Whitney's, Hodges and Lehmann's; they stand beside
    more_for_aim : how much would show a difference of the aim;  alike, alike_p : any difference is smaller than the aim
    quantities : of sweeps and holds; where the sets were timed they share a level of their own and do not decide
    differs_in : what makes two tests unlike, or fields of the bench that differ;  notes : codes
    """

    a: int
    b: int
    verdict: str
    shift_ms: float | None = None
    shift_ci_ms: tuple[float, float] | None = None
    level: float | None = None
    dof: float | None = None
    at_most_ms: float | None = None
    hl_shift_ms: float | None = None
    hl_ci95_ms: tuple[float, float] | None = None
    p: float | None = None
    p_adjusted: float | None = None
    mw_p: float | None = None
    reason: str | None = None
    more: More | None = None
    more_for_aim: More | None = None
    alike: bool | None = None
    alike_p: float | None = None
    differs_in: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    quantities: tuple[QuantityPair, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Quickest:
    """The answer over all sets that can be compared (asked): the quickest, or those no other beats for sure."""

    verdict: str
    sets: tuple[int, ...]
    asked: tuple[int, ...]
    level: float | None


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Comparison:
    """All of it.

    pairs : every pair, a before b;  point : which edge of the answering pulse
    aim_ms : a difference that would matter to the reader
    """

    sets: tuple[ComparedSet, ...]
    pairs: tuple[Pair, ...]
    quickest: Quickest
    test: str
    point: str
    aim_ms: float | None = None
