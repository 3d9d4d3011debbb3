"""Guides a hand from end to end: where the stick should be by now, and whether it goes too fast or too slow."""

from collections.abc import Sequence

from benchapp.procedures.ground.progress import Pace

USUAL_STROKE_S = 5.0
SPEEDS = (1.0, 0.65, 1.4, 0.8, 1.2)
"""How fast each cycle is asked for, over the usual speed: with one speed alone, delay and hysteresis look alike."""
AHEAD_SHARE = 0.15
"""Farther than this from the target, in parts of the range, is too fast or too slow."""
SHORTEST_STROKE_S = 1.5
LEAST_SHARE = 0.15
"""A range of less than this part of the lead's full scale shows no two ends yet."""
END_SHARE = 0.05
_FAR_SHARE = 0.3
"""A stick nearer to the middle of its lead's scale than half of this may stand anywhere: no other end is expected."""
USUAL_REST_S = 1.0


class SweepGuide:
    """Knows the range the stick has shown in its rests, and how the stroke that goes on should go."""

    def __init__(self, least_range_v: float) -> None:
        self._least = least_range_v
        self._scale = least_range_v / LEAST_SHARE
        self._low: float | None = None
        self._high: float | None = None
        self.strokes = 0
        self._began_ns: int | None = None
        self._from_v = 0.0

    def rested(self, value: float) -> None:
        """Note where the stick stands still."""
        self._low = value if self._low is None else min(self._low, value)
        self._high = value if self._high is None else max(self._high, value)

    @property
    def range_v(self) -> float:
        """The range its rests have shown; 0 while they show no two ends."""
        span = 0.0 if self._low is None or self._high is None else self._high - self._low
        return span if span >= self._least else 0.0

    @property
    def expected_v(self) -> tuple[float | None, float | None]:
        """The range; until it is known, as far on the other side of the lead's middle as the stick stands on this.

        So the first stroke has a ring to follow too, and its pace is told against that.
        """
        if self.range_v:
            return self._low, self._high
        if self._low is None or abs(self._scale - 2.0 * self._low) < _FAR_SHARE * self._scale:
            return None, None
        return min(self._low, self._scale - self._low), max(self._low, self._scale - self._low)

    def seconds_for(self, strokes: int) -> float:
        """Return about how long the next strokes last, with a rest after each."""
        speeds = [SPEEDS[number // 2 % len(SPEEDS)] for number in range(self.strokes, self.strokes + strokes)]
        return sum(USUAL_STROKE_S / speed + USUAL_REST_S for speed in speeds)

    def at_end(self, value: float) -> bool:
        """Return whether a place is at an end, as far as is known; until two ends are known, every place may be."""
        if not self.range_v or self._low is None or self._high is None:
            return True
        return min(value - self._low, self._high - value) <= END_SHARE * self.range_v

    def inside(self, value: float) -> bool:
        """Return whether a place lies between the two ends known so far."""
        return self._low is not None and self._high is not None and self._low < value < self._high

    def begin(self, at_ns: int, from_v: float) -> None:
        """Note that a stroke begins."""
        self._began_ns, self._from_v = at_ns, from_v

    def end(self, value: float) -> bool:
        """Note that the stroke is over; return whether it was one, that is, whether it went anywhere."""
        whole = self._began_ns is not None and 0.0 < 0.5 * self.range_v < abs(value - self._from_v)
        self.strokes += whole
        self._began_ns = None
        return whole

    def pace_wanted(self) -> Pace:
        """Return how this stroke, or the next, should go."""
        speed = SPEEDS[self.strokes // 2 % len(SPEEDS)]
        return Pace.USUAL if speed == 1.0 else Pace.QUICKER if speed > 1.0 else Pace.SLOWER

    def stroke_s(self) -> float:
        """Return how long this stroke, or the next, should last."""
        return USUAL_STROKE_S / SPEEDS[self.strokes // 2 % len(SPEEDS)]

    def share(self, value: float | None) -> float | None:
        """Return a place as 0 to 1 of the range as far as it is known or expected, None where it is neither."""
        low, high = self.expected_v
        if value is None or low is None or high is None:
            return None
        return min(max((value - low) / (high - low), 0.0), 1.0)

    def target(self, now_ns: int) -> float | None:
        """Return where the stick should be by now, 0 to 1; None while no stroke goes on or no range is known."""
        start = self.share(self._from_v)
        if self._began_ns is None or start is None:
            return None
        gone = min((now_ns - self._began_ns) / 1e9 / self.stroke_s(), 1.0)
        return start + ((1.0 - start) if start < 0.5 else -start) * gone

    def pace(self, trail: Sequence[tuple[int, float]]) -> Pace | None:
        """Return how the stroke goes, None while none does or its range is not known.

        trail : (time, value) of the last cells, oldest first
        """
        here = self.share(trail[-1][1]) if trail else None
        target, start = self.target(trail[-1][0]) if trail else None, self.share(self._from_v)
        if here is None or target is None or start is None or self._began_ns is None:
            return self._first_pace(trail)
        ahead = (here - target) * (1.0 if start < 0.5 else -1.0)
        if ahead > AHEAD_SHARE:
            return Pace.TOO_FAST
        return Pace.TOO_SLOW if ahead < -AHEAD_SHARE else Pace.GOOD

    def _first_pace(self, trail: Sequence[tuple[int, float]]) -> Pace | None:
        """Return whether the first stroke, whose end nobody knows, is far too fast."""
        if self._began_ns is None or len(trail) < 2:
            return None
        (before_ns, before_v), (at_ns, here_v) = trail[-2:]
        quickest = self._least / LEAST_SHARE / (SHORTEST_STROKE_S * 1e9)
        return Pace.TOO_FAST if abs(here_v - before_v) > quickest * (at_ns - before_ns) else Pace.GOOD
