"""Axes with round numbers, the unit in the title, and no grid."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from benchapp.presentation.ground.canvas import SMALL_PX, TEXT_PX, Canvas
from benchapp.presentation.ground.colours import EDGE, SOFT_INK
from benchapp.presentation.ground.numbers import at_places

_TICK_PX = 5.0
_STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Axis:
    """A span of values laid over a span of px, with the ticks that carry numbers."""

    low: float
    high: float
    low_px: float
    high_px: float
    ticks: tuple[float, ...]
    places: int

    def at(self, value: float) -> float:
        """Return where a value lies, in px."""
        return self.low_px + (value - self.low) / (self.high - self.low) * (self.high_px - self.low_px)

    def holds(self, value: float) -> bool:
        """Return whether a value lies on the axis."""
        return self.low <= value <= self.high


def nice_step(span: float, most: int) -> float:
    """Return the smallest of 1, 2, 2.5, 5 × 10ⁿ that divides the span into at most that many parts."""
    rough = span / max(most, 1)
    power = 10.0 ** math.floor(math.log10(rough))
    return next(step * power for step in _STEPS if step * power >= rough * (1 - 1e-9))


def round_down(value: float) -> float:
    """Return the largest of 1, 2, 2.5, 5 × 10ⁿ that is not above a value greater than 0."""
    power = 10.0 ** math.floor(math.log10(value))
    return max(step * power for step in _STEPS if step * power <= value * (1 + 1e-9))


def step_places(step: float) -> int:
    """Return how many decimals tell multiples of a step apart."""
    places = 0
    while places < 9 and abs(step * 10**places - round(step * 10**places)) > 1e-6 * step * 10**places:
        places += 1
    return places


def axis(
    low: float, high: float, low_px: float, high_px: float, *, most: int, snug: bool = False, whole: bool = False
) -> Axis:
    """Return an axis holding low and high, with at most about `most` ticks at round numbers.

    Unless snug, its ends are moved out to the next tick; whole: only whole numbers are ticks. A span of nothing is
    opened by 1 either way.
    """
    if not high - low > 1e-9 * max(abs(low), abs(high), 1e-3):
        low, high = low - 1.0, high + 1.0
    step = nice_step(high - low, most)
    if whole:
        step = 5.0 if step == 2.5 else max(step, 1.0)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    if snug:
        first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    else:
        low, high = min(low, first * step), max(high, last * step)
    ticks = tuple(number * step for number in range(first, last + 1))
    return Axis(low=low, high=high, low_px=low_px, high_px=high_px, ticks=ticks, places=step_places(step))


def padded(values: Iterable[float], share: float = 0.06) -> tuple[float, float]:
    """Return the least and the greatest value, moved apart by a share of their distance."""
    some = list(values)
    low, high = min(some), max(some)
    room = share * (high - low)
    return low - room, high + room


def draw_x(canvas: Canvas, scale: Axis, y: float, title: str) -> None:
    """Draw an axis along the bottom at height y, its title below at the right end."""
    canvas.line((scale.low_px, y), (scale.high_px, y), EDGE)
    for tick in scale.ticks:
        x = scale.at(tick)
        canvas.line((x, y), (x, y + _TICK_PX), EDGE)
        canvas.text(x, y + 19, at_places(tick, scale.places), size=SMALL_PX, anchor="middle", colour=SOFT_INK)
    canvas.text((scale.low_px + scale.high_px) / 2, y + 38, title, size=TEXT_PX, anchor="middle")


def draw_y(canvas: Canvas, scale: Axis, x: float, title: str) -> None:
    """Draw an axis up the left side at x, its title above its top."""
    canvas.line((x, scale.low_px), (x, scale.high_px), EDGE)
    for tick in scale.ticks:
        y = scale.at(tick)
        canvas.line((x - _TICK_PX, y), (x, y), EDGE)
        canvas.text(x - 9, y + 4, at_places(tick, scale.places), size=SMALL_PX, anchor="end", colour=SOFT_INK)
    canvas.text(4, 16, title, size=TEXT_PX)
