"""The last flip as it is held on screen: its milliseconds, its words, and the lines to draw."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.presentation.ground.numbers import NBSP, at_places, span
from benchapp.presentation.ground.wording import EXCLUSIONS
from benchapp.procedures.ground.progress import RunProgress
from benchapp.records.findings import Latency
from benchapp.records.flip_seen import FlipSeen
from benchapp.records.method import FEWEST_ANSWERED
from benchapp.waveforms.pulses import Pulses

LAST_FLIP = "The last flip"
NO_FLIP_YET = "Flip the switch: its answer is drawn here, and stays until the next flip."
CONTROL_NAME, OUTPUT_NAME = "Your switch", "Servo pulse"
STICK_NAME = "Your stick"
NO_ANSWER = "No answer"
_UNANSWERED = frozenset({"no-answer", "step-too-small", "already-there"})
_FRAMES_BEFORE, _FRAMES_AFTER, _FRAMES_UNANSWERED = 1.3, 1.6, 5.0
_LEAST_FRAME_MS, _USUAL_FRAME_MS, _MOST_FRAME_MS = 4.0, 20.0, 60.0


@dataclass(frozen=True, kw_only=True, slots=True)
class FlipWords:
    """What stands beside the picture: large is read across the room, unit beside it; lines are small; spoken is all."""

    large: str
    unit: str
    lines: tuple[str, ...]
    spoken: str


@dataclass(frozen=True, kw_only=True, slots=True)
class PulseDrawn:
    """One servo pulse [ms after the flip], with its length in words; answer: it is the answering one."""

    begin_ms: float
    end_ms: float
    length: str
    answer: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class FlipDrawn:
    """The lines around one flip, in ms after it.

    control : corners of the control's line, height 0 (low) to 1 (high)    name : what it is called
    pulses  : the servo pulses in view         high : whether a pulse is drawn upwards
    ends_ms : where the answering pulse ends, None without an answer
    """

    from_ms: float
    to_ms: float
    name: str
    control: tuple[tuple[float, float], ...]
    pulses: tuple[PulseDrawn, ...]
    ends_ms: float | None


def newest_flip(run: RunProgress, bench: FlipSeen | None) -> FlipSeen | None:
    """Return the flip a run holds on screen: of its own findings, of the bench's once those are made anew no more."""
    return bench if run.stands and bench is not None else run.last_flip


def flip_words(flip: FlipSeen, found: Latency | None = None) -> FlipWords:
    """Return the words of a flip; found: the run it belongs to, for where most of its flips lie."""
    lines = _lines(flip, found)
    if flip.code:
        large, unit = (NO_ANSWER if flip.code in _UNANSWERED else "Left out"), ""
    else:
        large, unit = at_places(flip.mid_ms, 1), "ms"
    said = f"{LAST_FLIP}: {large}{NBSP}{unit}".strip()
    return FlipWords(large=large, unit=unit, lines=lines, spoken=". ".join((said, *lines)) + ".")


def _lines(flip: FlipSeen, found: Latency | None) -> tuple[str, ...]:
    if flip.code:
        first = EXCLUSIONS.get(flip.code, "it did not count")
    else:
        way = "grew longer" if flip.direction == "up" else "grew shorter"
        first = f"the pulse {way}, {_from_to(flip)}"
    return (first, *_most_of_them(found))


def _from_to(flip: FlipSeen) -> str:
    if flip.before_us is None or flip.after_us is None:
        return ""
    return f"{at_places(flip.before_us / 1e3, 2)} to {at_places(flip.after_us / 1e3, 2)}{NBSP}ms"


def _most_of_them(found: Latency | None) -> tuple[str, ...]:
    """Return where nine of ten flips lie, once there are enough of them."""
    points = found.points.get("mid") if found is not None else None
    if points is None or points.n < FEWEST_ANSWERED:
        return ()
    return (f"nine of ten of these flips: {span(points.p05_ms, points.p95_ms, 1, 'ms')}",)


