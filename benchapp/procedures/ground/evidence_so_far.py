"""The evidence of a run that is still going on, in the shape a reduction reads."""

from collections.abc import Callable, Iterable, Sequence
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from benchapp.procedures.ground.plan import RunPlan
from benchapp.records.leads import LeadKind
from benchapp.records.run import LeadEvidence, Outcome, Pause, Polarity, RunEvidence, Stop
from benchapp.records.stream import ClockPairs, Edges, Gap, Levels, Record


class Column(Protocol):
    """Keeps the numbers of one series, in order, wherever there is room for them."""

    def append(self, part: NDArray[Any]) -> None:
        """Keep the next ones; all parts have one type."""

    def whole(self) -> NDArray[Any] | None:
        """Return all of them, (n,); None where there are none."""


class MemoryColumn:
    """A series of numbers kept in memory."""

    def __init__(self) -> None:
        self._parts: list[NDArray[Any]] = []

    def append(self, part: NDArray[Any]) -> None:
        """Keep the next numbers."""
        self._parts.append(part)

    def whole(self) -> NDArray[Any] | None:
        """Return all of them."""
        if len(self._parts) > 1:
            self._parts = [np.concatenate(self._parts)]
        return self._parts[0] if self._parts else None


class EvidenceSoFar:
    """What the leads of some roles have delivered, of the control and the output where none are named.

    The figure needs no other lead. column makes what keeps one series: three of edges, two of samples and clock pairs.
    """

    def __init__(
        self, plan: RunPlan, roles: Sequence[str] = (), *, column: Callable[[], Column] = MemoryColumn
    ) -> None:
        self._plan = plan
        self._roles = tuple(roles) or (plan.control, "output")
        wanted = [plan.leads[role] for role in self._roles]
        levels = [lead.index for lead in wanted if lead.kind is LeadKind.LEVEL]
        self._edges = {lead.index: (column(), column(), column()) for lead in wanted if lead.index not in levels}
        self._levels = {index: (column(), column()) for index in levels}
        self._clock = (column(), column())
        self._gaps: list[Gap] = []

    def add_all(self, records: Iterable[Record]) -> None:
        """Keep records, as add does."""
        for record in records:
            self.add(record)

    def add(self, record: Record) -> None:
        """Keep a record of the control or the output, a clock pair or a gap; pass others over."""
        match record:
            case Edges() if record.lead in self._edges and record.count:
                _keep(self._edges[record.lead], record.times_ns, record.levels, record.flags)
            case Levels() if record.lead in self._levels and record.count:
                _keep(self._levels[record.lead], record.times_ns, record.values)
            case ClockPairs() if record.probe_ns.size:
                _keep(self._clock, record.probe_ns, record.host_ns)
            case Gap():
                self._gaps.append(record)

    def as_run(
        self,
        stop_ns: int,
        *,
        pauses: Iterable[Pause],
        drops_ns: Iterable[int],
        outcome: Outcome,
        stopped_itself: bool,
        stops: Iterable[Stop] = (),
    ) -> RunEvidence:
        """Return the run as it would be reduced if it had ended at stop_ns."""
        plan = self._plan
        return RunEvidence(
            run=plan.run,
            test=plan.test,
            origin=plan.origin,
            pick_up=plan.pick_up,
            outcome=outcome,
            start_ns=plan.start_ns,
            stop_ns=stop_ns,
            leads={role: self._lead(role) for role in self._roles},
            pauses=tuple(pauses),
            drops_ns=tuple(drops_ns),
            clock=self._clock_pairs(),
            clock_tolerance_ppm=plan.clock_tolerance_ppm,
            settings=plan.settings,
            stopped_itself=stopped_itself,
            stops=tuple(stops),
        )

    def _lead(self, role: str) -> LeadEvidence:
        lead = self._plan.leads[role]
        edges, levels = self._edges.get(lead.index), self._levels.get(lead.index)
        return LeadEvidence(
            lead=lead,
            role=role,
            edges=None if edges is None else _edges_of(lead.index, edges),
            levels=None if levels is None else _levels_of(lead.index, levels),
            polarity=self._plan.polarity.get(role, Polarity.FIND),
            gaps=tuple(gap for gap in self._gaps if not gap.leads or lead.index in gap.leads),
        )

    def _clock_pairs(self) -> ClockPairs | None:
        probe_ns, host_ns = (column.whole() for column in self._clock)
        return None if probe_ns is None or host_ns is None else ClockPairs(probe_ns=probe_ns, host_ns=host_ns)


def _keep(columns: Sequence[Column], *parts: NDArray[Any]) -> None:
    for column, part in zip(columns, parts, strict=True):
        column.append(part)


def _edges_of(lead: int, columns: tuple[Column, Column, Column]) -> Edges:
    times_ns, levels, flags = (column.whole() for column in columns)
    if times_ns is None or levels is None or flags is None:
        return _no_edges(lead)
    return Edges(lead=lead, times_ns=times_ns, levels=levels, flags=flags)


def _levels_of(lead: int, columns: tuple[Column, Column]) -> Levels:
    times_ns, values = (column.whole() for column in columns)
    if times_ns is None or values is None:
        return _no_levels(lead)
    return Levels(lead=lead, times_ns=times_ns, values=values)


def _no_edges(lead: int) -> Edges:
    nothing = np.empty(0, np.uint8)
    return Edges(lead=lead, times_ns=np.empty(0, np.int64), levels=nothing, flags=nothing)


def _no_levels(lead: int) -> Levels:
    return Levels(lead=lead, times_ns=np.empty(0, np.int64), values=np.empty(0, np.uint16))


def joined_edges(parts: list[Edges]) -> Edges:
    """Return edges of one lead, given in order, as one record."""
    return Edges(
        lead=parts[0].lead,
        times_ns=np.concatenate([part.times_ns for part in parts]),
        levels=np.concatenate([part.levels for part in parts]),
        flags=np.concatenate([part.flags for part in parts]),
    )


def joined_levels(parts: list[Levels]) -> Levels:
    """Return samples of one lead, given in order, as one record."""
    # A probe samples counts and a capture volts; one lead never mixes them.
    values: NDArray[np.uint16] | NDArray[np.float64] = np.concatenate([part.values for part in parts])
    return Levels(lead=parts[0].lead, times_ns=np.concatenate([part.times_ns for part in parts]), values=values)
