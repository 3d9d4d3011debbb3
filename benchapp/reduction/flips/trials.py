"""Each flip of a run, answered or left out with its one code."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.records.codes import Exclusion
from benchapp.records.findings import Excluded, Trial
from benchapp.records.method import answer_window_ns
from benchapp.records.run import Pause
from benchapp.records.stream import Gap
from benchapp.reduction.flips.answers import Answer, measure_answer, places
from benchapp.reduction.flips.state_levels import StateLevels, state_levels
from benchapp.waveforms.flips import HOLD_OFF_NS, Flips
from benchapp.waveforms.pulses import Pulses, missing_between

SAME_FLIP_NS = HOLD_OFF_NS // 2
"""A drop names its flip by its time. Flips lie a hold-off apart, so half of it tells them apart; a flick of the stick
is timed anew, a little otherwise, once the whole run is known."""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class RunLines:
    """What the trials of a run are measured on.

    pulses of the output, flips of the control, frame period; correction_ns is added to every latency (mean lateness
    of the control's stamps less that of the output's), scale multiplies every duration (clock correction, 1 for none);
    gaps are those of either lead.
    """

    pulses: Pulses
    flips: Flips
    period_ns: float
    resolution_ns: float
    start_ns: int
    stop_ns: int
    gaps: Sequence[Gap] = ()
    pauses: Sequence[Pause] = ()
    drops_ns: Sequence[int] = ()
    block_starts_ns: Sequence[int] = ()
    correction_ns: float = 0.0
    scale: float = 1.0

    @property
    def window_ns(self) -> float:
        """The answer window: the longer of 0.5 s and 20 frames, [ns]."""
        return answer_window_ns(self.period_ns)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Measured:
    """All flips of a run: those answered, those left out, and the answered ones dropped by hand.

    two_steps: the control moves the output to more than two levels, as a three-position switch does.
    """

    trials: tuple[Trial, ...]
    excluded: tuple[Excluded, ...]
    dropped: tuple[Trial, ...]
    two_steps: bool

    @property
    def flips(self) -> int:
        """The number of flips, answered or not."""
        return len(self.trials) + len(self.excluded)


def measure_flips(lines: RunLines) -> Measured:
    """Return every flip of the run inside its bounds, numbered from 1 in time order.

    A flip that is left out has exactly one code, the first that applies of: dropped, paused, probe-gap,
    no-level-before, next-flip-too-soon, run-ended, step-too-small, already-there, no-answer.
    probe-gap: a gap of either lead touches a pulse that the flip's levels or its answer rest on, or records were lost
    there.
    """
    inside = (lines.flips.times_ns >= lines.start_ns) & (lines.flips.times_ns <= lines.stop_ns)
    times = [int(t) for t in lines.flips.times_ns[inside]]
    states = [int(s) for s in lines.flips.states[inside]]
    nexts: list[int | None] = [*times[1:], None]
    answers = [
        measure_answer(
            lines.pulses,
            place,
            flip_ns=time,
            next_ns=lines.stop_ns if after is None else after,
            resolution_ns=lines.resolution_ns,
        )
        for place, time, after in zip(
            places(lines.pulses, times, stop_ns=lines.stop_ns, window_ns=lines.window_ns), times, nexts, strict=False
        )
    ]
    levels = state_levels(answers, states)
    trials, excluded, dropped = [], [], []
    for number, (time, after, answer) in enumerate(zip(times, nexts, answers, strict=False), 1):
        code = _code(lines, answer, levels, states[number - 1], time=time, after=after)
        trial = _trial(lines, answer, number, time)
        if any(abs(time - drop_ns) < SAME_FLIP_NS for drop_ns in lines.drops_ns):
            dropped += [trial] if code is None and trial is not None else []
            code = Exclusion.DROPPED
        if code is None and trial is not None:
            trials.append(trial)
        else:
            direction = levels.direction(states[number - 1])
            excluded.append(
                _excluded(answer, number, time, code=code or Exclusion.NO_ANSWER, trial=trial, direction=direction)
            )
    return Measured(trials=tuple(trials), excluded=tuple(excluded), dropped=tuple(dropped), two_steps=levels.two_steps)


def _code(
    lines: RunLines, answer: Answer, levels: StateLevels, state: int, *, time: int, after: int | None
) -> str | None:
    """Return why a flip is left out, or None."""
    limit = min(time + lines.window_ns, lines.stop_ns if after is None else after)
    ended = limit if answer.mid is None else int(lines.pulses.trailing_ns[answer.mid])
    if any(pause.from_ns <= ended and pause.to_ns >= time for pause in lines.pauses):
        return Exclusion.PAUSED
    if not answer.unbroken or any(g.from_ns <= answer.to_ns and g.to_ns >= answer.from_ns for g in lines.gaps):
        return Exclusion.PROBE_GAP
    if answer.before_ns is None:
        return Exclusion.NO_LEVEL_BEFORE
    if answer.after_ns is None:
        return Exclusion.RUN_ENDED if after is None else Exclusion.NEXT_FLIP_TOO_SOON
    if answer.mid is not None:
        return None
    return levels.why_unanswered(answer, state)


def _trial(lines: RunLines, answer: Answer, number: int, time: int) -> Trial | None:
    """Return the trial of an answer, or None where `mid` does not exist."""
    if answer.mid is None or answer.before_ns is None or answer.after_ns is None:
        return None
    pulses, period = lines.pulses, lines.period_ns

    def since_flip(ends_ns: NDArray[np.int64], pulse: int | None) -> float | None:
        if pulse is None:
            return None
        return (int(ends_ns[pulse]) - time + lines.correction_ns) * lines.scale / 1e6

    mid_ms, mid_lead_ms = since_flip(pulses.trailing_ns, answer.mid), since_flip(pulses.leading_ns, answer.mid)
    if mid_ms is None or mid_lead_ms is None:
        return None
    opening = answer.opening
    since_frame = None if opening is None else time - int(pulses.leading_ns[opening])
    path = pulses.leading_ns[(0 if opening is None else opening) : answer.mid + 1]
    rise = None
    if answer.first is not None and answer.near_final is not None:
        rise = float(pulses.leading_ns[answer.near_final] - pulses.leading_ns[answer.first]) / period
    return Trial(
        flip=number,
        at_ns=time,
        direction="up" if answer.step_ns > 0 else "down",
        first_ms=since_flip(pulses.trailing_ns, answer.first),
        mid_ms=mid_ms,
        near_final_ms=since_flip(pulses.trailing_ns, answer.near_final),
        first_lead_ms=since_flip(pulses.leading_ns, answer.first),
        mid_lead_ms=mid_lead_ms,
        near_final_lead_ms=since_flip(pulses.leading_ns, answer.near_final),
        phase=None if since_frame is None else since_frame / period % 1.0,
        missing_pulses=missing_between(np.diff(path), period),
        frames_to_answer=round(float(path[-1] - path[0]) / period),
        near_half_way=answer.near_half_way,
        rise_frames=rise,
        before_us=answer.before_ns * lines.scale / 1e3,
        after_us=answer.after_ns * lines.scale / 1e3,
        block=sum(start <= time for start in lines.block_starts_ns),
    )


def _excluded(
    answer: Answer, number: int, time: int, *, code: str, trial: Trial | None, direction: str | None
) -> Excluded:
    has_step = answer.before_ns is not None and answer.after_ns is not None
    return Excluded(
        flip=number,
        at_ns=time,
        code=code,
        direction=trial.direction if trial else direction,
        mid_ms=trial.mid_ms if trial else None,
        step_us=answer.step_ns / 1e3 if has_step else None,
        sigma_us=answer.sigma_ns / 1e3 if has_step else None,
    )
