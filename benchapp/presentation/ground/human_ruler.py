"""The human ruler: how far a model flies while the set answers, to scale, beside the user's own earlier sets."""

from collections.abc import Sequence
from dataclasses import dataclass

from benchapp.presentation.ground.axes import Axis, axis, nice_step
from benchapp.presentation.ground.canvas import SMALL_PX, TEXT_PX, Canvas, text_width_px
from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.colours import ACTION, EDGE, INK, SOFT_INK
from benchapp.presentation.ground.numbers import NBSP, at_places, digits, exists, plainly
from benchapp.presentation.ground.page import Figure

USUAL_SPEED_M_PER_S = 20.0
"""The model's speed where nobody chose one: this program's own choice, about that of a sport model in cruise."""
SLOWEST_M_PER_S, FASTEST_M_PER_S = 1.0, 100.0
WIDTH = 720.0
_LEFT, _RIGHT = 26.0, 34.0
_BELOW, _ROW, _BAR = 26.0, 17.0, 7.0
_MOST_EARLIER = 5
_NAME_LENGTH = 22
_ROWS = 2


@dataclass(frozen=True, kw_only=True, slots=True)
class EarlierSet:
    """A set tested before, and its figure [ms]."""

    name: str
    value_ms: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Timed:
    """A time found, and its gives or takes as bands, the narrowest first [ms]."""

    value_ms: float
    bands: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Flight:
    """What the ruler is drawn for: the model's speed, whether somebody chose it, and the sets tested before."""

    speed_m_per_s: float = USUAL_SPEED_M_PER_S
    chosen: bool = False
    earlier: tuple[EarlierSet, ...] = ()


def flown_m(value_ms: float, speed_m_per_s: float) -> float:
    """Return how far a model at that speed flies in that time [m]."""
    return speed_m_per_s * value_ms / 1e3


def flown_sentence(value_ms: float, flight: Flight) -> str:
    """Return "At 20 m/s a model flies 0.26 m in that time."."""
    metres = digits(flown_m(value_ms, flight.speed_m_per_s), 2, "m")
    return f"At {plainly(flight.speed_m_per_s, 3, 'm/s')} a model flies {metres} in that time."


def human_ruler(
    value_ms: float | None,
    flight: Flight,
    *,
    bands: Sequence[tuple[float, float]] = (),
    width: float = WIDTH,
    practice: bool = False,
) -> Figure | None:
    """Return the ruler in metres, or None where there is no figure above 0.

    bands : the figure's bands [ms], the narrowest first;  width : of the sheet [px], 300 px at least
    """
    if not exists(value_ms) or value_ms <= 0.0:
        return None
    width = max(width, 300.0)
    earlier = [one for one in flight.earlier if exists(one.value_ms) and one.value_ms > 0.0][:_MOST_EARLIER]
    metres = [flown_m(one.value_ms, flight.speed_m_per_s) for one in earlier]
    own = flown_m(value_ms, flight.speed_m_per_s)
    ends = [flown_m(high, flight.speed_m_per_s) for _, high in bands]
    scale = _scale(max([own, *metres, *ends]), width)
    names = [("this set", own), *((one.name, at) for one, at in zip(earlier, metres, strict=True))]
    placed = _placed(names, scale, width)
    base = (20.0 if practice else 4.0) + 14.0 + _ROW * (1 + max(name.row for name in placed))
    height = base + _BELOW
    canvas = Canvas(width, height)
    _draw_scale(canvas, scale, base)
    for (low, high), opacity in zip(reversed(bands), (0.16, 0.3)[-len(bands) :] if bands else (), strict=False):
        left, right = (scale.at(max(flown_m(end, flight.speed_m_per_s), 0.0)) for end in (low, high))
        canvas.box(left, base - _BAR, right - left, 2 * _BAR, ACTION, opacity=opacity)
    canvas.box(scale.at(0.0), base - 2.5, scale.at(own) - scale.at(0.0), 5.0, ACTION)
    for place in metres:
        canvas.dot(scale.at(place), base, 4.5, SOFT_INK)
    canvas.dot(scale.at(own), base, 7.0, ACTION)
    _write_names(canvas, placed, base)
    if practice:
        canvas.practice_mark()
    return Figure(
        key="ruler",
        svg=canvas.svg(),
        width=canvas.width,
        height=height,
        alt=_alt(value_ms, flight, earlier),
        caption=_caption(flight),
    )


