"""The figure of a run that is still going on, by the reduction that will make the final one."""

from benchapp.procedures.stop_rules import Sofar
from benchapp.records.errors import NotEnoughData
from benchapp.records.findings import Latency
from benchapp.records.run import RunEvidence
from benchapp.reduction.recipes import reduce_run

SAME_FLIP_NS = 20_000_000
"""A flick of the stick is placed anew with every sample; two flips are never as near as this."""


class FigureSoFar:
    """Keeps what the reduction last concluded."""

    def __init__(self) -> None:
        self._latency: Latency | None = None

    @property
    def value_ms(self) -> float | None:
        """The figure, None while there is none."""
        return self._latency.headline.value_ms if self._latency else None

    def reduce(self, evidence: RunEvidence) -> None:
        """Conclude anew from everything there is; nothing is concluded where there is too little."""
        try:
            self._latency = reduce_run(evidence).latency
        except NotEnoughData:
            self._latency = None

    def sofar(self, flips: int) -> Sofar:
        """Return what the stop rules look at, for this many flips seen."""
        if self._latency is None:
            return Sofar(flips=flips, answered=0, half_width_ms=None, balanced=False)
        low, high = self._latency.headline.ci95_ms
        return Sofar(
            flips=flips,
            answered=len(self._latency.trials),
            half_width_ms=None if low is None or high is None else (high - low) / 2,
            balanced=self._latency.headline.estimator == "balanced-mean",
        )

    def answer(self, flip_ns: int | None) -> tuple[float | None, str]:
        """Return the latency of the flip at flip_ns [ms], or the code of why it has none."""
        if self._latency is None or flip_ns is None:
            return None, ""
        trials, excluded = reversed(self._latency.trials), reversed(self._latency.excluded)
        last_ms = next((trial.mid_ms for trial in trials if abs(trial.at_ns - flip_ns) < SAME_FLIP_NS), None)
        return last_ms, next((flip.code for flip in excluded if abs(flip.at_ns - flip_ns) < SAME_FLIP_NS), "")
