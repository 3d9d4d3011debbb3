"""The tables of one run: points of the answer, certainty, up and down, stages, budget, the output, all flips."""

import re
from collections.abc import Iterable, Mapping

from benchapp.presentation.numbers import (
    DASH,
    at_places,
    counted,
    digits,
    exists,
    grouped,
    percent,
    sentence_start,
    uncertainty_places,
)
from benchapp.presentation.page import Block, Cell, Column, Facts, Heading, Row, Table
from benchapp.presentation.sections.table_making import number_cell, with_reasons
from benchapp.presentation.wording import POINTS, budget_words, role_words
from benchapp.records.findings import BudgetLine, Frame, Interval, Latency, PointSummary, RunFindings, Stage

_NO_POINT = "no flip gave this point: the step is too small beside the noise, or no flip counts"
_TOO_FEW = "too few flips"
_BALANCED = "not evened out: the flips kept step with the radio, or their place in the frame is not known"
_P95_HIGH = "an upper limit of the 95 % point needs 72 flips"
_ALL = "the flips without an answer reach this far: later than the answer window"


def tables_part(run: RunFindings, *, key: str) -> tuple[Block, ...]:
    """Return the tables that this run has data for."""
    blocks: list[Block] = [Heading(text="Tables", key=f"{key}tables")]
    latency = run.latency
    if latency is not None:
        places = places_of(latency)
        blocks += [
            points_table(latency, places, key=key),
            certainty_table(latency, places, key=key),
            directions_table(latency, places, key=key),
        ]
        if run.stages:
            blocks.append(stages_table(run.stages, places, key=key))
    if run.uncertainty:
        blocks.append(budget_table(run.uncertainty, key=key))
    blocks.append(Facts(caption="The output during the run", rows=tuple(_output_rows(run))))
    return tuple(blocks) if len(blocks) > 1 else ()


def places_of(latency: Latency) -> int:
    """Return the decimals of every delay in the tables: those of the figure's give or take, from 1 to 4."""
    return min(max(uncertainty_places(latency.headline.expanded_uncertainty_ms), 1), 4)


def points_table(latency: Latency, places: int, *, key: str) -> Table:
    """Return one row for each point of the answer, with its whole distribution."""
    columns = (
        Column(title="Point of the answer", share=2.6),
        Column(title="Flips", unit="count", numeric=True),
        *(
            Column(title=title, unit="ms", numeric=True)
            for title in ("Smallest", "5 %", "Median", "Mean", "95 %", "Largest", "SD")
        ),
    )
    rows = []
    for point, name in POINTS.items():
        summary = latency.points.get(point, PointSummary(n=0))
        values = (
            summary.min_ms, summary.p05_ms, summary.median_ms, summary.mean_ms,
            summary.p95_ms, summary.max_ms, summary.sd_ms,
        )  # fmt: skip
        why = _NO_POINT if summary.n == 0 else _TOO_FEW
        cells = (number_cell(value, places, why) for value in values)
        rows.append((Cell(text=sentence_start(name)), Cell(text=grouped(summary.n)), *cells))
    note = "Delays from the flip to the end of the pulse; where it says so, to its beginning. SD: standard deviation."
    return with_reasons(f"{key}points", "The points of the answer", columns, rows, notes=(note,))


def certainty_table(latency: Latency, places: int, *, key: str) -> Table:
    """Return half-way's mean, median and 95 % point, plain and evened out, each with its 95 % interval."""
    summary = latency.points.get("mid", PointSummary(n=0))
    nothing: Interval = (None, None)
    lines = (
        ("Mean", summary.mean_ms, summary.mean_ci95_ms, _TOO_FEW),
        ("Median", summary.median_ms, summary.median_ci95_ms, _TOO_FEW),
        ("95 % point", summary.p95_ms, summary.p95_ci95_ms, _P95_HIGH if exists(summary.p95_ms) else _TOO_FEW),
        ("Mean, evened out over the frame", summary.balanced_mean_ms, summary.balanced_mean_ci95_ms, _BALANCED),
        ("Median, evened out", summary.balanced_median_ms, summary.balanced_median_ci95_ms, _BALANCED),
        ("95 % point, evened out", summary.balanced_p95_ms, summary.balanced_p95_ci95_ms, _BALANCED),
        ("Median, unanswered flips counted as late", summary.median_all_ms, nothing, _ALL),
        ("95 % point, unanswered flips counted as late", summary.p95_all_ms, nothing, _ALL),
    )
    columns = (
        Column(title="Half-way, end of the pulse", share=3.4),
        *(Column(title=title, unit="ms", numeric=True) for title in ("Value", "95 % from", "95 % to")),
    )
    rows = []
    for name, value, (low, high), why in lines:
        ends_why = "no interval is computed for this one" if name.endswith("late") else _ends_why(value, why)
        cells = (number_cell(value, places, why), *(number_cell(end, places, ends_why) for end in (low, high)))
        rows.append((Cell(text=name), *cells))
    return with_reasons(f"{key}certainty", "How sure half-way is", columns, rows)


