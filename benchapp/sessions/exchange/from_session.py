"""The runs of a session as a capture, ready to be written out."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from benchapp.records.errors import NotEnoughData
from benchapp.records.run import LeadEvidence, Origin, Polarity, RunEvidence
from benchapp.records.stream import Edges, Gap, Levels, frozen_array
from benchapp.reduction.ground.clock import fit_clock
from benchapp.sessions.exchange.capture import Capture, CaptureLead, ExportNotes, RunNote
from benchapp.waveforms.volts import volts

BETWEEN_RUNS = "between-runs"
"""The cause of the gap between the evidence of two runs of one export."""


def runs_to_capture(runs: Sequence[RunEvidence], *, started: str | None, name: str = "session") -> Capture:
    """Return the evidence of runs as one capture on the session's clock; each lead is called by its role.

    Between two runs every lead has a gap, since what was recorded there is not part of either. Raises NotEnoughData
    if there is no run.
    """
    runs = sorted(runs, key=lambda run: run.start_ns)
    if not runs:
        raise NotEnoughData("This session holds no run, so there is no evidence to export. Run a test first.")
    bounds = [_bounds(run) for run in runs]
    roles = list(dict.fromkeys(role for run in runs for role in run.leads))
    leads = tuple(_lead(role, place, runs, bounds) for place, role in enumerate(roles))
    return Capture(
        name_hint=name,
        tick_ns=min((lead.described.resolution_ns for lead in leads if lead.described is not None), default=1.0) or 1.0,
        started=started,
        leads=leads,
        start_ns=min(begin for begin, _ in bounds),
        stop_ns=max(end for _, end in bounds),
        notes=ExportNotes(
            origin=Origin.PRACTICE if any(run.origin is Origin.PRACTICE for run in runs) else runs[0].origin,
            clock_tolerance_ppm=max(
                (bound for run in runs if (bound := _clock_bound_ppm(run)) is not None), default=None
            ),
            runs=tuple(_note(run) for run in runs),
        ),
    )


def _clock_bound_ppm(run: RunEvidence) -> float | None:
    """Return the bound whose rectangular uncertainty is what the run's clock was found to have.

    Heartbeats have no place in a capture, so what they say is stated as a tolerance. A capture states what it stated
    when it was imported, None included.
    """
    if run.origin is Origin.CAPTURE and run.clock is None:
        return run.clock_tolerance_ppm
    return math.sqrt(3.0) * fit_clock(run.clock, run.clock_tolerance_ppm).standard_ppm


def _note(run: RunEvidence) -> RunNote:
    return RunNote(
        test=run.test,
        start_ns=run.start_ns,
        stop_ns=run.stop_ns,
        outcome=run.outcome,
        pick_up=run.pick_up,
        stopped_itself=run.stopped_itself,
        settings=run.settings,
        polarity={role: lead.polarity.value for role, lead in run.leads.items() if lead.polarity is not Polarity.FIND},
        pauses=run.pauses,
        drops_ns=run.drops_ns,
        stops=run.stops,
    )


def _bounds(run: RunEvidence) -> tuple[int, int]:
    """Return the first and last stamp of a run's evidence, its start and stop included."""
    low, high = run.start_ns, run.stop_ns
    for lead in run.leads.values():
        for stream in (lead.edges, lead.levels):
            if stream is not None and stream.count:
                low, high = min(low, int(stream.times_ns[0])), max(high, int(stream.times_ns[-1]))
    return low, high


def _lead(role: str, place: int, runs: Sequence[RunEvidence], bounds: Sequence[tuple[int, int]]) -> CaptureLead:
    parts = [run.leads.get(role) for run in runs]
    evidence = [part for part in parts if part is not None]
    gaps = _gaps(place, parts, bounds)
    described = replace(evidence[0].lead, index=place, label=role, role=role)
    if any(part.edges is not None for part in evidence):
        edges = _joined_edges(place, [part.edges for part in evidence if part.edges is not None])
        return CaptureLead(name=role, scoped_name=role, source=role, edges=edges, gaps=gaps, described=described)
    return CaptureLead(
        name=role, scoped_name=role, source=role, levels=_joined_levels(place, evidence), gaps=gaps, described=described
    )


def _gaps(place: int, parts: Sequence[LeadEvidence | None], bounds: Sequence[tuple[int, int]]) -> tuple[Gap, ...]:
    gaps: list[Gap] = []
    for part in parts:
        gaps += [replace(gap, leads=(place,)) for gap in (part.gaps if part is not None else ())]
    for (_, end), (begin, _) in itertools.pairwise(bounds):
        if begin > end:
            gaps.append(Gap(leads=(place,), from_ns=end, to_ns=begin, cause=BETWEEN_RUNS))
    return tuple(sorted(dict.fromkeys(gaps), key=lambda gap: (gap.from_ns, gap.to_ns)))


def _later(stamps: Sequence[NDArray[np.int64]]) -> list[slice]:
    """Return of each row of stamps the part after the last stamp of the rows before it (runs may share evidence)."""
    last: int | None = None
    out = []
    for row in stamps:
        low = 0 if last is None else int(np.searchsorted(row, last, side="right"))
        out.append(slice(low, row.size))
        if row.size:
            last = int(row[-1]) if last is None else max(last, int(row[-1]))
    return out


def _joined_edges(place: int, parts: Sequence[Edges]) -> Edges:
    cuts = _later([part.times_ns for part in parts])
    pairs = list(zip(parts, cuts, strict=True))
    return Edges(
        lead=place,
        times_ns=frozen_array(np.concatenate([part.times_ns[cut] for part, cut in pairs])),
        levels=frozen_array(np.concatenate([part.levels[cut] for part, cut in pairs])),
        flags=frozen_array(np.concatenate([part.flags[cut] for part, cut in pairs])),
    )


def _joined_levels(place: int, parts: Sequence[LeadEvidence]) -> Levels:
    rows = [(part.lead, part.levels) for part in parts if part.levels is not None]
    cuts = _later([levels.times_ns for _, levels in rows])
    times: list[NDArray[np.int64]] = [np.empty(0, dtype=np.int64)]
    samples: list[NDArray[np.float64]] = [np.empty(0, dtype=np.float64)]
    for (lead, levels), cut in zip(rows, cuts, strict=True):
        times.append(levels.times_ns[cut])
        samples.append(volts(levels, lead)[cut])
    return Levels(
        lead=place, times_ns=frozen_array(np.concatenate(times)), values=frozen_array(np.concatenate(samples))
    )
