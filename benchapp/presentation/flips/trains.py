"""The pulse trains around one flip, aligned at the flip: what was stamped, and which pulse was the answer."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from benchapp.presentation.flips.traces import edge_trace, pulse_spans, volt_trace, volts_between
from benchapp.presentation.ground.axes import Axis, axis, draw_x
from benchapp.presentation.ground.canvas import SMALL_PX, Canvas, text_width_px
from benchapp.presentation.ground.colours import ACTION, EDGE, HAIRLINE, SOFT_INK, role_colour
from benchapp.presentation.ground.numbers import at_places, exists, span
from benchapp.presentation.ground.page import Figure
from benchapp.presentation.ground.wording import role_words
from benchapp.records.findings import Excluded, Latency, Trial
from benchapp.records.run import LeadEvidence, RunEvidence

WIDTH = 720.0
_LEFT, _RIGHT, _TOP, _LANE, _PLAY = 118.0, 24.0, 50.0, 39.0, 20.0
_LEAST_FRAME_MS, _USUAL_FRAME_MS, _MOST_FRAME_MS = 4.0, 20.0, 60.0
_ORDER = ("switch", "stick", "module", "output", "horn", "voltage", "current", "drive")
_MOST_LANES = 8
_UNANSWERED_FRAMES = 5
NEAREST = ", the one nearest to the figure"


@dataclass(frozen=True, kw_only=True, slots=True)
class Lane:
    """One lead's place on the sheet; top and bottom are the heights of high and low."""

    role: str
    lead: LeadEvidence
    top: float
    bottom: float


def typical_trial(latency: Latency) -> Trial | None:
    """Return the flip whose delay lies nearest to the figure (to the median where there is none)."""
    figure = latency.headline.value_ms
    if not exists(figure):
        summary = latency.points.get("mid")
        figure = summary.median_ms if summary is not None else None
    if figure is None or not latency.trials:
        return latency.trials[0] if latency.trials else None
    return min(latency.trials, key=lambda trial: abs(trial.mid_ms - figure))


def trains(
    evidence: RunEvidence | None,
    trial: Trial | Excluded | None,
    *,
    frame_ms: float | None,
    pulse: str | None,
    practice: bool,
    remark: str = NEAREST,
) -> Figure | None:
    """Return the drawing of that flip, or None without evidence or a flip.

    frame_ms : the frame period [ms], None if unknown;  pulse : the output state that is the pulse, "high" or "low"
    remark   : what the caption says of this flip; a flip that was left out is drawn without an answer's line
    """
    if evidence is None or trial is None:
        return None
    lanes = _lanes(evidence)
    if not lanes:
        return None
    frame = min(max(frame_ms if exists(frame_ms) else _USUAL_FRAME_MS, _LEAST_FRAME_MS), _MOST_FRAME_MS)
    height = lanes[-1].bottom + 64
    canvas = Canvas(WIDTH, height)
    answered_ms = _UNANSWERED_FRAMES * frame if trial.mid_ms is None else trial.mid_ms
    x_axis = axis(-1.3 * frame, answered_ms + 1.6 * frame, _LEFT, WIDTH - _RIGHT, most=9, snug=True)
    for lane in lanes:
        _draw_gaps(canvas, lane, x_axis, trial.at_ns)
    _draw_marks(canvas, x_axis, trial, lanes)
    for lane in lanes:
        _draw_lane(canvas, lane, x_axis, trial, pulse)
    draw_x(canvas, x_axis, lanes[-1].bottom + 18, "Time from the flip (ms)")
    if practice:
        canvas.practice_mark()
    alt, caption = _words(trial, remark)
    return Figure(key="trains", svg=canvas.svg(), width=WIDTH, height=height, alt=alt, caption=caption)


def _words(trial: Trial | Excluded, remark: str) -> tuple[str, str]:
    """Return what a screen reader says and the caption."""
    named = f"Flip {trial.flip} (at {at_places(trial.at_ns / 1e9, 3)} s){remark}."
    if trial.mid_ms is None:
        return f"The leads around flip {trial.flip}, which has no answer.", named
    delay = f"{at_places(trial.mid_ms, 2)} ms"
    return (
        f"The leads around flip {trial.flip}: the answering servo pulse ends {delay} after the flip.",
        f"{named} The answering pulse is filled; its end, {delay} after the flip, is the answer.",
    )


def _lanes(evidence: RunEvidence) -> list[Lane]:
    def place(role: str) -> tuple[int, str]:
        stem = role.partition("-")[0]
        return (_ORDER.index(stem) if stem in _ORDER else len(_ORDER), role)

    drawn = [role for role in sorted(evidence.leads, key=place) if _has_anything(evidence.leads[role])][:_MOST_LANES]
    return [
        Lane(
            role=role,
            lead=evidence.leads[role],
            top=_TOP + number * _LANE + (_LANE - _PLAY),
            bottom=_TOP + (number + 1) * _LANE,
        )
        for number, role in enumerate(drawn)
    ]