def _ends_why(value: float | None, why: str) -> str:
    if why in (_TOO_FEW, _P95_HIGH) or not exists(value):
        return why
    return "the interval leaves the data: too few flips"


def directions_table(latency: Latency, places: int, *, key: str) -> Table:
    """Return up and down apart. A longer pulse ends later, so they are compared on the pulse's beginning."""
    columns = (
        Column(title="Direction", share=2.6),
        Column(title="Flips", unit="count", numeric=True),
        *(Column(title=title, unit="ms", numeric=True) for title in ("Median", "Mean", "SD")),
    )
    rows = []
    for name, points in (("Up", latency.up), ("Down", latency.down)):
        for point in ("mid_lead", "mid"):
            if point in points or point == "mid":
                summary = points.get(point, PointSummary(n=0))
                values = (summary.median_ms, summary.mean_ms, summary.sd_ms)
                end = "to the pulse's beginning" if point == "mid_lead" else "to the pulse's end"
                why = "no flip in this direction counts" if summary.n == 0 else _TOO_FEW
                cells = (number_cell(value, places, why) for value in values)
                rows.append((Cell(text=f"{name}, {end}"), Cell(text=grouped(summary.n)), *cells))
    note = "Up: the pulse grew longer. A longer pulse ends later by itself: compare the directions on its beginning."
    return with_reasons(f"{key}directions", "Up and down, half-way", columns, rows, notes=(note,))


def stages_table(stages: Iterable[Stage], places: int, *, key: str) -> Table:
    """Return the parts of the chain; their means add up to the whole."""
    columns = (
        Column(title="From", share=1.4),
        Column(title="To", share=1.4),
        Column(title="Flips", unit="count", numeric=True),
        *(Column(title=title, unit="ms", numeric=True) for title in ("Mean", "Median", "Predicted")),
    )
    rows = [
        (
            Cell(text=role_words(stage.start)),
            Cell(text=role_words(stage.end)),
            Cell(text=grouped(stage.n)),
            number_cell(stage.mean_ms, places, _TOO_FEW),
            number_cell(stage.median_ms, places, _TOO_FEW),
            number_cell(stage.predicted_ms, places, "no prediction exists for this stage"),
        )
        for stage in stages
    ]
    note = (
        "The prediction for a module fed by a pulse train: half a frame of waiting, the channel's place in the train, "
        "and the rest of the frame (common practice, no source)."
    )
    predicted = any(exists(stage.predicted_ms) for stage in stages)
    caption = "Where the time goes"
    return with_reasons(f"{key}stages", caption, columns, rows, notes=(note,) if predicted else ())


def budget_table(lines: Iterable[BudgetLine], *, key: str) -> Table:
    """Return the uncertainty budget, each line a standard uncertainty."""
    columns = (
        Column(title="Source", share=3.2),
        Column(title="Standard uncertainty", unit="ms", numeric=True, share=1.4),
        Column(title="Type", share=1.6),
        Column(title="Degrees of freedom", unit="count", numeric=True, share=1.3),
    )
    rows = [
        (
            Cell(text=sentence_start(budget_words(line.source))),
            _standard_cell(line.standard_ms),
            Cell(text="A, from the flips" if line.kind == "A" else "B, from elsewhere"),
            Cell(text=at_places(line.dof, 0)) if exists(line.dof) else Cell(text="unlimited"),
        )
        for line in lines
    ]
    return with_reasons(f"{key}budget", "What the uncertainty is made of", columns, rows)


