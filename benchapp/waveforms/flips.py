"""Flips of the control, from contact edges or from the stick's volts."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.records.stream import Edges

HOLD_OFF_NS = 20_000_000
"""Contacts were published to bounce 1.6 ms on average, 6.2 ms at the longest (Ganssle, as quoted publicly)."""
_STROBE_TRANSITIONS = 50


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Flips:
    """Flips of a control, oldest first.

    times_ns : int64 [ns], (n,), t0: the first transition of each burst
    states   : uint8, (n,), the control's state after each flip
    glitches_ns : int64 [ns], bursts that ended in the state they began in
    strobed  : the contact is scanned, so that its bursts never end
    """

    times_ns: NDArray[np.int64]
    states: NDArray[np.uint8]
    glitches_ns: NDArray[np.int64]
    strobed: bool = False

    @property
    def count(self) -> int:
        """The number of flips."""
        return int(self.times_ns.size)


def contact_flips(edges: Edges, *, hold_off_ns: int = HOLD_OFF_NS) -> Flips:
    """Return the flips of a contact: bursts of transitions closer together than the hold-off.

    A burst that ends in the state it began in is a glitch. A contact that is scanned (50 transitions and more in a
    burst, in most bursts) is said to be strobed.
    """
    times, levels = edges.times_ns, edges.levels
    if not times.size:
        nothing = np.empty(0, np.int64)
        return Flips(times_ns=nothing, states=np.empty(0, np.uint8), glitches_ns=nothing)
    starts = np.flatnonzero(np.concatenate([[True], np.diff(times) >= hold_off_ns]))
    ends = np.concatenate([starts[1:], [times.size]]) - 1
    # The state before a burst is the opposite of the level its first transition led to.
    turned = levels[ends] == levels[starts]
    lengths = ends - starts + 1
    return Flips(
        times_ns=times[starts[turned]],
        states=levels[ends[turned]],
        glitches_ns=times[starts[~turned]],
        strobed=bool(np.median(lengths) >= _STROBE_TRANSITIONS),
    )


def stick_flips(times_ns: NDArray[np.int64], volts: NDArray[np.float64]) -> Flips:
    """Return the flicks of a stick through mid-travel: t0 is the interpolated 50 % instant.

    The two states are the medians of the samples above and below mid-range; a flick is complete when the stick
    has passed from within a quarter of one state to within a quarter of the other.
    """
    nothing = np.empty(0, np.int64)
    none = Flips(times_ns=nothing, states=np.empty(0, np.uint8), glitches_ns=nothing)
    if volts.size < 2 or np.ptp(volts) == 0:
        return none
    middle = (volts.min() + volts.max()) / 2
    low, high = float(np.median(volts[volts <= middle])), float(np.median(volts[volts > middle]))
    middle, quarter = (low + high) / 2, (high - low) / 4
    sure = np.flatnonzero(np.abs(volts - middle) >= quarter)
    states = (volts[sure] > middle).astype(np.uint8)
    turns = np.flatnonzero(np.diff(states.astype(np.int8)) != 0)
    instants = [mid_instant_ns(times_ns, volts, int(sure[i]), int(sure[i + 1]), middle) for i in turns]
    return Flips(times_ns=np.array(instants, np.int64), states=states[turns + 1], glitches_ns=nothing)


def mid_instant_ns(times_ns: NDArray[np.int64], volts: NDArray[np.float64], first: int, last: int, level: float) -> int:
    """Return when the samples first..last first cross a level, interpolated in a straight line, [ns]."""
    rises = volts[last] > volts[first]
    past = volts[first : last + 1] >= level if rises else volts[first : last + 1] <= level
    after = first + max(int(np.argmax(past)), 1)
    before = after - 1
    share = (level - volts[before]) / (volts[after] - volts[before])
    return int(times_ns[before] + round(float(share * (times_ns[after] - times_ns[before]))))
