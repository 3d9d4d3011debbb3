"""What the figures of a sweep share: its axis along the stick, its marks for up and down, and their key."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from benchapp.presentation.ground.axes import Axis
from benchapp.presentation.ground.canvas import SMALL_PX, Canvas, Point, text_width_px
from benchapp.presentation.ground.colours import SOFT_INK, role_colour
from benchapp.records.sweep_findings import Array, Linearity

COLOUR = role_colour("output")
UP, DOWN, BETWEEN = "coming up", "going down", "half-way between"
NOT_TOLD = "Lag and hysteresis were not told apart here, so up and down are not drawn apart."
_KEY_Y = 12.0


def stick_title(found: Linearity) -> str:
    """Return the title of the axis along the stick."""
    return f"Stick ({found.x_unit})"


def placed(x: Array, y: Array, x_axis: Axis, y_axis: Axis) -> list[Point]:
    """Return the points that exist, in px."""
    known = _known(x, y)
    return [(x_axis.at(a), y_axis.at(b)) for a, b in zip(x[known].tolist(), y[known].tolist(), strict=True)]


def _known(x: Array, y: Array) -> NDArray[np.bool_]:
    known: NDArray[np.bool_] = np.isfinite(x) & np.isfinite(y)
    return known


def mark_dots(canvas: Canvas, points: Sequence[Point], *, rising: bool, radius: float = 2.6) -> None:
    """Draw a dot for every point: filled where the stick rose, a ring where it fell."""
    for x, y in points:
        canvas.dot(x, y, radius, COLOUR, hollow=not rising)


def draw_key(canvas: Canvas, x: float, *, told: bool = True, lines: Sequence[tuple[str, str]] = ()) -> None:
    """Draw the key from x on: both dots with their words, then a stroke for each (colour, words).

    told : up and down are told apart; else one dot stands for half-way between them
    """
    for hollow, word in ((False, UP), (True, DOWN)) if told else ((False, BETWEEN),):
        canvas.dot(x, _KEY_Y, 3.6, COLOUR, hollow=hollow)
        x = _word(canvas, x + 9, word)
    for colour, word in lines:
        canvas.line((x, _KEY_Y), (x + 18, _KEY_Y), colour, 1.5)
        x = _word(canvas, x + 24, word)


def _word(canvas: Canvas, x: float, word: str) -> float:
    canvas.text(x, _KEY_Y + 4, word, size=SMALL_PX, colour=SOFT_INK)
    return x + text_width_px(word, SMALL_PX) + 16
