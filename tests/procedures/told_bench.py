"""A bench told by hand: pulses that answer flips after a known delay, delivered in slices of any cut."""

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from benchapp.procedures.ground.plan import RunPlan
from benchapp.procedures.ground.procedure import Procedure
from benchapp.records.events import Event
from benchapp.records.leads import Lead, LeadKind
from benchapp.records.run import Origin, RunSettings
from benchapp.records.stream import Edges, Record

MS = 1_000_000
S = 1_000_000_000
OUTPUT = Lead(index=0, label="output", kind=LeadKind.EDGE, role="output", resolution_ns=62.5)
SWITCH = Lead(index=1, label="switch", kind=LeadKind.EDGE, role="switch", resolution_ns=62.5)
DRIVE = Lead(index=4, label="flip", kind=LeadKind.DRIVE, role="drive", resolution_ns=62.5)
LOW_NS, HIGH_NS = 1_100_000, 1_900_000


def plan(**changes) -> RunPlan:
    values = {
        "run": 1,
        "test": "switch-flip",
        "origin": Origin.PRACTICE,
        "leads": {"output": OUTPUT, "switch": SWITCH},
        "start_ns": 0,
        "settings": RunSettings(flips=5),
    }
    return RunPlan(**{**values, **changes})


def draws(*values: float):
    """Numbers that come round again, in place of chance."""
    numbers = values or (0.5, 0.25, 0.75)
    count = [0]

    def draw() -> float:
        count[0] += 1
        return numbers[(count[0] - 1) % len(numbers)]

    return draw


@dataclass
class ToldBench:
    """A radio with a frame period and a delay; quiet spans carry no pulses. Levels alternate with every flip."""

    period_ns: int = 20 * MS
    delay_ns: int = 5 * MS
    flips_ns: list[int] = field(default_factory=list)
    quiet: list[tuple[int, int]] = field(default_factory=list)
    first_frame_ns: int = 3 * MS
    bounce_ns: tuple[int, ...] = ()

    def output(self, to_ns: int) -> Edges:
        starts = np.arange(self.first_frame_ns, to_ns, self.period_ns, dtype=np.int64)
        for quiet_from, quiet_to in self.quiet:
            starts = starts[(starts < quiet_from) | (starts >= quiet_to)]
        answers = np.array(self.flips_ns, np.int64) + self.delay_ns
        thrown = np.searchsorted(np.sort(answers), starts, side="right") % 2
        ends = starts + np.where(thrown, HIGH_NS, LOW_NS)
        times = np.stack([starts, ends], axis=1).ravel()
        return edges_of(0, times, np.tile([1, 0], starts.size))

    def switch(self) -> Edges:
        times, levels = [], []
        for number, flip_ns in enumerate(sorted(self.flips_ns)):
            closed = (number + 1) % 2
            stamps = [flip_ns, *(flip_ns + later for later in self.bounce_ns)]
            times += stamps
            levels += [closed if place % 2 == 0 else 1 - closed for place in range(len(stamps))]
        return edges_of(1, times, levels)

    def slices(self, cuts_ns: Sequence[int]) -> Iterable[tuple[int, list[Record]]]:
        """Yield (now, what arrived since the last cut) for every cut, in order."""
        output, switch = self.output(cuts_ns[-1]), self.switch()
        before = -1
        for cut in cuts_ns:
            yield cut, [part for part in (_between(output, before, cut), _between(switch, before, cut)) if part.count]
            before = cut


def edges_of(lead: int, times, levels) -> Edges:
    stamps = np.asarray(times, np.int64)
    return Edges(lead=lead, times_ns=stamps, levels=np.asarray(levels, np.uint8), flags=np.zeros(stamps.size, np.uint8))


def _between(edges: Edges, after_ns: int, to_ns: int) -> Edges:
    low, high = np.searchsorted(edges.times_ns, [after_ns, to_ns], side="right")
    return Edges(
        lead=edges.lead,
        times_ns=edges.times_ns[low:high],
        levels=edges.levels[low:high],
        flags=edges.flags[low:high],
    )


def cut_edges(edges: Edges, places: list[int]) -> list[Edges]:
    """Cut edges at places of any size."""
    bounds = [0, *sorted(place % (edges.count + 1) for place in places), edges.count]
    return [
        Edges(
            lead=edges.lead,
            times_ns=edges.times_ns[low:high],
            levels=edges.levels[low:high],
            flags=edges.flags[low:high],
        )
        for low, high in itertools.pairwise(bounds)
    ]


def play(run: Procedure, bench: ToldBench, to_ns: int, *, step_ns: int = 20 * MS, from_ns: int = 0) -> list[Event]:
    """Let a run see a bench, slice by slice, until it ends or the time is over."""
    events: list[Event] = []
    for now, records in bench.slices(range(from_ns + step_ns, to_ns + 1, step_ns)):
        events += run.see(records, now)
        if run.ended:
            break
    return events


def evenly(count: int, *, first_ns: int = 1 * S, apart_ns: int = 1_007 * MS) -> list[int]:
    """Flips at a spacing that meets every part of a 20 ms frame."""
    return [first_ns + number * apart_ns for number in range(count)]
