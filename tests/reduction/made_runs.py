"""Runs made by hand for tests: a control, an output and, where asked, a module, with a truth of their own."""

from dataclasses import dataclass, field

import numpy as np

from benchapp.records.leads import Lead, LeadKind
from benchapp.records.run import LeadEvidence, Origin, Outcome, PickUp, Polarity, RunEvidence, RunSettings
from benchapp.records.stream import Edges, Gap

MS = 1_000_000


def lead(index: int, label: str, **facts: float) -> Lead:
    return Lead(index=index, label=label, kind=LeadKind.EDGE, resolution_ns=facts.pop("resolution_ns", 1.0), **facts)


def edges(lead_index: int, times_ns, levels, flags=None) -> Edges:
    times = np.asarray(times_ns, np.int64)
    return Edges(
        lead=lead_index,
        times_ns=times,
        levels=np.asarray(levels, np.uint8),
        flags=np.zeros(times.size, np.uint8) if flags is None else np.asarray(flags, np.uint8),
    )


def pulse_edges(lead_index: int, leading_ns, durations_ns, *, high: bool = True, spikes_ns=()) -> Edges:
    """Edges of pulses; each spike of 4 µs toggles the line twice wherever it falls."""
    leading, durations = np.asarray(leading_ns, np.int64), np.asarray(durations_ns, np.int64)
    spikes = np.asarray(spikes_ns, np.int64)
    times = np.sort(np.concatenate([leading, leading + durations, spikes, spikes + 4_000]))
    levels = (np.arange(times.size) % 2 == 0) == high
    return edges(lead_index, times, levels)


@dataclass
class Made:
    """A direct radio: the first frame that starts `path_ms` after a flip carries the new duration; late_ms adds."""

    period_ms: float = 20.0
    path_ms: float = 3.0
    low_us: float = 1100.0
    high_us: float = 1900.0
    jitter_us: float = 0.0
    noise_us: float = 0.0
    seconds: float = 60.0
    flips_s: tuple[float, ...] = ()
    dead: frozenset[int] = frozenset()
    glide_frames: int = 0
    lost_pulses: frozenset[int] = frozenset()
    seed: int = 5
    spikes_s: tuple[float, ...] = ()
    switch_spikes_s: tuple[float, ...] = ()
    bounce_us: tuple[float, ...] = ()
    high: bool = True
    late_ms: dict[int, float] = field(default_factory=dict)
    truth_mid_ms: dict[int, float] = field(default_factory=dict)

    def flip_times_ns(self) -> list[int]:
        return [round(s * 1e9) for s in self.flips_s]

    def output(self) -> Edges:
        rng = np.random.default_rng(self.seed)
        period = round(self.period_ms * MS)
        starts = np.arange(1 * MS, round(self.seconds * 1e9), period)
        starts = starts + np.rint(rng.normal(0, self.jitter_us * 1e3, starts.size)).astype(np.int64)
        wanted = np.full(starts.size, self.low_us)
        for number, flip in enumerate(self.flip_times_ns(), 1):
            if number in self.dead:
                continue
            answer = int(np.searchsorted(starts, flip + (self.path_ms + self.late_ms.get(number, 0.0)) * MS))
            new = self.high_us if number % 2 else self.low_us
            old = wanted[answer - 1] if answer else self.low_us
            wanted[answer:] = new
            if self.glide_frames:
                ramp = np.linspace(old, new, self.glide_frames + 1)[1:]
                wanted[answer : answer + self.glide_frames] = ramp[: starts.size - answer]
        durations = np.rint((wanted + rng.normal(0, self.noise_us, starts.size)) * 1e3).astype(np.int64)
        keep = np.array([i not in self.lost_pulses for i in range(starts.size)])
        starts, durations = starts[keep], durations[keep]
        for number, flip in enumerate(self.flip_times_ns(), 1):
            half = (self.high_us + self.low_us) / 2 * 1e3
            up = (number % 2 == 1) == (self.high_us > self.low_us)
            past = (starts > flip) & ((durations >= half) == up)
            if past.any() and number not in self.dead:
                first = int(np.argmax(past))
                self.truth_mid_ms[number] = (starts[first] + durations[first] - flip) / 1e6
        return pulse_edges(1, starts, durations, high=self.high, spikes_ns=[round(s * 1e9) for s in self.spikes_s])

    def switch(self) -> Edges:
        times, levels = [], []
        for number, flip in enumerate(self.flip_times_ns(), 1):
            new = number % 2
            burst = [flip, *(flip + round(b * 1e3) for b in self.bounce_us)]
            times += burst
            levels += [new if i % 2 == 0 else 1 - new for i in range(len(burst))]
        for spike in self.switch_spikes_s:
            at = round(spike * 1e9)
            state = sum(t <= at for t in self.flip_times_ns()) % 2
            times += [at, at + 8_000]
            levels += [1 - state, state]
        order = np.argsort(times, kind="stable")
        return edges(0, np.array(times)[order], np.array(levels)[order])

    def run(self, **changes) -> RunEvidence:
        gaps: tuple[Gap, ...] = changes.pop("output_gaps", ())
        leads = {
            "switch": LeadEvidence(lead=lead(0, "switch"), role="switch", edges=self.switch()),
            "output": LeadEvidence(
                lead=lead(1, "output"),
                role="output",
                edges=self.output(),
                gaps=gaps,
                polarity=changes.pop("polarity", Polarity.FIND),
            ),
        }
        leads |= changes.pop("leads", {})
        facts = {
            "run": 1,
            "test": "switch-flip",
            "origin": Origin.CAPTURE,
            "pick_up": PickUp.CONTACT,
            "outcome": Outcome.COMPLETE,
            "start_ns": 0,
            "stop_ns": round(self.seconds * 1e9),
            "leads": leads,
            "settings": RunSettings(),
        }
        return RunEvidence(**(facts | changes))


def random_flips(count: int, *, seed: int = 1, dwell_s: float = 0.8, first_s: float = 1.0) -> tuple[float, ...]:
    rng = np.random.default_rng(seed)
    return tuple(float(round(t, 9)) for t in first_s + np.cumsum(dwell_s + rng.uniform(0, 0.3, count)))