def _has_anything(lead: LeadEvidence) -> bool:
    return (lead.edges is not None and lead.edges.count > 0) or (lead.levels is not None and lead.levels.count > 0)


def _draw_lane(canvas: Canvas, lane: Lane, x_axis: Axis, trial: Trial | Excluded, pulse: str | None) -> None:
    colour = role_colour(lane.role)
    name = role_words(lane.role)
    lift = 9 if lane.lead.edges is None else 0
    canvas.text(8, (lane.top + lane.bottom) / 2 + 5 - lift, name, bold=True)
    if lane.lead.edges is not None:
        if lane.role == "output":
            _draw_pulse_lengths(canvas, lane, x_axis, trial, pulse)
        points = edge_trace(lane.lead.edges, trial.at_ns, x_axis, top=lane.top, bottom=lane.bottom)
    else:
        times_ms, values = volts_between(lane.lead, trial.at_ns, x_axis)
        points = volt_trace(times_ms, values, x_axis, top=lane.top - 8, bottom=lane.bottom)
        if values.size:
            reach = span(float(np.min(values)), float(np.max(values)), 2, "V")
            canvas.text(8, lane.bottom + 5, reach, size=SMALL_PX, colour=SOFT_INK)
    canvas.path(points, colour, 1.4)


def _draw_pulse_lengths(canvas: Canvas, lane: Lane, x_axis: Axis, trial: Trial | Excluded, pulse: str | None) -> None:
    if lane.lead.edges is None:
        return
    level = 0 if pulse == "low" else 1
    spans = pulse_spans(lane.lead.edges, trial.at_ns, x_axis.low, x_axis.high, level=level)
    free_from = -np.inf
    for begins_ms, ends_ms in spans:
        if trial.mid_ms is not None and abs(ends_ms - trial.mid_ms) < 0.02 and begins_ms > 0.0:
            left = x_axis.at(max(begins_ms, x_axis.low))
            colour = role_colour("output")
            canvas.box(left, lane.top, x_axis.at(ends_ms) - left, lane.bottom - lane.top, colour, opacity=0.45)
        words = f"{at_places(ends_ms - begins_ms, 2)} ms"
        half = text_width_px(words, SMALL_PX) / 2
        middle = (x_axis.at(begins_ms) + x_axis.at(ends_ms)) / 2
        if middle - half > max(free_from, x_axis.low_px) and middle + half < WIDTH - 4:
            canvas.text(middle, lane.top - 7, words, size=SMALL_PX, anchor="middle", colour=SOFT_INK, on_sheet=True)
            free_from = middle + half + 6


def _draw_gaps(canvas: Canvas, lane: Lane, x_axis: Axis, zero_ns: int) -> None:
    for gap in lane.lead.gaps:
        left = x_axis.at(min(max((gap.from_ns - zero_ns) / 1e6, x_axis.low), x_axis.high))
        right = x_axis.at(min(max((gap.to_ns - zero_ns) / 1e6, x_axis.low), x_axis.high))
        if right > left:
            canvas.box(left, lane.top, right - left, lane.bottom - lane.top, HAIRLINE)


def _draw_marks(canvas: Canvas, x_axis: Axis, trial: Trial | Excluded, lanes: Sequence[Lane]) -> None:
    """Draw the flip's line, the answer's line, and the delay between them above the lanes."""
    bottom = lanes[-1].bottom + 12
    flip_x = x_axis.at(0.0)
    canvas.line((flip_x, 42), (flip_x, bottom), EDGE)
    # Left of the flip's line there is always room for one word; the answer's words stand right of its line.
    canvas.text(flip_x - 8, 53, "flip", size=SMALL_PX, anchor="end", colour=SOFT_INK)
    if trial.mid_ms is None:
        return
    answer_x, y = x_axis.at(trial.mid_ms), 48.0
    canvas.line((answer_x, 42), (answer_x, bottom), EDGE)
    canvas.line((flip_x, y), (answer_x, y), ACTION, 1.5)
    for x in (flip_x, answer_x):
        canvas.line((x, y - 5), (x, y + 5), ACTION, 1.5)
    canvas.text((flip_x + answer_x) / 2, 38, f"{at_places(trial.mid_ms, 2)} ms", anchor="middle", bold=True)
    canvas.text(answer_x + 8, 53, "answer", size=SMALL_PX, colour=SOFT_INK)
