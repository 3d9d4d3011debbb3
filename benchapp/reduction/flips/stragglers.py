"""Stragglers: the few answers that come so late that a packet must have been lost or sent again."""

from collections.abc import Sequence
from dataclasses import dataclass

from benchapp.records.findings import Interval, Stragglers, Trial
from benchapp.reduction.ground.distributions import clopper_pearson
from benchapp.reduction.ground.order_statistics import percentile
from benchapp.reduction.ground.summary import mean

LATE_FRAMES = 2.5
"""An answer later than the median by more frames than this is a straggler.

A mean over all would hang on how many of them a run happened to meet: simulated, with 1 % of answers 200 ms late, its
interval holds the long-run mean in 48 % of runs of 60 flips; the mean of the usual ones with the stragglers' share
beside it in 95 to 99 %. The headline, the figure for any switch-on, the tests of the phase, the stages and the trend
rest on the usual answers; the tables of points keep all of them."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Split:
    """Answered flips, the usual ones apart from the stragglers; later_than_ms is None where no frame is known."""

    usual: tuple[Trial, ...]
    late: tuple[Trial, ...]
    later_than_ms: float | None


def split_stragglers(trials: Sequence[Trial], frame_ms: float | None) -> Split:
    """Return the trials with those later than the median and two and a half frames apart; without a frame, none is."""
    if frame_ms is None or not trials:
        return Split(usual=tuple(trials), late=(), later_than_ms=None)
    limit_ms = percentile([trial.mid_ms for trial in trials], 0.5) + LATE_FRAMES * frame_ms
    return Split(
        usual=tuple(trial for trial in trials if trial.mid_ms <= limit_ms),
        late=tuple(trial for trial in trials if trial.mid_ms > limit_ms),
        later_than_ms=limit_ms,
    )


def straggler_facts(split: Split) -> Stragglers:
    """Return how many flips straggled, how late they were, the interval of their share and the mean with them."""
    late = [trial.mid_ms for trial in split.late]
    everyone = [trial.mid_ms for trial in (*split.usual, *split.late)]
    return Stragglers(
        flips=len(late),
        answered=len(everyone),
        later_than_ms=split.later_than_ms,
        share_ci95=straggler_share(len(late), len(everyone)) if split.later_than_ms is not None else (None, None),
        earliest_ms=min(late, default=None),
        latest_ms=max(late, default=None),
        mean_all_ms=mean(everyone) if everyone else None,
    )


def straggler_share(late: int, answered: int) -> Interval:
    """Return the 95 % interval of the share of stragglers (Clopper and Pearson, Biometrika 26, 1934, 404).

    With none seen all of the doubt lies above: at most 1 - 0.05^(1/n), 4.9 % after 60 flips. (None, None) for no flip.
    """
    if not answered:
        return None, None
    return clopper_pearson(late, answered) if late else (0.0, 1.0 - 0.05 ** (1.0 / answered))
