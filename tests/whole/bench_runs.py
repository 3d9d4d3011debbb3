"""Runs of the practice bench for tests of the whole: from its law, from its truth, and through its bytes."""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from benchapp.probe.link import Arrival
from benchapp.probe.practice.link import open_practice
from benchapp.probe.practice.options import BenchOptions, Flips
from benchapp.probe.practice.radios import RADIOS
from benchapp.probe.practice.simulate import simulate_latencies
from benchapp.probe.timebase import StretchOpened, Timebase
from benchapp.probe.wire import Commands, Decoder, pack_command
from benchapp.records.findings import Trial
from benchapp.records.leads import Lead, LeadKind
from benchapp.records.run import LeadEvidence, Origin, Outcome, PickUp, RunEvidence
from benchapp.records.stream import ClockPairs, Edges, Gap, Levels

_AFTER_LAST_FLIP_S = 0.6


def trials_from_law(radio: str, seed: int, n: int, flips: str = "random", **options: Any) -> tuple[Trial, ...]:
    """Return n answered flips of a radio, named as in a URL, straight from the law; options are BenchOptions' own."""
    bench = BenchOptions(radio=RADIOS[radio], flips=Flips(flips), **options)
    made = simulate_latencies(bench, runs=1, flips=n, rng=np.random.default_rng(seed))
    low_us, high_us = sorted((bench.pulse_us(False), bench.pulse_us(True)))
    return tuple(
        Trial(
            flip=i + 1,
            at_ns=int(made.at_ns[0, i]),
            direction="up" if made.up[0, i] else "down",
            first_ms=float(made.first_ms[0, i]),
            mid_ms=float(made.mid_ms[0, i]),
            near_final_ms=float(made.near_final_ms[0, i]),
            first_lead_ms=float(made.first_lead_ms[0, i]),
            mid_lead_ms=float(made.mid_lead_ms[0, i]),
            near_final_lead_ms=float(made.near_final_lead_ms[0, i]),
            phase=float(made.phase[0, i]),
            missing_pulses=int(made.missing_pulses[0, i]),
            frames_to_answer=int(made.frames_to_answer[0, i]),
            near_half_way=False,
            rise_frames=None,
            before_us=low_us if made.up[0, i] else high_us,
            after_us=high_us if made.up[0, i] else low_us,
            block=0,
        )
        for i in range(n)
    )


def trials_from_truth(truth: dict[str, Any], *, flips: int | None = None) -> tuple[Trial, ...]:
    """Return the answered flips among the first so many of what a practice bench says it knows."""
    return tuple(
        Trial(
            flip=number,
            at_ns=round(known["at_s"] * 1e9),
            direction=known["direction"],
            **{f"{point}_ms": known[f"{point}_ms"] for point in ("first", "mid", "near_final")},
            **{f"{point}_lead_ms": known[f"{point}_lead_ms"] for point in ("first", "mid", "near_final")},
            phase=known["phase"],
            missing_pulses=known["missing_pulses"],
            frames_to_answer=known["frames_to_answer"],
            near_half_way=False,
            rise_frames=None,
            before_us=0.0,
            after_us=0.0,
            block=known["switch_on"] - 1,
        )
        for number, known in enumerate(truth["flips"][:flips], start=1)
        if known["mid_ms"] is not None
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class Recorded:
    """A recording as it came over the link, and what the bench knows of it."""

    arrivals: tuple[Arrival, ...]
    truth: dict[str, Any]

    @property
    def data(self) -> bytes:
        return b"".join(arrival.data for arrival in self.arrivals)


def record_bytes(url: str, folder: Path, *, flips: int = 60, level_rate_hz: int = 0) -> Recorded:
    """Return what a practice bench that flips its own switch sends until so many flips are answered, flat out."""
    path = folder / "truth.json"
    link = open_practice(url, pace="flat", truth=path)
    link.write(pack_command(Commands.START, 1, leads=0xFFFF, level_rate_hz=level_rate_hz))
    bench = link._board.bench
    arrivals: list[Arrival] = []
    while len(bench.answers.flips) < flips:
        arrivals.append(link.read())
    until_ns = link.host_ns() + round(_AFTER_LAST_FLIP_S * 1e9)
    while link.host_ns() < until_ns:
        arrivals.append(link.read())
    link.close()
    return Recorded(arrivals=tuple(arrivals), truth=json.loads(path.read_text()))


def run_evidence(recorded: Recorded) -> RunEvidence:
    """Return a recording as one run's evidence, by the decoder and the timebase, without a session file."""
    decoder, timebase = Decoder(), Timebase()
    leads: dict[int, Lead] = {}
    edges: dict[int, list[Edges]] = {}
    levels: dict[int, list[Levels]] = {}
    pairs: list[ClockPairs] = []
    for arrival in recorded.arrivals:
        for output in timebase.feed(decoder.feed(arrival.data), arrival.host_ns):
            match output:
                case StretchOpened():
                    leads = {lead.index: lead for lead in output.stretch.leads}
                case Edges():
                    edges.setdefault(output.lead, []).append(output)
                case Levels():
                    levels.setdefault(output.lead, []).append(output)
                case ClockPairs():
                    pairs.append(output)
                case Gap():
                    raise AssertionError(f"the practice bench lost something: {output}")
    evidence = {
        lead.role: LeadEvidence(lead=lead, role=lead.role, edges=_joined(index, edges[index]))
        for index, lead in leads.items()
        if lead.kind is LeadKind.EDGE and lead.role and index in edges
    }
    evidence |= {
        leads[index].role: LeadEvidence(lead=leads[index], role=leads[index].role, levels=_joined_levels(index, parts))
        for index, parts in levels.items()
    }
    return RunEvidence(
        run=1,
        test="switch-flip",
        origin=Origin.PRACTICE,
        pick_up=PickUp.CONTACT,
        outcome=Outcome.COMPLETE,
        start_ns=0,
        stop_ns=timebase.last_ns,
        leads=evidence,
        clock=ClockPairs(
            probe_ns=np.concatenate([pair.probe_ns for pair in pairs]),
            host_ns=np.concatenate([pair.host_ns for pair in pairs]),
        ),
    )


def _joined(lead: int, parts: list[Edges]) -> Edges:
    return Edges(
        lead=lead,
        times_ns=np.concatenate([part.times_ns for part in parts]),
        levels=np.concatenate([part.levels for part in parts]),
        flags=np.concatenate([part.flags for part in parts]),
    )


def _joined_levels(lead: int, parts: list[Levels]) -> Levels:
    return Levels(
        lead=lead,
        times_ns=np.concatenate([part.times_ns for part in parts]),
        values=np.concatenate([part.values for part in parts]),
    )
