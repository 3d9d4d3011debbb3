"""The plots of a run of flips: all as dots, how often, how far, where in the frame, and one flip's pulse trains."""

from collections.abc import Iterable

from benchapp.presentation.flips.distribution import distribution
from benchapp.presentation.flips.dots import dots
from benchapp.presentation.flips.histogram import histogram
from benchapp.presentation.flips.phase_strip import phase_strip
from benchapp.presentation.flips.trains import trains, typical_trial
from benchapp.presentation.ground.page import Block, Figure, Heading, Paragraph, Tone
from benchapp.records.findings import Latency, PointSummary, RunFindings
from benchapp.records.run import RunEvidence


def flip_plots(
    run: RunFindings, latency: Latency, evidence: RunEvidence | None, *, key: str, practice: bool
) -> tuple[Block, ...]:
    """Return the plots that this run has data for; a plot that cannot be drawn is named with the reason."""
    heading = Heading(text="Every flip", key=f"{key}plots")
    if not latency.trials:
        return (heading, Paragraph(text="Nothing to draw: no flip counts.", tone=Tone.SOFT))
    frame_ms = run.frame.period_ms if run.frame is not None else None
    pulse = run.frame.polarity if run.frame is not None else None
    delays = [trial.mid_ms for trial in latency.trials]
    summary = latency.points.get("mid", PointSummary(n=0))
    drawn = (
        ("The dots over time", dots(latency, practice=practice)),
        ("The bars", histogram(delays, practice=practice)),
        ("The rising steps", distribution(delays, summary, practice=practice)),
        ("The strip of the frame", phase_strip(latency, frame_ms=frame_ms, practice=practice)),
        (
            "The pulse trains of one flip",
            trains(evidence, typical_trial(latency), frame_ms=frame_ms, pulse=pulse, practice=practice),
        ),
    )
    return (heading, *_figures(drawn, latency))


def _figures(drawn: Iterable[tuple[str, Figure | None]], latency: Latency) -> Iterable[Block]:
    few = len(latency.trials) < 2
    for name, figure in drawn:
        if figure is not None:
            yield figure
        else:
            why = "it needs at least two flips" if few else "what it shows was not recorded"
            yield Paragraph(text=f"{name} cannot be drawn: {why}.", tone=Tone.SOFT)
