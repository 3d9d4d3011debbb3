"""The chain cut into stages: from the control to the module, the output and the horn."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

import numpy as np
from numpy.typing import NDArray

from benchapp.records.findings import REST_OF_FRAME, WAITING_AND_PLACE, Stage, TrainFacts, Trial
from benchapp.records.run import LeadEvidence
from benchapp.reduction.flips.answers import FEWEST_LEVEL_PULSES, LEVEL_PULSES, MID_SIGMAS
from benchapp.reduction.ground.order_statistics import percentile
from benchapp.waveforms.trains import Train
from benchapp.waveforms.volts import settled_instant_ns, volts

_NOTHING: tuple[float | None, str] = (None, "")


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class StageEnds:
    """When each trial reached the end of each stage, [ms] after its flip; NaN where it is not known.

    names : roles in the order of the chain; times_ms : (stages, trials)
    """

    names: tuple[str, ...]
    times_ms: NDArray[np.float64]


def stage_ends(
    trials: Sequence[Trial],
    nexts_ns: Sequence[int],
    *,
    train: Train | None,
    channel: int | None,
    horn: LeadEvidence | None,
    output: str,
    scale: float,
    correction_ms: float = 0.0,
) -> StageEnds:
    """Return the instants at which the stages of each trial end.

    correction_ms : entered by hand; it belongs to the control, so that every end moves by it (`mid` holds it already)

    nexts_ns : the next flip or the run's end, one a trial. The output's stage ends at `mid`, trailing edge.
    """
    names, rows = [], []
    if train is not None and channel is not None:
        names.append("module")
        rows.append([end + correction_ms for end in _module_ms(trials, nexts_ns, train, channel, scale)])
    names.append(output)
    rows.append([t.mid_ms for t in trials])
    if horn is not None and horn.levels is not None:
        names.append("horn")
        rows.append([end + correction_ms for end in _horn_ms(trials, nexts_ns, horn, scale)])
    return StageEnds(names=tuple(names), times_ms=np.array(rows, np.float64).reshape(len(names), len(trials)))


def stages(
    control: str, ends: StageEnds, weights: NDArray[np.float64], *, train: TrainFacts | None, place_ms: float | None
) -> tuple[Stage, ...]:
    """Return each stage's mean and median over the trials that have every stage, so that the means add up.

    weights : the headline's, (trials,). place_ms : where in its frame the channel is complete. For a module fed by
    a pulse train the prediction stands beside the first two stages: half a frame of waiting and the channel's place
    in the train, then the rest of the frame (common practice, no source).
    """
    whole = np.all(np.isfinite(ends.times_ms), axis=0)
    if not whole.any():
        return ()
    share = weights[whole] / weights[whole].sum()
    steps = np.diff(ends.times_ms[:, whole], axis=0, prepend=0.0)
    starts = (control, *ends.names[:-1])
    predicted: dict[str, tuple[float, str]] = {}
    if train is not None and place_ms is not None:
        predicted = {
            "module": (train.frame_ms / 2 + place_ms, WAITING_AND_PLACE),
            "output": (train.frame_ms - place_ms, REST_OF_FRAME),
        }
    return tuple(
        Stage(
            start=start,
            end=end,
            n=int(whole.sum()),
            mean_ms=float(np.sum(share * step)),
            median_ms=percentile(step, 0.5),
            predicted_ms=told[0],
            covers=told[1],
        )
        for start, end, step in zip(starts, ends.names, steps, strict=True)
        for told in [predicted.get(end, _NOTHING) if "module" in (start, end) else _NOTHING]
    )


def following_channel(train: Train, trials: Sequence[Trial]) -> int | None:
    """Return which channel of the train (from 0) moves with the control, or None where none clearly does.

    Its values differ between the settled stretches before up and before down flips, by more than 8 times their noise.
    """
    last = np.searchsorted(train.begun_ns, [trial.at_ns for trial in trials]) - 1
    up = np.array([trial.direction == "up" for trial in trials], bool)
    known = last >= LEVEL_PULSES
    sides = [_settled(train, last[known & side]) for side in (up, ~up)]
    if not all(side.size for side in sides):
        return None
    one, other = (np.median(side, axis=0) for side in sides)
    noise = np.median([side.std(axis=0) for side in sides], axis=0)
    moved = np.abs(one - other)
    channel = int(np.argmax(moved))
    return channel if moved[channel] > max(MID_SIGMAS * float(noise[channel]), 1_000.0) else None


def channel_place_ms(train: Train, channel: int) -> float:
    """Return how long after the frame's first edge the channel's value is complete, mean over frames, [ms].

    The mean, as every stage is one: the place moves with the channels before it and with the channel itself.
    """
    return float(np.mean(train.completed_ns[:, channel] - train.begun_ns)) / 1e6


def _settled(train: Train, ends: NDArray[np.int64]) -> NDArray[np.float64]:
    """Return the median values of the ten frames before each of these frame numbers, (numbers, channels), [ns]."""
    frames = ends[:, None] - 1 - np.arange(LEVEL_PULSES)
    return np.asarray(np.median(train.values_ns[frames], axis=1), np.float64)


def _module_ms(
    trials: Sequence[Trial], nexts_ns: Sequence[int], train: Train, channel: int, scale: float
) -> list[float]:
    """Return when the channel's interval was first complete and past 50 % of its step, and the next one agreed."""
    values, ends = (
        np.ascontiguousarray(train.values_ns[:, channel]),
        np.ascontiguousarray(train.completed_ns[:, channel]),
    )
    starts = np.searchsorted(ends, [trial.at_ns for trial in trials], side="right").tolist()
    stops = np.searchsorted(ends, nexts_ns).tolist()
    found = []
    for trial, at, stop in zip(trials, starts, stops, strict=True):
        ways = values[max(0, at - LEVEL_PULSES) : stop].tolist()
        opening = min(at, LEVEL_PULSES)
        before, after = ways[:opening], ways[max(opening, len(ways) - LEVEL_PULSES) :]
        number = None
        if min(len(before), len(after)) >= FEWEST_LEVEL_PULSES:
            number = _first_past(ways[opening:], median(before), median(after))
        found.append(np.nan if number is None else (int(ends[at + number]) - trial.at_ns) * scale / 1e6)
    return found


def _first_past(values: list[int], before: float, after: float) -> int | None:
    """Return the number of the first value past half of a step whose next one agrees; None where there is none."""
    towards, half = (1 if after > before else -1), abs(after - before) / 2
    for number, (this, following) in enumerate(pairwise(values)):
        if (this - before) * towards >= half and (following - before) * towards >= half:
            return number
    return None


def _horn_ms(trials: Sequence[Trial], nexts_ns: Sequence[int], horn: LeadEvidence, scale: float) -> list[float]:
    """Return the horn's interpolated 50 % instant of each trial."""
    if horn.levels is None:
        return [np.nan] * len(trials)
    times, samples = horn.levels.times_ns, volts(horn.levels, horn.lead)
    found = []
    for trial, next_ns in zip(trials, nexts_ns, strict=True):
        instant = settled_instant_ns(times, samples, from_ns=trial.at_ns, to_ns=next_ns)
        found.append(np.nan if instant is None else (instant - trial.at_ns) * scale / 1e6)
    return found
