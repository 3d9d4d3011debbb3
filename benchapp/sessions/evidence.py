"""The runs of a session, put together from its log and its blocks: all a reduction may look at. No file, no clock."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from benchapp.records.events import Event, EventKind
from benchapp.records.leads import Lead, LeadKind, Stretch
from benchapp.records.run import LeadEvidence, Origin, Outcome, Pause, Polarity, RunEvidence, Stop
from benchapp.records.run_settings import whole_or_none
from benchapp.records.stream import ClockPairs, Edges, Gap, Levels
from benchapp.sessions.runs import STOPPED_EARLY, RunStart, outcome_of, run_start_of, run_stop_event, stop_of

LOOK_BACK_NS = 5_000_000_000
"""How far before its start a run may see its stretch: the levels before the first flip."""
_PAUSES = (EventKind.PAUSE, EventKind.RESUME)
_IN_RUN = (
    EventKind.RUN_STOP,
    EventKind.PAUSE,
    EventKind.RESUME,
    EventKind.DROP,
    EventKind.UNDROP,
    EventKind.STOP_TAKEN,
)


class Source(Protocol):
    """Where the records of a session are found while its runs are put together."""

    @property
    def stretches(self) -> Sequence[Stretch]:
        """The stretches, by number."""

    def edges(self, stretch: int, lead: int, from_ns: int, to_ns: int) -> Edges:
        """Return a lead's edges from one stamp to another, both included."""

    def levels(self, stretch: int, lead: int, from_ns: int, to_ns: int) -> Levels:
        """Return a lead's samples from one stamp to another, both included."""

    def gaps(self, stretch: int, lead: int, from_ns: int, to_ns: int) -> tuple[Gap, ...]:
        """Return the gaps that touch a lead between two stamps."""

    def clock(self, stretch: int, from_ns: int, to_ns: int) -> ClockPairs | None:
        """Return the clock pairs between two stamps, None where there are none."""

    def last_ns(self, stretch: int) -> int | None:
        """Return the last stamp of a stretch, None where nothing was recorded in it."""


class LazyLeads(Mapping[str, LeadEvidence]):
    """The leads of a run by role, each unpacked when it is first asked for."""

    def __init__(self, makers: Mapping[str, Callable[[], LeadEvidence]]) -> None:
        self._makers = dict(makers)
        self._made: dict[str, LeadEvidence] = {}

    def __getitem__(self, role: str) -> LeadEvidence:
        if role not in self._made:
            self._made[role] = self._makers[role]()
        return self._made[role]

    def __contains__(self, role: object) -> bool:
        return role in self._makers

    def __iter__(self) -> Iterator[str]:
        return iter(self._makers)

    def __len__(self) -> int:
        return len(self._makers)


@dataclass(slots=True, kw_only=True)
class _Fold:
    """One run while the log is read: its start, and the entries that belong to it."""

    start: RunStart
    stop: Event | None = None
    entries: list[Event] = field(default_factory=list)


def _folds(events: Sequence[Event]) -> list[_Fold]:
    """Return the runs of a log in order of their starts; a number that starts twice keeps its first start."""
    folds: dict[int, _Fold] = {}
    for event in events:
        if event.kind is EventKind.RUN_START:
            start = run_start_of(event)
            if start is not None:
                folds.setdefault(start.run, _Fold(start=start))
        elif event.kind in _IN_RUN and event.run in folds:
            fold = folds[event.run]
            if event.kind is EventKind.RUN_STOP:
                fold.stop = fold.stop or event
            else:
                fold.entries.append(event)
    return list(folds.values())


def stretch_of(start: RunStart, stretches: Sequence[Stretch]) -> Stretch | None:
    """Return the stretch a run lies in: the one it names, else the last that begins before it; None if it is lost."""
    if start.stretch is not None:
        return next((stretch for stretch in stretches if stretch.number == start.stretch), None)
    begun = [stretch for stretch in stretches if stretch.origin_ns <= start.at_ns]
    return begun[-1] if begun else next(iter(stretches), None)


def missing_stops(events: Sequence[Event], source: Source) -> list[Event]:
    """Return a stop for every run that has none: cut short at the last stamp of its stretch.

    Where another run was started after it, it ended by then: runs follow one another.
    """
    stops = []
    folds = _folds(events)
    for place, fold in enumerate(folds):
        if fold.stop is None:
            stretch = stretch_of(fold.start, source.stretches)
            last_ns = None if stretch is None else source.last_ns(stretch.number)
            following = [later.start.at_ns for later in folds[place + 1 : place + 2]]
            seen = [fold.start.at_ns, *(entry.at_ns for entry in fold.entries if entry.kind in _PAUSES)]
            end_ns = min([*([] if last_ns is None else [last_ns]), *following], default=fold.start.at_ns)
            at_ns = max([*seen, end_ns])
            stop = run_stop_event(run=fold.start.run, at_ns=at_ns, outcome=Outcome.CUT_SHORT, reason=STOPPED_EARLY)
            stops.append(stop)
    return stops


