"""The evidence of a run that is still going on, in the shape a reduction reads."""

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from benchapp.procedures.plan import RunPlan
from benchapp.records.leads import LeadKind
from benchapp.records.run import LeadEvidence, Outcome, Pause, Polarity, RunEvidence, Stop
from benchapp.records.stream import ClockPairs, Edges, Gap, Levels, Record


class EvidenceSoFar:
    """What the leads of some roles have delivered, of the control and the output where none are named.

    The figure needs no other lead.
    """

    def __init__(self, plan: RunPlan, roles: Sequence[str] = ()) -> None:
        self._plan = plan
        self._roles = tuple(roles) or (plan.control, "output")
        wanted = [plan.leads[role].index for role in self._roles]
        self._edges: dict[int, list[Edges]] = {index: [] for index in wanted}
        self._levels: dict[int, list[Levels]] = {index: [] for index in wanted}
        self._clock: list[ClockPairs] = []
        self._gaps: list[Gap] = []

    def add(self, record: Record) -> None:
        """Keep a record of the control or the output, a clock pair or a gap; pass others over."""
        match record:
            case Edges() if record.lead in self._edges:
                self._edges[record.lead].append(record)
            case Levels() if record.lead in self._levels:
                self._levels[record.lead].append(record)
            case ClockPairs():
                self._clock.append(record)
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
        edges, levels = self._edges[lead.index], self._levels[lead.index]
        if len(edges) > 1:
            edges[:] = [joined_edges(edges)]
        if len(levels) > 1:
            levels[:] = [joined_levels(levels)]
        return LeadEvidence(
            lead=lead,
            role=role,
            edges=None if lead.kind is LeadKind.LEVEL else edges[0] if edges else _no_edges(lead.index),
            levels=(levels[0] if levels else _no_levels(lead.index)) if lead.kind is LeadKind.LEVEL else None,
            polarity=self._plan.polarity.get(role, Polarity.FIND),
            gaps=tuple(gap for gap in self._gaps if not gap.leads or lead.index in gap.leads),
        )

    def _clock_pairs(self) -> ClockPairs | None:
        if len(self._clock) > 1:
            self._clock[:] = [
                ClockPairs(
                    probe_ns=np.concatenate([pairs.probe_ns for pairs in self._clock]),
                    host_ns=np.concatenate([pairs.host_ns for pairs in self._clock]),
                )
            ]
        return self._clock[0] if self._clock else None


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
