"""What a capture of any instrument holds, once read: leads on one axis of nanoseconds."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from benchapp.records.leads import Lead
from benchapp.records.run import Origin, Outcome, Pause, PickUp, RunSettings, Stop
from benchapp.records.stream import Edges, Gap, Levels


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class CaptureLead:
    """One lead of a capture; it has edges or levels, never both.

    name        : as the file spells it; scoped_name: with the scopes before it, joined by dots (VCD)
    source      : what the file calls the data; two names on one source are the same wire
    edges       : the transitions, or None for a lead of volts; edges.lead is the place in Capture.leads
    levels      : the samples in volts, or None for an on-off lead
    initial     : the first known state of an on-off lead, or None if the file never states one
    gaps        : spans in which the state is not known, oldest first
    described   : the lead's own descriptor, where the file is an export of ours
    """

    name: str
    scoped_name: str
    source: str
    edges: Edges | None = None
    levels: Levels | None = None
    initial: int | None = None
    gaps: tuple[Gap, ...] = ()
    described: Lead | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Unread:
    """A variable or column that is no lead, with the reason; it is refused only if somebody asks for it."""

    name: str
    scoped_name: str
    reason: str


@dataclass(frozen=True, kw_only=True, slots=True)
class RunNote:
    """What an export of ours says of a run it covers; polarity is by lead name."""

    test: str
    start_ns: int
    stop_ns: int
    outcome: Outcome
    pick_up: PickUp
    stopped_itself: bool = False
    settings: RunSettings = field(default_factory=RunSettings)
    polarity: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    pauses: tuple[Pause, ...] = ()
    drops_ns: tuple[int, ...] = ()
    stops: tuple[Stop, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class ExportNotes:
    """What an export of ours says beside its evidence, so that an import of it gives the same numbers."""

    origin: Origin
    clock_tolerance_ppm: float | None = None
    runs: tuple[RunNote, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Capture:
    """A capture as read; times are ns on the file's own axis and may be negative.

    name_hint : the file's name, for messages
    tick_ns   : the interval of the stamps: a VCD's timescale; for a CSV what its rows give away (`csv_columns`)
    started   : ISO 8601 text the file states, or None
    start_ns, stop_ns : the first and last time the file mentions, with or without a change there
    remarks   : sentences about what was left out
    """

    name_hint: str
    tick_ns: float
    started: str | None
    leads: tuple[CaptureLead, ...]
    start_ns: int
    stop_ns: int
    unread: tuple[Unread, ...] = ()
    remarks: tuple[str, ...] = ()
    notes: ExportNotes | None = None
