"""What a practice radio makes of the stick: a curve, play, an end, and steps. Every figure is invented."""

from dataclasses import dataclass

TRAVEL_DEG = 30.0
"""The practice stick stands at -30° at one end and at +30° at the other."""


@dataclass(frozen=True, kw_only=True, slots=True)
class StickLaw:
    """From the stick, 0 to 1, to the output pulse.

    low_us, high_us : the pulse the curve means with the stick at 0 and at 1
    expo        : share of a cubic in the curve: flatter round the centre, steeper at the ends; negative the other way
    bow         : how far the middle is bent away from the straight line, as a share of the span
    centre_flat : share of the travel, round the centre, over which nothing changes
    dead_band   : play: the share of the travel the stick goes back before the output follows it back
    hysteresis  : play of the output's own: rising it lies half of this share of its span below, falling above
    clip        : share of the travel, at each end, over which the output already stands at its end
    step_us     : the output takes whole multiples of this; 0 for any value
    """

    low_us: float
    high_us: float
    expo: float = 0.0
    bow: float = 0.0
    centre_flat: float = 0.0
    dead_band: float = 0.0
    hysteresis: float = 0.0
    clip: float = 0.0
    step_us: float = 0.0

    def curve_us(self, place: float) -> float:
        """Return the pulse the curve alone means for a place of the stick."""
        way = 2.0 * place - 1.0
        if self.centre_flat > 0:
            past = max(abs(way) - self.centre_flat, 0.0) / (1.0 - self.centre_flat)
            way = past if way > 0 else -past
        shape = ((1.0 - self.expo) * way + self.expo * way**3 + 1.0) / 2.0 + self.bow * (1.0 - way * way)
        return self.low_us + (self.high_us - self.low_us) * shape

    @property
    def limits_us(self) -> tuple[float, float]:
        """The shortest and the longest pulse, where the output is clipped."""
        ends = self.curve_us(self.clip), self.curve_us(1.0 - self.clip)
        return min(ends), max(ends)


class StickChain:
    """One reader of the stick with its memory of play. It must be asked in order of time."""

    def __init__(self, law: StickLaw) -> None:
        self._law = law
        half = law.dead_band / 2.0
        self._places = _Play(law.dead_band, half, 1.0 - half)
        width_us = law.hysteresis * abs(law.high_us - law.low_us)
        ends = sorted((law.curve_us(half), law.curve_us(1.0 - half)))
        self._pulses = _Play(width_us, ends[0] + width_us / 2.0, ends[1] - width_us / 2.0)
        self._shortest_us, self._longest_us = law.limits_us

    def smooth_us(self, place: float) -> float:
        """Return the pulse for the stick's next place, play and clipping included, not yet in steps."""
        asked_us = self._pulses.follow(self._law.curve_us(self._places.follow(place)))
        return min(max(asked_us, self._shortest_us), self._longest_us)

    def pulse_us(self, place: float) -> float:
        """Return the pulse for the stick's next place, in steps."""
        smooth_us, step_us = self.smooth_us(place), self._law.step_us
        return round(smooth_us / step_us) * step_us if step_us > 0 else smooth_us


class _Play:
    """What lies behind a play of some width: it follows only once the play is taken up.

    Where it begins nobody knows; it lies within what it can reach once both ends have been visited.
    """

    def __init__(self, width: float, least: float, most: float) -> None:
        self._half = width / 2.0
        self._ends = (least, most) if least <= most else ((least + most) / 2.0,) * 2
        self._now: float | None = None

    def follow(self, leader: float) -> float:
        """Return where it lies once the leader has come to this place."""
        if self._now is None:
            self._now = min(max(leader, self._ends[0]), self._ends[1])
        self._now = min(max(self._now, leader - self._half), leader + self._half)
        return self._now
