"""What the output, the module's pulse train, the switch and the probe's clock did during the run."""

from collections.abc import Iterable

from benchapp.presentation.numbers import DASH, NBSP, at_places, counted, digits, exists, percent, uncertainty_places
from benchapp.presentation.page import Block, Facts, Heading, Row
from benchapp.records.findings import Frame, Latency, RunFindings


def output_part(run: RunFindings, *, key: str) -> tuple[Block, ...]:
    """Return what is known of the signals during the run; nothing where nothing is known."""
    rows = tuple(_output_rows(run))
    if not rows:
        return ()
    caption = "The output during the run"
    return (Heading(text=caption, key=f"{key}output", level=3), Facts(caption=caption, rows=rows))


def _output_rows(run: RunFindings) -> Iterable[Row]:
    if run.frame is not None:
        yield from _frame_rows(run.frame, flips=run.latency is not None)
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


def _frame_rows(frame: Frame, *, flips: bool) -> Iterable[Row]:
    spread = f", standard deviation {digits(frame.period_sd_us, 2, 'µs')}" if exists(frame.period_sd_us) else ""
    known = exists(frame.period_ms)
    every = f"a servo pulse every {digits(frame.period_ms, 5, 'ms')}{spread}" if known else "no frame could be found"
    yield Row(label="Frame", value=every)
    if exists(frame.short_us) and exists(frame.long_us):
        pair = f"{at_places(frame.short_us, 1)} µs and {at_places(frame.long_us, 1)} µs"
        label = "Servo pulse, down and up" if flips else f"Servo pulse, from 2{NBSP}% to 98{NBSP}% of them"
        yield Row(label=label, value=pair)
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
