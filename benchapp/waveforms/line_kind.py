"""What kind of signal a line carries."""

from collections.abc import Sequence
from enum import StrEnum

import numpy as np

from benchapp.records.stream import Edges, Gap
from benchapp.waveforms.polarity import LONGEST_PULSE_NS, SHORTEST_PULSE_NS
from benchapp.waveforms.sample import ENOUGH
from benchapp.waveforms.trains import pulse_train


class LineKind(StrEnum):
    """What a line looks like from its edges."""

    QUIET = "quiet"
    SERVO = "servo"
    TRAIN = "train"
    SERIAL = "serial"
    OTHER = "other"


def line_kind(edges: Edges, gaps: Sequence[Gap] = ()) -> LineKind:
    """Return what kind of signal the edges look like.

    Serial: most states are shorter than a servo pulse (a bit at 100 kbaud lasts 10 µs; common practice).
    Train: several channels and a start gap on one wire. Servo: one state mostly lasts 0.3 to 2.7 ms.
    """
    if edges.count < 4:
        return LineKind.QUIET
    edges = _middle(edges)
    states = np.diff(edges.times_ns)
    if edges.count >= 40 and float(np.mean(states < SHORTEST_PULSE_NS // 2)) > 0.5:
        return LineKind.SERIAL
    train = pulse_train(edges, gaps)
    if train is not None and train.channels >= 3:
        return LineKind.TRAIN
    for level in (0, 1):
        stays = states[edges.levels[:-1] == level]
        if stays.size and float(np.mean((stays >= SHORTEST_PULSE_NS) & (stays <= LONGEST_PULSE_NS))) > 0.5:
            return LineKind.SERVO
    return LineKind.OTHER


def _middle(edges: Edges) -> Edges:
    """Return at most ENOUGH edges from the middle of a line."""
    first = max(0, (edges.count - ENOUGH) // 2)
    part = slice(first, first + ENOUGH)
    return Edges(lead=edges.lead, times_ns=edges.times_ns[part], levels=edges.levels[part], flags=edges.flags[part])
