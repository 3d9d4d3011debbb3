"""Servo pulses of an output, and the frame they keep."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from benchapp.records.run import Polarity
from benchapp.records.stream import COARSE, Edges, Gap
from benchapp.waveforms.polarity import LONGEST_PULSE_NS, SHORTEST_PULSE_NS, pulse_state
from benchapp.waveforms.transitions import Transitions, transitions


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Pulses:
    """Servo pulses, oldest first; glitches are counted apart and are never among them.

    leading_ns, trailing_ns, durations_ns : int64 [ns], (n,)
    broken      : bool, (n,), something may be missing between the previous pulse and this one
    coarse_ns   : int64 [ns], stamps of edges flagged coarse
    glitches_ns : int64 [ns], (m,), where each glitch began
    level       : the state that is the pulse, 0 or 1; guessed where the data cannot tell
    """

    leading_ns: NDArray[np.int64]
    trailing_ns: NDArray[np.int64]
    durations_ns: NDArray[np.int64]
    broken: NDArray[np.bool_]
    coarse_ns: NDArray[np.int64]
    glitches_ns: NDArray[np.int64]
    level: int
    guessed: bool

    @property
    def count(self) -> int:
        """The number of pulses."""
        return int(self.leading_ns.size)


@dataclass(frozen=True, kw_only=True, slots=True)
class FrameFacts:
    """The frame of a pulse train: median and SD of its period, and pulses that did not come.

    period_sd_ns leaves out intervals that miss pulses; it is None below two intervals.
    """

    period_ns: float
    period_sd_ns: float | None
    missing: int


def servo_pulses(edges: Edges, gaps: Sequence[Gap] = (), *, polarity: Polarity = Polarity.FIND) -> Pulses:
    """Return the servo pulses of an output lead.

    A pulse lasts 0.3 to 2.7 ms. Anything else is a glitch, and so is a dip that splits one pulse in two:
    the halves are joined again.
    """
    line = transitions(edges, gaps)
    state = pulse_state(line, polarity)
    leading, trailing, broken = _stays(line, state.level)
    leading, trailing, broken, dips = _joined(leading, trailing, broken)
    durations = trailing - leading
    fits = (durations >= SHORTEST_PULSE_NS) & (durations <= LONGEST_PULSE_NS)
    return Pulses(
        leading_ns=leading[fits],
        trailing_ns=trailing[fits],
        durations_ns=durations[fits],
        broken=_carried(broken, fits),
        coarse_ns=edges.times_ns[(edges.flags & COARSE) != 0],
        glitches_ns=np.sort(np.concatenate([line.spikes_ns, dips, leading[~fits]])),
        level=state.level,
        guessed=state.guessed,
    )


def _stays(line: Transitions, level: int) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.bool_]]:
    """Return start, end and break-before of each unbroken stay at a level."""
    ends = np.flatnonzero((line.levels[1:] != level) & (line.levels[:-1] == level) & ~line.broken[1:]) + 1
    breaks = np.cumsum(line.broken)[ends]
    return line.times_ns[ends - 1], line.times_ns[ends], np.diff(breaks, prepend=0) > 0


def _joined(
    leading: NDArray[np.int64], trailing: NDArray[np.int64], broken: NDArray[np.bool_]
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.bool_], NDArray[np.int64]]:
    """Join pulses that a dip has split, and return them with the start of each dip.

    A pause between pulses is a dip when it is shorter than the shortest pulse (0.3 ms) and than a quarter of the
    usual pause, and the whole is no longer than a pulse may be.
    Each half of a pulse that a spike split may look like a pulse of its own; joined, the spike costs a count and never
    a value.
    """
    nothing = np.empty(0, np.int64)
    if leading.size < 2:
        return leading, trailing, broken, nothing
    pause = leading[1:] - trailing[:-1]
    limit = min(SHORTEST_PULSE_NS, float(np.median(pause)) / 4)
    dip = (pause < limit) & ~broken[1:] & (trailing[1:] - leading[:-1] <= LONGEST_PULSE_NS)
    if not dip.any():
        return leading, trailing, broken, nothing
    starts = np.flatnonzero(np.concatenate([[True], ~dip]))
    ends = np.concatenate([starts[1:], [leading.size]]) - 1
    return leading[starts], trailing[ends], broken[starts], trailing[:-1][dip]


def _carried(broken: NDArray[np.bool_], keep: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return the breaks seen from the kept pulses: one before a left-out pulse lies before the next kept one."""
    return np.diff(np.cumsum(broken)[keep], prepend=0) > 0


def within(pulses: Pulses, from_ns: int, to_ns: int) -> Pulses:
    """Return the pulses that begin and end inside [from_ns, to_ns], with the glitches of that span."""
    inside = slice(
        int(np.searchsorted(pulses.leading_ns, from_ns, side="left")),
        int(np.searchsorted(pulses.trailing_ns, to_ns, side="right")),
    )
    glitches = pulses.glitches_ns
    return Pulses(
        leading_ns=pulses.leading_ns[inside],
        trailing_ns=pulses.trailing_ns[inside],
        durations_ns=pulses.durations_ns[inside],
        broken=pulses.broken[inside],
        coarse_ns=pulses.coarse_ns,
        glitches_ns=glitches[(glitches >= from_ns) & (glitches <= to_ns)],
        level=pulses.level,
        guessed=pulses.guessed,
    )


def parted(pulses: Pulses, spans_ns: Sequence[tuple[int, int]]) -> Pulses:
    """Return the pulses with a break in every interval that touches one of the spans: no frame reaches across those."""
    touched = np.zeros(max(pulses.count - 1, 0), np.bool_)
    for from_ns, to_ns in spans_ns:
        touched |= (pulses.leading_ns[:-1] <= to_ns) & (pulses.leading_ns[1:] >= from_ns)
    return replace(pulses, broken=pulses.broken | np.concatenate([np.zeros(min(pulses.count, 1), np.bool_), touched]))


def missing_between(intervals_ns: NDArray[np.int64], period_ns: float) -> int:
    """Return how many pulses are missing: the sum of round(interval / period) - 1, none counted below 0."""
    return int(np.maximum(np.rint(intervals_ns / period_ns) - 1, 0).sum())


def frame_facts(pulses: Pulses) -> FrameFacts | None:
    """Return the frame of a pulse train, or None below two pulses in a row."""
    intervals = np.diff(pulses.leading_ns)[~pulses.broken[1:]]
    if not intervals.size:
        return None
    period = float(np.median(intervals))
    whole = intervals[np.rint(intervals / period) == 1]
    return FrameFacts(
        period_ns=period,
        period_sd_ns=float(np.std(whole, ddof=1)) if whole.size > 1 else None,
        missing=missing_between(intervals, period),
    )
