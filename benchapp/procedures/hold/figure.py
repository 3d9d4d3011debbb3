"""The figures of a hold that is still going on, by the reduction that will make the final ones.

Made each second held, so that the last live figure is the one in the findings.
"""

from dataclasses import dataclass, replace

from benchapp.procedures.ground.progress import StickProgress
from benchapp.records.errors import NotEnoughData
from benchapp.records.run import RunEvidence
from benchapp.records.sweep_findings import Steadiness


@dataclass(frozen=True, kw_only=True, slots=True)
class HoldFigure:
    """The findings of a hold so far, None before there are any."""

    steady: Steadiness | None = None

    def shown(self, progress: StickProgress) -> StickProgress:
        """Return a progress with how unsteady the pulses were so far."""
        if self.steady is None:
            return progress
        return replace(
            progress,
            sd_us=self.steady.sd_us,
            peak_us=self.steady.peak_to_peak_us,
            pulses=self.steady.pulses,
            told_from_probe=self.steady.told_from_probe,
        )


def hold_figure_of(evidence: RunEvidence) -> HoldFigure:
    """Return what there is to conclude from a hold as it stands; nothing where there is too little."""
    # Loaded when there is first something to conclude: the window's words about stick tests need this file, and
    # the reduction would hold its first paint up by a twentieth of a second.
    from benchapp.reduction.recipes import reduce_run  # noqa: PLC0415

    try:
        found = reduce_run(evidence).result
    except NotEnoughData:
        return HoldFigure()
    return HoldFigure(steady=found if isinstance(found, Steadiness) else None)
