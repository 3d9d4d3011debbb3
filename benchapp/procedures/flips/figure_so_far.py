"""The figure of a run that is still going on, by the reduction that will make the final one."""

import math

from benchapp.procedures.flips.stop_rules import FlipsSoFar
from benchapp.records.errors import NotEnoughData
from benchapp.records.findings import BudgetLine, Latency
from benchapp.records.run import RunEvidence
from benchapp.reduction.flips.budget import SAMPLING, SWITCH_ON_LINE
from benchapp.reduction.flips.headline import BALANCED_MEAN, MEAN_OF_SWITCH_ONS
from benchapp.reduction.recipes import reduce_run

SAME_FLIP_NS = 20_000_000
"""A flick of the stick is placed anew with every sample; two flips are never as near as this."""


class FigureSoFar:
    """Keeps the newest figure of a run that still goes on, as the reduction made it."""

    def __init__(self) -> None:
        self._latency: Latency | None = None
        self._budget: tuple[BudgetLine, ...] = ()

    @property
    def latency(self) -> Latency | None:
        """The newest latency findings, None while there are none."""
        return self._latency

    def reduce(self, evidence: RunEvidence) -> None:
        """Conclude anew from everything there is; nothing is concluded where there is too little."""
        try:
            findings = reduce_run(evidence)
        except NotEnoughData:
            self._latency, self._budget = None, ()
        else:
            self._latency, self._budget = findings.own(Latency), findings.uncertainty

    def so_far(self, flips: int) -> FlipsSoFar:
        """Return what the stop rules look at, for this many flips seen."""
        if self._latency is None:
            return FlipsSoFar(flips=flips, answered=0, half_width_ms=None, balanced=False)
        headline = self._latency.headline
        by_switch_ons = headline.estimator == MEAN_OF_SWITCH_ONS
        narrowed = (SAMPLING, SWITCH_ON_LINE) if by_switch_ons else (SAMPLING,)
        others = math.hypot(*(line.standard_ms for line in self._budget if line.source not in narrowed))
        return FlipsSoFar(
            flips=flips,
            answered=len(self._latency.trials),
            half_width_ms=headline.expanded_uncertainty_ms,
            balanced=headline.estimator == BALANCED_MEAN,
            rest_ms=(headline.k or 0.0) * others,
            switch_ons=self._latency.switch_ons if by_switch_ons else 0,
        )

    def answer(self, flip_ns: int | None) -> tuple[float | None, str]:
        """Return the latency of the flip at flip_ns [ms], or the code of why it has none."""
        if self._latency is None or flip_ns is None:
            return None, ""
        trials, excluded = reversed(self._latency.trials), reversed(self._latency.excluded)
        last_ms = next((trial.mid_ms for trial in trials if abs(trial.at_ns - flip_ns) < SAME_FLIP_NS), None)
        return last_ms, next((flip.code for flip in excluded if abs(flip.at_ns - flip_ns) < SAME_FLIP_NS), "")


def figure_of(evidence: RunEvidence) -> FigureSoFar:
    """Return what there is to conclude from a run as it stands."""
    figure = FigureSoFar()
    figure.reduce(evidence)
    return figure