def _scale(longest_m: float, width: float) -> Axis:
    """Return an axis from nothing to a round length beyond the longest, so that a set at its end is still on it."""
    most = max(int(width / 110.0), 2)
    step = nice_step(longest_m * 1.06, most)
    top = step * max(1, int(longest_m * 1.06 / step + 0.999))
    return axis(0.0, top, _LEFT, width - _RIGHT, most=most)


def _draw_scale(canvas: Canvas, scale: Axis, base: float) -> None:
    canvas.line((scale.low_px, base), (scale.high_px, base), EDGE, 1.5)
    for tick in scale.ticks:
        x = scale.at(tick)
        canvas.line((x, base - 6), (x, base + 6), EDGE, 1.5)
        text = f"{at_places(tick, scale.places) if tick else '0'}{NBSP}m"
        canvas.text(x, base + 22, text, size=SMALL_PX, anchor="middle", colour=SOFT_INK)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Name:
    """A set's name: its text, where its dot and its middle lie [px], and in which row over the line it stands."""

    text: str
    dot_px: float
    middle_px: float
    row: int
    own: bool


def _placed(sets: Sequence[tuple[str, float]], scale: Axis, width: float) -> list[_Name]:
    """Return each name in the lowest row where it has room, this set's first; one without room is left out."""
    taken: list[list[tuple[float, float]]] = [[] for _ in range(_ROWS)]
    found = []
    for place, (name, at) in enumerate(sets):
        shown = clean(name, limit=_NAME_LENGTH)
        half = text_width_px(shown, TEXT_PX, bold=place == 0) / 2
        middle = min(max(scale.at(at), half + 5.0), width - half - 5.0)
        row = next((row for row in range(_ROWS) if _is_free(taken[row], middle - half, middle + half)), None)
        if row is None:
            continue
        taken[row].append((middle - half, middle + half))
        found.append(_Name(text=shown, dot_px=scale.at(at), middle_px=middle, row=row, own=place == 0))
    return found


def _write_names(canvas: Canvas, names: Sequence[_Name], base: float) -> None:
    for name in names:
        y = base - 14.0 - name.row * _ROW
        if name.row:
            canvas.line((name.dot_px, y + 4.0), (name.dot_px, base - 8.0), EDGE)
        colour = INK if name.own else SOFT_INK
        canvas.text(name.middle_px, y, name.text, anchor="middle", bold=name.own, colour=colour)


def _is_free(taken: Sequence[tuple[float, float]], left: float, right: float) -> bool:
    return all(right + 10.0 < start or left - 10.0 > end for start, end in taken)


def _alt(value_ms: float, flight: Flight, earlier: Sequence[EarlierSet]) -> str:
    others = [
        f"{clean(one.name, limit=_NAME_LENGTH)} {digits(flown_m(one.value_ms, flight.speed_m_per_s), 2, 'm')}"
        for one in earlier
    ]
    beside = f" Earlier sets: {', '.join(others)}." if others else ""
    return f"A ruler in metres. {flown_sentence(value_ms, flight)}{beside}"


def _caption(flight: Flight) -> str:
    speed = plainly(flight.speed_m_per_s, 3, "m/s")
    chosen = f"{speed} was chosen" if flight.chosen else f"{speed} is this program's own choice; Findings set another"
    return f"To scale; shaded: give or take. {chosen}."
