"""The figures of a sweep that is still going on, by the reduction that will make the final ones.

Made after each there-and-back and each stop, so that the last live figure is the one in the findings.
"""

from dataclasses import dataclass, replace

from benchapp.procedures.ground.progress import StickProgress
from benchapp.records.errors import NotEnoughData
from benchapp.records.run import RunEvidence
from benchapp.records.sweep_findings import Linearity


@dataclass(frozen=True, kw_only=True, slots=True)
class SweepFigure:
    """The findings of a sweep so far, and the pulse at the last stop [µs]; None before there are any."""

    line: Linearity | None = None
    last_us: float | None = None

    def shown(self, progress: StickProgress) -> StickProgress:
        """Return a progress with the figures so far; straightness is told from one full cycle on."""
        line = self.line
        if line is None:
            return progress
        straight = line.lines.get("independent") if line.cycles else None
        return replace(
            progress,
            last_us=self.last_us,
            low_us=line.low_us,
            high_us=line.high_us,
            linearity_pct=None if straight is None else straight.deviation_pct,
            linearity_u_pct=None if straight is None else straight.expanded_u_pct,
            found=line,
        )


def sweep_figure_of(evidence: RunEvidence) -> SweepFigure:
    """Return what there is to conclude from a sweep as it stands; nothing where there is too little."""
    # Loaded when there is first something to conclude: the window's words about stick tests need this file, and
    # the reduction would hold its first paint up by a twentieth of a second.
    from benchapp.reduction.ground.output_pulses import output_pulses  # noqa: PLC0415
    from benchapp.reduction.recipes import reduce_run  # noqa: PLC0415
    from benchapp.reduction.sweep.stops import stop_readings  # noqa: PLC0415

    try:
        found = reduce_run(evidence).result
        output = output_pulses(evidence)
    except NotEnoughData:
        return SweepFigure()
    last = stop_readings(evidence.stops[-1:], output.pulses.leading_ns, output.us)
    line = found if isinstance(found, Linearity) else None
    return SweepFigure(line=line, last_us=float(last.us[-1]) if last.us.size else None)
