"""Stick sweeps made by hand for tests: a stick that is moved, a chain behind it, and a truth of their own."""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from benchapp.records.leads import Lead, LeadKind
from benchapp.records.run import LeadEvidence, Origin, Outcome, PickUp, RunEvidence
from benchapp.records.stream import Gap, Levels
from tests.reduction.made_runs import lead, pulse_edges

Array = NDArray[np.float64]


@dataclass
class MadeStick:
    """A stick, its potentiometer, a level lead and a chain.

    The stick stands at u, 0 to 1, and the lead at low_v + u·(high_v - low_v). A pulse beginning at t lasts what the
    stick asked for delay_ms earlier: play takes up play_pct of travel at every reversal, the curve bends it
    (`expo` cubic, `bow` a parabola, `flat_pct` of travel round the centre does nothing), half of hysteresis_us is
    taken away while it rises and added while it falls, and the result is limited and put into steps.
    """

    low_v: float = 0.4
    high_v: float = 2.9
    low_us: float = 1100.0
    high_us: float = 1900.0
    expo: float = 0.0
    bow: float = 0.0
    flat_pct: float = 0.0
    play_pct: float = 0.0
    hysteresis_us: float = 0.0
    step_us: float = 0.5
    clip_us: tuple[float, float] = (0.0, 9999.0)
    delay_ms: float = 18.0
    frame_ms: float = 9.0
    noise_us: float = 0.2
    tick_ns: float = 62.5
    cycles: int = 3
    stroke_s: float = 4.5
    spread: float = 0.3
    rest_s: float = 0.8
    profile: str = "even"
    starts_high: bool = False
    end_scatter: float = 0.0
    bits: int = 10
    full_scale_v: float = 3.3
    rate_hz: float = 1000.0
    lead_noise_lsb: float = 0.3
    repeat: int = 1
    seed: int = 1
    strokes: list[tuple[float, float]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._rng = np.random.default_rng(self.seed)
        self._when, self._where = self._path()

    @property
    def seconds(self) -> float:
        return float(self._when[-1])

    # -- what the hand does -------------------------------------------------------------------------------------

    def _path(self) -> tuple[Array, Array]:
        """Return instants [s] and places of the stick, on a grid of 1 ms."""
        rng = self._rng
        place, now = (1.0 if self.starts_high else 0.0), self.rest_s
        times, places = [np.arange(0.0, now, 0.001)], [np.full(np.arange(0.0, now, 0.001).size, place)]
        speeds = 1 + self.spread * np.linspace(-1, 1, 2 * self.cycles)
        rng.shuffle(speeds)
        for speed in speeds:
            goal = (1.0 if place < 0.5 else 0.0) + rng.uniform(-1, 1) * self.end_scatter
            lasts = self.stroke_s / speed
            t = np.arange(0.0, lasts, 0.001)
            share = _SHARES[self.profile](t / lasts)
            times.append(now + t)
            places.append(place + (goal - place) * share)
            self.strokes.append((now, now + lasts))
            now, place = now + lasts, goal
            rest = np.arange(0.0, self.rest_s, 0.001)
            times.append(now + rest)
            places.append(np.full(rest.size, place))
            now += self.rest_s
        return np.concatenate(times), np.concatenate(places)

    def place_at(self, seconds: Array) -> Array:
        return np.interp(seconds, self._when, self._where)

    # -- what the chain does ------------------------------------------------------------------------------------

    def curve_us(self, u: Array) -> Array:
        """Return the pulse the chain means for a stick at u, without hysteresis, steps and noise."""
        w = 2 * np.asarray(u, np.float64) - 1
        flat = self.flat_pct / 100
        w = np.sign(w) * np.maximum(np.abs(w) - flat, 0) / (1 - flat)
        shape = ((1 - self.expo) * w + self.expo * w**3 + 1) / 2 + self.bow * (1 - w**2)
        return self.low_us + (self.high_us - self.low_us) * shape

    def asked_us(self, seconds: Array) -> Array:
        """Return what the stick asks for at each instant, hysteresis included."""
        played = _played(self._where, self.play_pct / 100)
        u = np.interp(seconds, self._when, played)
        way = np.sign(self.place_at(seconds + 0.0005) - self.place_at(seconds - 0.0005))
        rising = np.sign(self.high_us - self.low_us)
        return np.clip(self.curve_us(u) - way * rising * self.hysteresis_us / 2, *self.clip_us)

    def durations(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Return leading edges and durations [ns]."""
        rng = self._rng
        leading = np.arange(0.02 + rng.uniform(0, self.frame_ms / 1e3), self.seconds - 0.01, self.frame_ms / 1e3)
        seen = leading[np.arange(leading.size) // self.repeat * self.repeat]
        asked = self.asked_us(seen - self.delay_ms / 1e3)
        if self.step_us:
            asked = np.floor(asked / self.step_us + 0.5) * self.step_us
        tick_us = self.tick_ns / 1e3
        real = np.floor((asked + self.noise(asked.size)) / tick_us + 0.5) * tick_us
        return np.rint(leading * 1e9).astype(np.int64), np.rint(real * 1e3).astype(np.int64)

    def noise(self, size: int) -> Array:
        """Return what each pulse lies off what was asked for [µs]."""
        return self._rng.normal(0, self.noise_us, size)

    # -- what the probe records ---------------------------------------------------------------------------------

    def samples(self) -> tuple[NDArray[np.int64], Array]:
        """Return the level lead's sample instants [ns] and its counts, not yet limited."""
        rng = self._rng
        t = np.arange(0, self.seconds, 1 / self.rate_hz)
        counts_per_v = (2**self.bits - 1) / self.full_scale_v
        volts = self.low_v + self.place_at(t) * (self.high_v - self.low_v)
        return np.rint(t * 1e9).astype(np.int64), volts * counts_per_v + rng.normal(0, self.lead_noise_lsb, t.size)

    def stick_evidence(self, gaps: tuple[Gap, ...] = ()) -> LeadEvidence:
        times, counts = self.samples()
        top = 2**self.bits - 1
        values = np.clip(np.rint(counts), 0, top).astype(np.uint16)
        return LeadEvidence(
            lead=level_lead(full_scale_v=self.full_scale_v, full_scale_counts=top, nonlinearity_lsb=0.5),
            role="stick",
            levels=Levels(lead=3, times_ns=times, values=values),
            gaps=gaps,
        )

    def run(self, **changes) -> RunEvidence:
        leading, durations = self.durations()
        output = LeadEvidence(
            lead=lead(1, "output", resolution_ns=self.tick_ns),
            role="output",
            edges=pulse_edges(1, leading, durations),
            gaps=changes.pop("output_gaps", ()),
        )
        leads = {"stick": changes.pop("stick", None) or self.stick_evidence(), "output": output}
        leads |= changes.pop("leads", {})
        facts = {
            "run": 1,
            "test": "stick-sweep",
            "origin": Origin.PROBE,
            "pick_up": PickUp.CONTACT,
            "outcome": Outcome.COMPLETE,
            "start_ns": 0,
            "stop_ns": round(self.seconds * 1e9),
            "clock_tolerance_ppm": 50.0,
            "leads": {role: found for role, found in leads.items() if found is not None},
        }
        return RunEvidence(**(facts | changes))


def level_lead(**facts) -> Lead:
    return Lead(index=3, label="stick", kind=LeadKind.LEVEL, role="stick", resolution_ns=1e6, **facts)


def _eased(share: Array) -> Array:
    return (1 - np.cos(np.pi * share)) / 2


def _wobbly(share: Array) -> Array:
    return share + 0.06 * np.sin(2 * np.pi * 2 * share) * np.sin(np.pi * share)


_SHARES: dict[str, Callable[[Array], Array]] = {"even": lambda share: share, "eased": _eased, "wobbly": _wobbly}


def _played(places: Array, play: float) -> Array:
    """Return what lies behind a play: it follows only once the play is taken up."""
    if play == 0:
        return places
    out = np.empty_like(places)
    now = float(np.clip(places[0], play / 2, 1 - play / 2))
    half = play / 2
    for i, place in enumerate(places.tolist()):
        now = min(max(now, place - half), place + half)
        out[i] = now
    return out
