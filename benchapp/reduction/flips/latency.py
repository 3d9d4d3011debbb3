"""The latency of a switch-flip run: its distribution, its phases and the figure."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from benchapp.records.codes import Exclusion
from benchapp.records.findings import POINTS, Interval, Phase, PointSummary, Trial
from benchapp.reduction.flips.balanced import balance
from benchapp.reduction.flips.circular import kuiper_p, largest_gap, locked_by_gap, phase_locked, rayleigh_p, uneven
from benchapp.reduction.flips.headline import HeadlineEstimate, headline
from benchapp.reduction.flips.switch_ons import keeps_step
from benchapp.reduction.flips.trials import Measured
from benchapp.reduction.ground.distributions import clopper_pearson
from benchapp.reduction.ground.order_statistics import percentile, quantile_interval
from benchapp.reduction.ground.summary import mean, mean_interval, standard_deviation

POINT_NAMES = tuple(POINTS) + tuple(f"{point}_lead" for point in POINTS)
_GOLDEN_STEP = (5**0.5 - 1) / 2


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class PhaseFacts:
    """How a run's flips fell over the frame, and what that allows."""

    phase: Phase
    locked: bool
    locked_by_gap: bool
    uneven: bool
    stepped: bool
    keeps_step: bool | None


def phase_facts(trials: Sequence[Trial], *, flips: int) -> PhaseFacts:
    """Return how evenly the answered flips fell over the frame, and whether the set keeps step with it.

    Flips that left too much of the circle bare cannot show whether the set does: keeps_step is then None.
    """
    phases = [t.phase for t in trials if t.phase is not None]
    if not phases:
        nothing = Phase(rayleigh_p=None, kuiper_p=None, largest_gap=None)
        return PhaseFacts(
            phase=nothing, locked=False, locked_by_gap=False, uneven=False, stepped=False, keeps_step=None
        )
    gap = largest_gap(phases)
    rayleigh, kuiper = rayleigh_p(phases), kuiper_p(phases)
    locked = phase_locked(rayleigh, kuiper, gap, len(phases))
    by_gap = locked_by_gap(gap, len(phases))
    return PhaseFacts(
        phase=Phase(rayleigh_p=rayleigh, kuiper_p=kuiper, largest_gap=gap),
        locked=locked,
        locked_by_gap=by_gap,
        uneven=uneven(phases) and not locked,
        stepped=_stepped_by_golden_ratio(trials),
        keeps_step=None if by_gap else keeps_step(trials, flips=flips),
    )


def summaries(
    trials: Sequence[Trial], *, no_answers: int, frame_ms: float | None, misses_pulses: bool
) -> dict[str, PointSummary]:
    """Return the distribution of each point over the trials that have it.

    no_answers : flips that count as later than the window in median_all_ms and p95_all_ms
    frame_ms : the frame period; None leaves the phase-balanced figures out
    """
    return {
        name: _summary(
            trials,
            name,
            no_answers=no_answers,
            frame_ms=frame_ms,
            misses_pulses=misses_pulses,
        )
        for name in POINT_NAMES
    }


def estimate_headline(
    trials: Sequence[Trial],
    *,
    frame_ms: float | None,
    misses_pulses: bool,
    by_gap: bool,
    stopped_itself: bool,
    in_step: bool = False,
    estimator: str | None = None,
) -> HeadlineEstimate:
    """Return the figure: the mean of `mid`, trailing edge, by the estimator named or the one that knows it best."""
    return headline(
        [t.mid_ms for t in trials],
        [np.nan if t.phase is None else t.phase for t in trials],
        [t.block for t in trials],
        frame_ms=frame_ms,
        misses_pulses=misses_pulses,
        locked_by_gap=by_gap,
        keeps_step=in_step,
        stopped_itself=stopped_itself,
        estimator=estimator,
    )


def no_answer_share(measured: Measured) -> tuple[int, Interval]:
    """Return how many flips got no answer, and the Clopper-Pearson interval of their share.

    The share is taken of the flips that could have been answered: those answered and those with no answer.
    """
    missed = sum(e.code == Exclusion.NO_ANSWER for e in measured.excluded)
    asked = missed + len(measured.trials)
    return missed, clopper_pearson(missed, asked) if asked else (None, None)


def by_direction(measured: Measured, direction: str) -> tuple[list[Trial], int]:
    """Return the trials of one direction and how many flips of that direction got no answer."""
    trials = [t for t in measured.trials if t.direction == direction]
    return trials, sum(e.code == Exclusion.NO_ANSWER and e.direction == direction for e in measured.excluded)


def _summary(
    trials: Sequence[Trial], name: str, *, no_answers: int, frame_ms: float | None, misses_pulses: bool
) -> PointSummary:
    chosen = [(value, t.phase) for t in trials if (value := getattr(t, f"{name}_ms")) is not None]
    if not chosen:
        return PointSummary(n=0)
    values = np.array([value for value, _ in chosen])
    everyone = np.concatenate([values, np.full(no_answers, np.inf)])
    phases = [phase for _, phase in chosen if phase is not None]
    summary = PointSummary(
        n=values.size,
        min_ms=float(values.min()),
        p05_ms=percentile(values, 0.05),
        median_ms=percentile(values, 0.5),
        mean_ms=mean(values),
        p95_ms=percentile(values, 0.95),
        max_ms=float(values.max()),
        sd_ms=standard_deviation(values),
        mean_ci95_ms=mean_interval(values),
        median_ci95_ms=quantile_interval(values, 0.5),
        p95_ci95_ms=quantile_interval(values, 0.95),
        median_all_ms=_finite(percentile(everyone, 0.5)),
        p95_all_ms=_finite(percentile(everyone, 0.95)),
    )
    return _with_balanced(summary, values, phases, frame_ms=frame_ms, misses_pulses=misses_pulses)


def _with_balanced(
    summary: PointSummary,
    values: NDArray[np.float64],
    phases: list[float],
    *,
    frame_ms: float | None,
    misses_pulses: bool,
) -> PointSummary:
    if frame_ms is None or len(phases) != values.size:
        return summary
    figures = balance(phases, values, frame_ms=frame_ms, misses_pulses=misses_pulses)
    return replace(
        summary,
        balanced_mean_ms=figures.mean,
        balanced_mean_ci95_ms=figures.mean_ci95,
        balanced_median_ms=figures.median,
        balanced_median_ci95_ms=figures.median_ci95,
        balanced_p95_ms=figures.p95,
        balanced_p95_ci95_ms=figures.p95_ci95,
        n_eff=figures.n_eff,
    )


def _finite(value: float) -> float | None:
    return value if np.isfinite(value) else None


def _stepped_by_golden_ratio(trials: Sequence[Trial]) -> bool:
    """Return whether the phases of flips in a row step by the golden ratio, within a fiftieth, nine times in ten."""
    steps = [
        (after.phase - before.phase) % 1.0
        for before, after in pairwise(trials)
        if before.phase is not None and after.phase is not None and after.flip == before.flip + 1
    ]
    if len(steps) < 10:
        return False
    off = np.array([min(abs(s - _GOLDEN_STEP), abs(s - (1 - _GOLDEN_STEP))) for s in steps])
    return float(np.mean(off < 0.02)) >= 0.9