def run_spans_ns(events: Sequence[Event]) -> list[tuple[int, int]]:
    """Return the first and last moment of each run that says when it stopped, [ns]."""
    return [(fold.start.at_ns, fold.start.at_ns if fold.stop is None else fold.stop.at_ns) for fold in _folds(events)]


def _pauses(entries: Sequence[Event], stop_ns: int) -> tuple[Pause, ...]:
    """Return the spans that do not count; a pause inside a pause ends the one before it."""
    pauses: list[Pause] = []
    open_since: tuple[int, str] | None = None
    for entry in entries:
        if entry.kind not in _PAUSES:
            continue
        if open_since is not None:
            pauses.append(Pause(from_ns=open_since[0], to_ns=max(open_since[0], entry.at_ns), reason=open_since[1]))
        reason = str(entry.detail.get("reason", ""))
        open_since = (entry.at_ns, reason) if entry.kind is EventKind.PAUSE else None
    if open_since is not None:
        pauses.append(Pause(from_ns=open_since[0], to_ns=max(open_since[0], stop_ns), reason=open_since[1]))
    return tuple(pauses)


def _drops(entries: Sequence[Event]) -> tuple[int, ...]:
    """Return t0 of every flip dropped and not taken back, sorted."""
    dropped: set[int] = set()
    for entry in entries:
        flip_ns = whole_or_none(entry.detail.get("flip_ns"))
        if flip_ns is None:
            continue
        if entry.kind is EventKind.DROP:
            dropped.add(flip_ns)
        elif entry.kind is EventKind.UNDROP:
            dropped.discard(flip_ns)
    return tuple(sorted(dropped))


def _stops(entries: Sequence[Event], drops_ns: Sequence[int]) -> tuple[Stop, ...]:
    """Return the stops that were taken and not dropped, in their order."""
    taken = [stop_of(entry) for entry in entries if entry.kind is EventKind.STOP_TAKEN]
    return tuple(stop for stop in taken if stop is not None and stop.to_ns not in drops_ns)


def _leads(start: RunStart, stretch: Stretch, source: Source, to_ns: int) -> LazyLeads:
    """Return the run's leads by role; of two leads with one role the lower index has it."""
    from_ns = start.at_ns - LOOK_BACK_NS
    makers: dict[str, Callable[[], LeadEvidence]] = {}
    for lead in sorted(stretch.leads, key=lambda lead: lead.index):
        role = start.roles.get(lead.index, "") if start.roles else lead.role
        if role and role not in makers:
            polarity = start.polarity.get(role, Polarity.FIND)
            makers[role] = _maker(source, stretch.number, lead, role=role, polarity=polarity, span_ns=(from_ns, to_ns))
    return LazyLeads(makers)


def _maker(
    source: Source, stretch: int, lead: Lead, *, role: str, polarity: Polarity, span_ns: tuple[int, int]
) -> Callable[[], LeadEvidence]:
    def make() -> LeadEvidence:
        is_level = lead.kind is LeadKind.LEVEL
        return LeadEvidence(
            lead=lead,
            role=role,
            edges=None if is_level else source.edges(stretch, lead.index, *span_ns),
            levels=source.levels(stretch, lead.index, *span_ns) if is_level else None,
            polarity=polarity,
            gaps=source.gaps(stretch, lead.index, *span_ns),
        )

    return make


def fold_runs(
    events: Sequence[Event], source: Source, *, origin: Origin, damaged: bool = False
) -> tuple[RunEvidence, ...]:
    """Return the runs of a session in order of their starts, each with its own leads only.

    A run without a stop is cut short at its last stamp. A run whose stretch is lost is left out.
    """
    runs = []
    for fold in _folds([*events, *missing_stops(events, source)]):
        stretch = stretch_of(fold.start, source.stretches)
        if stretch is None or fold.stop is None:
            continue
        start, stop_ns = fold.start, max(fold.start.at_ns, fold.stop.at_ns)
        drops_ns = _drops(fold.entries)
        runs.append(
            RunEvidence(
                run=start.run,
                test=start.test,
                origin=origin,
                pick_up=start.pick_up,
                outcome=outcome_of(fold.stop),
                start_ns=start.at_ns,
                stop_ns=stop_ns,
                leads=_leads(start, stretch, source, stop_ns),
                pauses=_pauses(fold.entries, stop_ns),
                drops_ns=drops_ns,
                clock=source.clock(stretch.number, stretch.origin_ns, stop_ns),
                clock_tolerance_ppm=stretch.board.tolerance_ppm,
                clock_kind=stretch.board.clock_kind,
                settings=start.settings,
                stopped_itself=fold.stop.detail.get("stopped_itself") is True,
                damaged=damaged,
                stops=_stops(fold.entries, drops_ns),
            )
        )
    return tuple(runs)