def flip_drawn(
    flip: FlipSeen,
    *,
    control_ns: NDArray[np.int64],
    heights: NDArray[np.float64],
    pulses: Pulses,
    stepped: bool,
) -> FlipDrawn:
    """Return what is drawn of a flip.

    control_ns, heights : the control's edges and the height after each, or its samples; both (n,), around the flip
    pulses  : the servo pulses around the flip         stepped : the control is on or off; else a line through samples
    """
    frame_ms = _frame_ms(pulses)
    ends_ms = _answer_ends_ms(flip, pulses)
    from_ms = -_FRAMES_BEFORE * frame_ms
    to_ms = _FRAMES_UNANSWERED * frame_ms if ends_ms is None else ends_ms + _FRAMES_AFTER * frame_ms
    times_ms = (control_ns - flip.at_ns) / 1e6
    corners = _steps if stepped else _samples
    return FlipDrawn(
        from_ms=from_ms,
        to_ms=to_ms,
        name=CONTROL_NAME if stepped else STICK_NAME,
        control=corners(times_ms, heights, from_ms, to_ms),
        pulses=_pulses(flip, pulses, from_ms, to_ms, ends_ms),
        ends_ms=ends_ms,
    )


def _frame_ms(pulses: Pulses) -> float:
    frames = np.diff(pulses.leading_ns)
    usual = float(np.median(frames)) / 1e6 if frames.size else _USUAL_FRAME_MS
    return min(max(usual, _LEAST_FRAME_MS), _MOST_FRAME_MS)


def _answer_ends_ms(flip: FlipSeen, pulses: Pulses) -> float | None:
    """Return where the answering pulse ends: the one whose end lies nearest to where the latency says."""
    if flip.code or flip.mid_ms is None:
        return None
    wanted_ms = flip.mid_ms - flip.taken_off_ms
    ends_ms = (pulses.trailing_ns - flip.at_ns) / 1e6
    return wanted_ms if not ends_ms.size else float(ends_ms[np.argmin(np.abs(ends_ms - wanted_ms))])


def _pulses(
    flip: FlipSeen, pulses: Pulses, from_ms: float, to_ms: float, ends_ms: float | None
) -> tuple[PulseDrawn, ...]:
    begins = (pulses.leading_ns - flip.at_ns) / 1e6
    ends = (pulses.trailing_ns - flip.at_ns) / 1e6
    return tuple(
        PulseDrawn(begin_ms=begin, end_ms=end, length=at_places(end - begin, 2), answer=end == ends_ms)
        for begin, end in zip(begins.tolist(), ends.tolist(), strict=True)
        if begin >= from_ms and end <= to_ms
    )


def _steps(
    times_ms: NDArray[np.float64], heights: NDArray[np.float64], from_ms: float, to_ms: float
) -> tuple[tuple[float, float], ...]:
    """Return the corners of an on-off line; before its first edge it stood at the other level."""
    inside = (times_ms > from_ms) & (times_ms < to_ms)
    before = int(np.searchsorted(times_ms, from_ms, side="right"))
    if not times_ms.size:
        return ()
    height = float(heights[before - 1]) if before else 1.0 - float(heights[0])
    corners = [(from_ms, height)]
    for time_ms, level in zip(times_ms[inside].tolist(), heights[inside].tolist(), strict=True):
        corners += [(time_ms, corners[-1][1]), (time_ms, level)]
    return (*corners, (to_ms, corners[-1][1]))


def _samples(
    times_ms: NDArray[np.float64], heights: NDArray[np.float64], from_ms: float, to_ms: float
) -> tuple[tuple[float, float], ...]:
    """Return a line through samples, their least at 0 and their greatest at 1."""
    inside = (times_ms >= from_ms) & (times_ms <= to_ms) & np.isfinite(heights)
    if not inside.any():
        return ()
    low, reach = float(heights[inside].min()), float(np.ptp(heights[inside])) or 1.0
    return tuple(zip(times_ms[inside].tolist(), ((heights[inside] - low) / reach).tolist(), strict=True))
