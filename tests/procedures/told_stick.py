"""A stick told by hand: where it stands at which second, and pulses that follow it, delivered in slices of any cut."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from benchapp.procedures.ground.plan import RunPlan
from benchapp.records.events import Event
from benchapp.records.leads import Lead, LeadKind
from benchapp.records.run import Origin, RunSettings
from benchapp.records.stream import Edges, Levels, Record

MS = 1_000_000
S = 1_000_000_000
OUTPUT = Lead(index=0, label="output", kind=LeadKind.EDGE, role="output", resolution_ns=62.5)
STICK = Lead(
    index=3,
    label="stick",
    kind=LeadKind.LEVEL,
    role="stick",
    resolution_ns=62.5,
    full_scale_v=3.3,
    full_scale_counts=1023,
)


def plan(test: str, told: RunSettings, **changes) -> RunPlan:
    values = {
        "run": 1,
        "test": test,
        "origin": Origin.PRACTICE,
        "leads": {"output": OUTPUT, "stick": STICK},
        "start_ns": 0,
        "settings": told,
    }
    return RunPlan(**{**values, **changes})


@dataclass
class ToldStick:
    """way holds (seconds, place); between them the stick goes evenly. quiet spans [s] carry no pulses."""

    way: Sequence[tuple[float, float]]
    seconds: float
    period_s: float = 0.02
    delay_s: float = 0.03
    low_us: float = 1100.0
    high_us: float = 1900.0
    noise_counts: float = 0.6
    noise_us: float = 0.3
    rate_hz: int = 250
    quiet: Sequence[tuple[float, float]] = ()
    edges: Edges = field(init=False)
    levels: Levels = field(init=False)

    def __post_init__(self) -> None:
        rng = np.random.default_rng(1)
        at = np.arange(0, self.seconds, 1 / self.rate_hz)
        counts = np.rint(155 + 713 * self.place(at) + rng.normal(0, self.noise_counts, at.size))
        self.levels = Levels(lead=3, times_ns=np.rint(at * 1e9).astype(np.int64), values=counts.astype(np.uint16))
        begun = np.arange(0.003, self.seconds - 0.01, self.period_s)
        for quiet_from, quiet_to in self.quiet:
            begun = begun[(begun < quiet_from) | (begun >= quiet_to)]
        asked = self.low_us + (self.high_us - self.low_us) * self.place(begun - self.delay_s)
        lasts = np.rint((asked + rng.normal(0, self.noise_us, begun.size)) * 16) / 16
        starts = np.rint(begun * 1e9).astype(np.int64)
        times = np.stack([starts, starts + np.rint(lasts * 1e3).astype(np.int64)], axis=1).ravel()
        self.edges = Edges(
            lead=0,
            times_ns=times,
            levels=np.tile(np.array([1, 0], np.uint8), starts.size),
            flags=np.zeros(times.size, np.uint8),
        )

    def place(self, at):
        seconds, places = zip(*self.way, strict=True)
        return np.interp(at, seconds, places)

    def slices(self, cuts_ns: Iterable[int]) -> Iterable[tuple[int, list[Record]]]:
        """Yield (now, what arrived since the last cut) for every cut, in order; samples come in blocks of 16."""
        edge_at = level_at = 0
        for cut in cuts_ns:
            edge_to = int(np.searchsorted(self.edges.times_ns, cut, side="right"))
            level_to = int(np.searchsorted(self.levels.times_ns, cut, side="right")) // 16 * 16
            yield cut, [*self._edges(edge_at, edge_to), *self._levels(level_at, level_to)]
            edge_at, level_at = edge_to, level_to

    def _edges(self, low: int, high: int) -> list[Record]:
        one = self.edges
        part = Edges(lead=0, times_ns=one.times_ns[low:high], levels=one.levels[low:high], flags=one.flags[low:high])
        return [part] if part.count else []

    def _levels(self, low: int, high: int) -> list[Record]:
        part = Levels(lead=3, times_ns=self.levels.times_ns[low:high], values=self.levels.values[low:high])
        return [part] if part.count else []


def play(run, stick: ToldStick, *, cuts_ns: Iterable[int] | None = None, seen=None) -> list[Event]:
    """Let a run see a stick, slice by slice, until it ends or the time is over; seen is called after each slice."""
    events: list[Event] = []
    for now, records in stick.slices(range(20 * MS, round(stick.seconds * S), 20 * MS) if cuts_ns is None else cuts_ns):
        events += run.see(records, now)
        if seen is not None:
            seen(run, now)
        if run.ended:
            break
    return events


def strokes(
    count: int, *, stroke_s: float = 4.0, rest_s: float = 0.9, first_s: float = 1.0, speeds: Sequence[float] = (1.0,)
) -> list[tuple[float, float]]:
    """Return a way of so many strokes from the low end, with a rest before, between and after them."""
    way, now, place = [(0.0, 0.0), (first_s, 0.0)], first_s, 0.0
    for number in range(count):
        now, place = now + stroke_s / speeds[number % len(speeds)], 1.0 - place
        way.append((now, place))
        now += rest_s
        way.append((now, place))
    return way


def stops_way(
    places: Sequence[float], *, hold_s: float = 1.4, move_s: float = 0.6, first_s: float = 0.5
) -> list[tuple[float, float]]:
    """Return a way from place to place, each held."""
    way, now = [(0.0, places[0]), (first_s + hold_s, places[0])], first_s + hold_s
    for place in places[1:]:
        way += [(now + move_s, place), (now + move_s + hold_s, place)]
        now += move_s + hold_s
    return way


def only(events: list[Event], kind) -> Event:
    (event,) = [event for event in events if event.kind is kind]
    return event
