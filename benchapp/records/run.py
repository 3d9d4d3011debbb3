"""One run of a named test, with everything a reduction may look at."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

from benchapp.records.leads import ClockKind, Lead
from benchapp.records.stream import ClockPairs, Edges, Gap, Levels


class Origin(StrEnum):
    """Whether evidence came from a probe, a capture or the practice bench."""

    PROBE = "probe"
    PRACTICE = "practice"
    CAPTURE = "capture"


class PickUp(StrEnum):
    """How the control's motion reaches the probe."""

    CONTACT = "contact"
    DRIVEN = "driven"
    TAPED = "taped"
    LIGHT_GATE = "light-gate"
    UNKNOWN = "unknown"


class Outcome(StrEnum):
    """Whether a run was completed or cut short."""

    COMPLETE = "complete"
    CUT_SHORT = "cut-short"


class Polarity(StrEnum):
    """Which state of a line is the pulse; FIND leaves it to the data."""

    FIND = "find"
    HIGH = "high"
    LOW = "low"


@dataclass(frozen=True, kw_only=True, slots=True)
class Pause:
    """A span of a run that does not count, with its reason; to_ns is the run's end if it was never resumed."""

    from_ns: int
    to_ns: int
    reason: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Stop:
    """One stop of a sweep by stops: the stick set to a marked position, and taken once everything had settled.

    position_deg : the position, as typed     from_ns, to_ns : the span in which stick and pulses stood still
    """

    position_deg: float
    from_ns: int
    to_ns: int


@dataclass(frozen=True, kw_only=True, slots=True)
class RunSettings:
    """What the run was told. Times in ns, counts as asked; None: not asked for.

    cycles : full cycles of a sweep     stops_deg : the positions of a sweep by stops, rising; empty: continuous
    stop_half_width_deg : each typed position is right to within so much either way; None where nobody was asked
    correction_ms : entered by hand and added to every latency, a pick-up's known delay for one (negative where what it
    stamps comes late); correction_within_ms : right to within so much either way; None: none entered
    positions : how many positions a hold-still is to hold, `seconds` at each
    switch_ons : over how many switch-ons of the transmitter the flips are spread
    """

    hold_off_ns: int = 20_000_000
    flips: int | None = None
    seconds: float | None = None
    target_ms: float | None = None
    cycles: int | None = None
    stops_deg: tuple[float, ...] = ()
    stop_half_width_deg: float | None = None
    correction_ms: float | None = None
    correction_within_ms: float | None = None
    positions: int | None = None
    switch_ons: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class LeadEvidence:
    """Everything one lead recorded in a run, with the gaps that touch it."""

    lead: Lead
    role: str
    edges: Edges | None = None
    levels: Levels | None = None
    polarity: Polarity = Polarity.FIND
    gaps: tuple[Gap, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class RunEvidence:
    """What a reduction sees of one run: blocks, bounds, pauses and drops, and nothing else.

    Edges and samples of the stretch before start_ns may be included (levels before the first flip);
    control events outside [start_ns, stop_ns] are not part of the run.
    drops_ns holds t0 of each flip dropped by hand and not taken back.
    stops holds the stops that were taken, in their order and without those dropped by hand.
    """

    run: int
    test: str
    origin: Origin
    pick_up: PickUp
    outcome: Outcome
    start_ns: int
    stop_ns: int
    leads: Mapping[str, LeadEvidence]
    pauses: tuple[Pause, ...] = ()
    drops_ns: tuple[int, ...] = ()
    clock: ClockPairs | None = None
    clock_tolerance_ppm: float | None = None
    clock_kind: ClockKind = ClockKind.UNKNOWN
    settings: RunSettings = RunSettings()
    stopped_itself: bool = False
    damaged: bool = False
    stops: tuple[Stop, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class SessionFacts:
    """What a session file says of itself, beside its runs.

    started is ISO 8601 with its offset, or None for a capture that states no date.
    bench holds the fields of what is under test as typed; safety and put_back hold (line, answer) pairs.
    photo is a JPEG of the bench, None where there is none.
    switched_on_ns : when somebody said that the set had been switched off and on, on the session's clock, in order
    """

    name: str
    started: str | None
    origin: Origin
    pick_up: PickUp
    evidence_hash: str
    software: str
    bench: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    safety: tuple[tuple[str, str], ...] = ()
    put_back: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()
    damage: tuple[str, ...] = ()
    photo: bytes | None = None
    switched_on_ns: tuple[int, ...] = ()
