"""Readings of a sweep by stops: positions typed by hand, each read while everything stood still."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.records.run import Stop
from benchapp.reduction.sweep.transfer_curve import Curve, curve_of_readings

FEWEST_POSITIONS = 5
_FEWEST_PULSES = 3

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class StopReadings:
    """What each stop said, in order of time.

    x : [°], (n,)     us : median of its pulses, (n,)     way : +1 reached rising, -1 falling, (n,)
    run : which move from turn to turn it belongs to, (n,)     noise_us : SD of pulses within stops, None below two
    """

    x: Array
    us: Array
    way: Array
    run: NDArray[np.intp]
    noise_us: float | None

    @property
    def cycles(self) -> int:
        """The number of full cycles: moves that reached from the lowest to the highest stop and back, in pairs."""
        if not self.x.size:
            return 0
        low, high = float(self.x.min()), float(self.x.max())
        whole = [
            float(self.way[self.run == run][-1])
            for run in np.unique(self.run)
            if (self.x[self.run == run].max() == high and _starts(self, int(run)) == low)
            or (self.x[self.run == run].min() == low and _starts(self, int(run)) == high)
        ]
        return min(whole.count(1.0), whole.count(-1.0))


def stop_readings(stops: Sequence[Stop], leading_ns: NDArray[np.int64], durations_us: Array) -> StopReadings:
    """Return the readings of the stops that hold at least three pulses.

    A stop was reached rising if the one before was lower; the first counts for the way it was left, and one that
    repeats a position for the way that follows it.
    """
    x, us, off = [], [], []
    for stop in sorted(stops, key=lambda stop: stop.from_ns):
        seen = durations_us[slice(*np.searchsorted(leading_ns, [stop.from_ns, stop.to_ns]))]
        if seen.size >= _FEWEST_PULSES:
            x.append(stop.position_deg)
            us.append(float(np.median(seen)))
            off.append(seen - us[-1])
    places = np.array(x, np.float64)
    way = _ways(places)
    noise = np.concatenate(off) if off else np.empty(0)
    return StopReadings(
        x=places,
        us=np.array(us, np.float64),
        way=way,
        run=np.cumsum(np.append(0, np.diff(way) != 0))[: places.size].astype(np.intp),
        noise_us=float(np.sqrt(np.mean(noise**2))) if noise.size > 1 else None,
    )


def stop_curve(readings: StopReadings) -> Curve:
    """Return the curve over the distinct positions, rising and falling apart."""
    positions, place = np.unique(readings.x, return_inverse=True)
    runs = int(readings.run.max()) + 1 if readings.run.size else 0
    single = np.full((runs, positions.size), np.nan)
    # Of a position read twice on one move, the later reading stands.
    single[readings.run, place] = readings.us
    ways = np.array([readings.way[readings.run == run][0] for run in range(runs)])
    return curve_of_readings(positions, single, ways)


def _ways(places: Array) -> Array:
    """Return +1 or -1 for each stop."""
    steps = np.sign(np.diff(places))
    following = steps.copy()
    for i in range(steps.size - 2, -1, -1):
        following[i] = steps[i] if steps[i] else following[i + 1]
    way = np.append(following[:1] if following.size else [1.0], steps)[: places.size]
    for i in np.flatnonzero(way == 0).tolist():
        way[i] = following[i] if i < following.size and following[i] else -1.0
    return np.asarray(way, np.float64)


def _starts(readings: StopReadings, run: int) -> float:
    """Return the position a move began at: the last stop before it, or its own first."""
    first = int(np.argmax(readings.run == run))
    return float(readings.x[max(first - 1, 0)])
