"""A strip with one short stroke for every flip, so that none hides in a bar or a curve."""

from collections.abc import Iterable

from benchapp.presentation.ground.axes import Axis
from benchapp.presentation.ground.canvas import Canvas

RUG_PX = 10.0


def draw_rug(canvas: Canvas, values: Iterable[float], scale: Axis, top_px: float, colour: str) -> None:
    """Draw the strip from top_px downwards."""
    for value in values:
        x = scale.at(value)
        canvas.line((x, top_px), (x, top_px + RUG_PX), colour, 1.0)