def _standard_cell(value: float) -> Cell:
    if exists(value) and 0 < value < 0.00005:
        return Cell(text="below 0.0001")
    return number_cell(value, 4, "not known")


def _output_rows(run: RunFindings) -> Iterable[Row]:
    if run.frame is not None:
        yield from _frame_rows(run.frame)
    if run.train is not None:
        train = run.train
        followed = f"channel no. {train.channel} followed the control" if train.channel else "none followed the control"
        what = f"{counted(train.channels, 'channel')}, one frame every {digits(train.frame_ms, 4, 'ms')}, separator "
        yield Row(label="Pulse train at the module", value=f"{what}{digits(train.separator_us, 3, 'µs')}; {followed}")
    if run.latency is not None:
        yield Row(label="Glitches of the switch", value=counted(run.latency.switch_glitches, "glitch", "glitches"))
        yield from _phase_rows(run.latency)
    if run.clock is not None:
        yield Row(label="The probe's clock", value=_clock_words(run))


def _frame_rows(frame: Frame) -> Iterable[Row]:
    spread = f", standard deviation {digits(frame.period_sd_us, 2, 'µs')}" if exists(frame.period_sd_us) else ""
    known = exists(frame.period_ms)
    every = f"a servo pulse every {digits(frame.period_ms, 5, 'ms')}{spread}" if known else "no frame could be found"
    yield Row(label="Frame", value=every)
    if exists(frame.short_us) and exists(frame.long_us):
        pair = f"{at_places(frame.short_us, 1)} µs and {at_places(frame.long_us, 1)} µs"
        yield Row(label="Servo pulse, down and up", value=pair)
    missing = counted(frame.missing_pulses, "missing pulse")
    glitches = counted(frame.glitches, "glitch", "glitches")
    yield Row(label="Pulses", value=f"{counted(frame.pulses, 'servo pulse')}, {missing}, {glitches}")
    if frame.polarity in ("high", "low"):
        yield Row(label="The pulse is", value=f"the {frame.polarity} state")


def _phase_rows(latency: Latency) -> Iterable[Row]:
    phase = latency.phase
    tests = [
        f"{name} {_p_words(p)}" for name, p in (("Rayleigh", phase.rayleigh_p), ("Kuiper", phase.kuiper_p)) if exists(p)
    ]
    if exists(phase.largest_gap):
        tests.append(f"largest gap {percent(phase.largest_gap)} of the frame")
    yield Row(label="How evenly the flips fell over the frame", value="; ".join(tests) or DASH + " too few flips")


def _p_words(p: float) -> str:
    return "p below 0.001" if p < 0.001 else f"p = {p:.3f}"


def _clock_words(run: RunFindings) -> str:
    clock = run.clock
    if clock is None or not exists(clock.error_ppm):
        standard = digits(clock.standard_ppm, 2, "ppm") if clock is not None else DASH
        return f"not compared with the computer's; standard uncertainty {standard}"
    shown = (
        f"{at_places(clock.error_ppm, uncertainty_places(clock.standard_ppm, default=1))} ppm against the computer's"
    )
    done = "delays were corrected for it" if clock.applied else "too little to correct for"
    return f"{shown}, standard uncertainty {digits(clock.standard_ppm, 2, 'ppm')}; {done}"


_UNITS: Mapping[str, str] = {
    "ms": "ms", "us": "µs", "ns": "ns", "s": "s", "frames": "frames", "sigmas": "σ", "pct": "%", "ppm": "ppm",
}  # fmt: skip
_SETTING = re.compile(r"(?P<name>[a-z0-9_]+)_(?P<unit>[a-z]+)")


def setting_words(name: str, value: float) -> str:
    """Return one setting of the reduction with its unit: "hold off 20 ms"."""
    match = _SETTING.fullmatch(name)
    unit = _UNITS.get(match["unit"]) if match else None
    plain = f"{value:g}" if exists(value) else DASH
    if match is None or unit is None:
        return f"{name.replace('_', ' ')} = {plain}"
    return f"{match['name'].replace('_', ' ')} {plain} {unit}"
