"""The figures of a stick test that is still going on, by the reduction that will make the final ones.

Made after each there-and-back, each stop and each second held, so that the last live figure is the one in the
findings.
"""

from dataclasses import replace
from functools import singledispatch

from benchapp.procedures.ground.progress import StickProgress
from benchapp.records.errors import NotEnoughData
from benchapp.records.findings import RunFindings
from benchapp.records.results import Result
from benchapp.records.run import RunEvidence
from benchapp.records.sweep_findings import Linearity, Steadiness


class StickFigure:
    """The figures of a stick test so far, as the reduction last made them; none before it made any."""

    def __init__(self, found: RunFindings | None = None, last_us: float | None = None) -> None:
        self._found = found
        self._last_us = last_us

    def shown(self, progress: StickProgress) -> StickProgress:
        """Return a progress with the figures so far; straightness is told from one full cycle on."""
        return progress if self._found is None else _with_figures(self._found.result, progress, self._last_us)


@singledispatch
def _with_figures(result: Result, progress: StickProgress, last_us: float | None) -> StickProgress:
    """Return a progress with what a test's result says while it goes on: nothing, where the test shows nothing yet."""
    return progress


@_with_figures.register
def _(steady: Steadiness, progress: StickProgress, last_us: float | None) -> StickProgress:
    return replace(
        progress,
        sd_us=steady.sd_us,
        peak_us=steady.peak_to_peak_us,
        pulses=steady.pulses,
        told_from_probe=steady.told_from_probe,
    )


@_with_figures.register
def _(line: Linearity, progress: StickProgress, last_us: float | None) -> StickProgress:
    straight = line.lines.get("independent") if line.cycles else None
    return replace(
        progress,
        last_us=last_us,
        low_us=line.low_us,
        high_us=line.high_us,
        linearity_pct=None if straight is None else straight.deviation_pct,
        linearity_u_pct=None if straight is None else straight.expanded_u_pct,
    )


def stick_figure_of(evidence: RunEvidence) -> StickFigure:
    """Return what there is to conclude from a run as it stands; nothing where there is too little."""
    # Loaded when there is first something to conclude: the window's words about stick tests need this file, and
    # the reduction would hold its first paint up by a twentieth of a second.
    from benchapp.reduction.ground.output_pulses import output_pulses  # noqa: PLC0415
    from benchapp.reduction.recipes import reduce_run  # noqa: PLC0415
    from benchapp.reduction.sweep.stops import stop_readings  # noqa: PLC0415

    try:
        found = reduce_run(evidence)
        output = output_pulses(evidence)
    except NotEnoughData:
        return StickFigure()
    last = stop_readings(evidence.stops[-1:], output.pulses.leading_ns, output.us)
    return StickFigure(found, float(last.us[-1]) if last.us.size else None)
