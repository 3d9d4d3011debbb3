"""The figures of a stick test that is still going on, by the reduction that will make the final ones."""

from collections.abc import Iterable
from dataclasses import replace

from benchapp.procedures.evidence_so_far import EvidenceSoFar
from benchapp.procedures.plan import RunPlan
from benchapp.procedures.progress import StickProgress
from benchapp.records.errors import NotEnoughData
from benchapp.records.findings import RunFindings
from benchapp.records.run import Outcome, Pause, Stop
from benchapp.records.stream import Record


class StickFigure:
    """Keeps the evidence and what the reduction last concluded from it."""

    def __init__(self, plan: RunPlan) -> None:
        self._evidence = EvidenceSoFar(plan, [role for role in ("stick", "output") if role in plan.leads])
        self._found: RunFindings | None = None
        self._last_us: float | None = None

    def add(self, record: Record) -> None:
        """Keep a record."""
        self._evidence.add(record)

    def reduce(self, stop_ns: int, *, pauses: Iterable[Pause], stops: Iterable[Stop] = ()) -> None:
        """Conclude anew from everything up to stop_ns; nothing is concluded where there is too little."""
        # Loaded when there is first something to conclude: the window's words about stick tests need this file, and
        # the reduction would hold its first paint up by a twentieth of a second.
        from benchapp.reduction.output_pulses import output_pulses  # noqa: PLC0415
        from benchapp.reduction.recipes import reduce_run  # noqa: PLC0415
        from benchapp.reduction.stops import stop_readings  # noqa: PLC0415

        stops = tuple(stops)
        evidence = self._evidence.as_run(
            stop_ns, pauses=pauses, drops_ns=(), outcome=Outcome.CUT_SHORT, stopped_itself=False, stops=stops
        )
        try:
            self._found = reduce_run(evidence)
            output = output_pulses(evidence)
        except NotEnoughData:
            self._found = self._last_us = None
            return
        last = stop_readings(stops[-1:], output.pulses.leading_ns, output.us)
        self._last_us = float(last.us[-1]) if last.us.size else None

    def shown(self, progress: StickProgress) -> StickProgress:
        """Return a progress with the figures so far; straightness is told from one full cycle on."""
        line = self._found.linearity if self._found else None
        steady = self._found.steadiness if self._found else None
        if steady is not None:
            return replace(progress, sd_us=steady.sd_us, peak_us=steady.peak_to_peak_us)
        if line is None:
            return progress
        straight = line.lines.get("independent") if line.cycles else None
        return replace(
            progress,
            last_us=self._last_us,
            low_us=line.low_us,
            high_us=line.high_us,
            linearity_pct=None if straight is None else straight.deviation_pct,
            linearity_u_pct=None if straight is None else line.expanded_uncertainty_pct,
        )
