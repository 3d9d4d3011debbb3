"""The practice bench's hand: where it puts the stick, and when."""

import math
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from random import Random

_GOLDEN = (5**0.5 - 1) / 2
_EASE = 0.08
_SWAY = 0.2
_SWAYS = 2
_FIRST_REST_S = 1.0
_GLIDE_S = 0.6
_TO_A_STOP_S = 0.7
FAST_S = 0.4
"""The time of a full travel where a person places the stick from outside."""
RECENT_MOVES = 64
LEAST_S = 0.06
"""A person who leads it from place to place moves it smoothly: it is never there sooner than the next place comes."""


class Motion(StrEnum):
    """What the hand does with the stick once recording begins."""

    NONE = "none"
    SWEEP = "sweep"
    STOPS = "stops"
    STILL = "still"


@dataclass(frozen=True, kw_only=True, slots=True)
class Habits:
    """How the practice bench's hand moves the stick.

    stroke_s     : the usual time of a stroke from end to end
    speed_spread : strokes are faster and slower by up to this share
    speeds : how many times as fast as usual the strokes of each cycle are, in turn, instead of that spread
    rest_s : the least rest at an end
    cycles : full cycles before it leaves the stick alone; None: it goes on
    stops  : the places it stops at, rising;  stop_s : how long each is held
    place  : where it is held still
    """

    stroke_s: float = 3.0
    speed_spread: float = 0.6
    speeds: tuple[float, ...] = ()
    rest_s: float = 0.8
    cycles: int | None = None
    stops: tuple[float, ...] = (0.0, 1.0)
    stop_s: float = 1.5
    place: float = 0.5


@dataclass(frozen=True, kw_only=True, slots=True)
class Move:
    """One move of the stick; a rest goes nowhere. sway is the phase of its unevenness, None for a smooth one."""

    from_ns: int
    to_ns: int
    start: float
    end: float
    sway: float | None = None

    def place_at(self, ns: int) -> float:
        """Return where the stick is; past the end it stays there."""
        if ns >= self.to_ns or self.start == self.end:
            return self.end
        share = (ns - self.from_ns) / (self.to_ns - self.from_ns)
        if self.sway is not None:
            bend = math.sin(2 * math.pi * _SWAYS * share + self.sway) - math.sin(self.sway)
            share += _SWAY * bend / (2 * math.pi * _SWAYS)
        return self.start + (self.end - self.start) * _eased(share)


def _eased(share: float) -> float:
    """Return the way gone of a move that gathers speed, keeps it, and loses it again."""
    if share < _EASE:
        return share * share / (2 * _EASE) / (1 - _EASE)
    if share > 1 - _EASE:
        return 1 - _eased(1 - share)
    return (share - _EASE / 2) / (1 - _EASE)


def even_places(count: int) -> tuple[float, ...]:
    """Return so many places from end to end, both included."""
    return tuple(number / (count - 1) for number in range(count))


class Hand:
    """Moves the stick by its habits; `place_at` may be asked for any instant up to a little after now.

    Without remember it forgets where it was long ago.
    """

    def __init__(self, habits: Habits, seed: int, place: float, *, remember: bool = True) -> None:
        self._remember = remember
        self._forgotten = 0
        self._habits = habits
        self._seed = seed
        self._moves = [Move(from_ns=0, to_ns=0, start=place, end=place)]
        self._begins = [0]
        self._plan: Iterator[tuple[float, float, float | None]] = iter(())
        self.busy = False

    @property
    def moves(self) -> tuple[Move, ...]:
        """Every move and rest so far, in order of time; the first is where the stick stood at first."""
        return tuple(self._moves)

    def place_at(self, ns: int) -> float:
        """Return where the stick stands, 0 to 1."""
        self._plan_until(ns)
        return self._moves[max(bisect_right(self._begins, ns) - 1, 0)].place_at(ns)

    def begin(self, motion: Motion, at_ns: int, *, stops: int | None = None) -> None:
        """Take up a motion now, from where the stick stands."""
        self._cut(at_ns)
        rng = Random(f"hand {motion} {self._forgotten + len(self._moves)} {self._seed}")
        if motion is Motion.SWEEP:
            self._plan = self._sweep(rng)
        elif motion is Motion.STOPS:
            self._plan = self._by_stops(self._habits.stops if stops is None else even_places(stops))
        elif motion is Motion.STILL:
            self._plan = iter([(_FIRST_REST_S, self._habits.place, None)])
        self.busy = motion is not Motion.NONE

    def leave(self, at_ns: int) -> None:
        """Leave the stick where it is."""
        self._cut(at_ns)

    def put(self, place: float, at_ns: int) -> None:
        """Take the stick to a place, quickly."""
        self._cut(at_ns)
        self._add(max(abs(place - self._moves[-1].end) * FAST_S, LEAST_S), place, None)

    def _cut(self, at_ns: int) -> None:
        """Forget what was planned, and let the stick rest from now on where it is."""
        here = self.place_at(at_ns)
        self._plan, self.busy = iter(()), False
        kept = max(bisect_right(self._begins, at_ns - 1), 1)
        del self._moves[kept:], self._begins[kept:]
        self._moves.append(Move(from_ns=at_ns, to_ns=at_ns, start=here, end=here))
        self._begins.append(at_ns)

    def _plan_until(self, ns: int) -> None:
        while self.busy and self._moves[-1].to_ns <= ns:
            following = next(self._plan, None)
            if following is None:
                self.busy = False
            else:
                self._add(*following)

    def _add(self, lasts_s: float, end: float, sway: float | None) -> None:
        last = self._moves[-1]
        until_ns = last.to_ns + max(1, round(lasts_s * 1e9))
        self._moves.append(Move(from_ns=last.to_ns, to_ns=until_ns, start=last.end, end=end, sway=sway))
        self._begins.append(last.to_ns)
        if not self._remember and len(self._moves) > 2 * RECENT_MOVES:
            self._forgotten += len(self._moves) - RECENT_MOVES
            del self._moves[:-RECENT_MOVES], self._begins[:-RECENT_MOVES]

    def _sweep(self, rng: Random) -> Iterator[tuple[float, float, float | None]]:
        """Yield (seconds, place, sway): cycles from the low end and back, each stroke at a speed of its own."""
        habits, speed = self._habits, rng.random()
        if self._moves[-1].end != 0.0:
            yield _GLIDE_S, 0.0, None
        yield max(_FIRST_REST_S, habits.rest_s), 0.0, None
        cycle = 0
        while habits.cycles is None or cycle < habits.cycles:
            for end in (1.0, 0.0):
                speed = (speed + _GOLDEN) % 1.0
                factor = 1.0 + habits.speed_spread * (2.0 * speed - 1.0)
                if habits.speeds:
                    factor = habits.speeds[cycle % len(habits.speeds)]
                yield habits.stroke_s / factor, end, rng.uniform(0, 2 * math.pi)
                yield habits.rest_s * rng.uniform(1.0, 1.4), end, None
            cycle += 1

    def _by_stops(self, stops: tuple[float, ...]) -> Iterator[tuple[float, float, float | None]]:
        """Yield (seconds, place, sway): from stop to stop, up and down, never past one."""
        habits = self._habits
        if self._moves[-1].end != stops[0]:
            yield _GLIDE_S, stops[0], None
        yield max(_FIRST_REST_S, habits.stop_s), stops[0], None
        cycle = 0
        while habits.cycles is None or cycle < habits.cycles:
            for place in (*stops[1:], *stops[-2::-1]):
                yield _TO_A_STOP_S, place, None
                yield habits.stop_s, place, None
            cycle += 1
