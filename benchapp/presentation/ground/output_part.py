"""What the output, the module's pulse train, the switch and the probe's clock did during the run."""

from collections.abc import Iterable

from benchapp.presentation.ground.numbers import (
    DASH,
    NBSP,
    at_places,
    counted,
    digits,
    exists,
    known,
    percent,
    uncertainty_places,
)
from benchapp.presentation.ground.page import Block, Facts, Heading, Row
from benchapp.records.findings import Frame, RunFindings
from benchapp.records.leads import ClockKind

USUAL_ENDS = f"Servo pulse, from 2{NBSP}% to 98{NBSP}% of them"
"""What the shortest and the longest servo pulse of a run are, where the run did not hold just two."""


def output_part(run: RunFindings, *, key: str, ends: str = USUAL_ENDS, more: Iterable[Row] = ()) -> tuple[Block, ...]:
    """Return what is known of the signals during the run; nothing where nothing is known.

    ends : what its shortest and longest servo pulse are     more : rows of the run's own test
    """
    rows = tuple(_output_rows(run, ends, more))
    if not rows:
        return ()
    caption = "The output during the run"
    return (Heading(text=caption, key=f"{key}output"), Facts(caption=caption, rows=rows))


def _output_rows(run: RunFindings, ends: str, more: Iterable[Row]) -> Iterable[Row]:
    if run.frame is not None:
        yield from frame_rows(run.frame, ends=ends)
    if run.train is not None:
        train = run.train
        followed = f"channel no. {train.channel} followed the control" if train.channel else "none followed the control"
        what = (
            f"{counted(train.channels, 'channel')}, one frame every {_by_clock(train.frame_ms, run, 'ms')}, separator "
        )
        separator = _by_clock(train.separator_us, run, "µs")
        yield Row(label="Pulse train at the module", value=f"{what}{separator}; {followed}")
    yield from more
    if run.clock is not None:
        yield Row(label="The probe's clock", value=_clock_words(run))


def _by_clock(value: float, run: RunFindings, unit: str) -> str:
    """Return a duration to the digits that the clock leaves it, four at most."""
    u = None if run.clock is None else 2e-6 * run.clock.standard_ppm * value
    least = abs(value) / 1e4
    return known(value, None if u is None else max(u, least), unit)


def frame_rows(frame: Frame, *, ends: str) -> Iterable[Row]:
    """Return what the servo pulses did, each length to the digits that its uncertainty leaves it."""
    spread = f", standard deviation {digits(frame.period_sd_us, 2, 'µs')}" if exists(frame.period_sd_us) else ""
    every = "no frame could be found"
    if exists(frame.period_ms):
        period = known(frame.period_ms, frame.period_u_ms, "ms", figures=5)
        every = f"a servo pulse every {period}{_u(frame.period_u_ms, 'ms')}{spread}"
    yield Row(label="Frame", value=every)
    if exists(frame.short_us) and exists(frame.long_us):
        lengths = [known(width, frame.width_u_us, "µs", figures=5) for width in (frame.short_us, frame.long_us)]
        pair = f"{' and '.join(lengths)}{_u(frame.width_u_us, 'µs')}"
        yield Row(label=ends, value=pair)
    missing = counted(frame.missing_pulses, "missing pulse")
    glitches = counted(frame.glitches, "glitch", "glitches")
    yield Row(label="Pulses", value=f"{counted(frame.pulses, 'servo pulse')}, {missing}, {glitches}")
    if frame.polarity in ("high", "low"):
        yield Row(label="The pulse is", value=f"the {frame.polarity} state")


def _u(expanded: float | None, unit: str) -> str:
    return f" (clock and stamps: ± {digits(expanded, 2, unit)})" if exists(expanded) and expanded > 0 else ""


def _clock_words(run: RunFindings) -> str:
    clock = run.clock
    if clock is None or not exists(clock.error_ppm):
        standard = digits(clock.standard_ppm, 2, "ppm") if clock is not None else DASH
        if clock is not None and clock.kind is ClockKind.RESONATOR:
            share = percent(2.0 * clock.standard_ppm * 1e-6)
            return (
                f"a ceramic resonator that was never compared with the computer's clock; standard uncertainty "
                f"{standard}: every length in µs may be off by {share}"
            )
        return f"not compared with the computer's; standard uncertainty {standard}"
    shown = (
        f"{at_places(clock.error_ppm, uncertainty_places(clock.standard_ppm, default=1))} ppm against the computer's"
    )
    done = "delays were corrected for it" if clock.applied else "too little to correct for"
    return f"{shown}, standard uncertainty {digits(clock.standard_ppm, 2, 'ppm')}; {done}"
