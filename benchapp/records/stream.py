"""What a probe or a capture delivers: edges, samples, clock pairs and gaps, on the session's clock."""

from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

_Scalar = TypeVar("_Scalar", bound=np.generic)

COARSE = 1
"""Flag of an edge whose stamp may be later than the lead's typical lateness."""
LOST_BEFORE = 2
"""Flag of an edge before which the probe lost records of the same lead."""


def frozen_array(values: NDArray[_Scalar]) -> NDArray[_Scalar]:
    """Return the array, contiguous and read-only."""
    array = np.ascontiguousarray(values)
    if array.flags.writeable:
        array = array.view()
        array.flags.writeable = False
    return array


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Edges:
    """Transitions of one lead, oldest first.

    times_ns : int64 [ns on the session's clock], (n,), sorted; equal stamps are allowed
    levels   : uint8, (n,), the level after each edge, 0 or 1
    flags    : uint8, (n,), COARSE and LOST_BEFORE
    """

    lead: int
    times_ns: NDArray[np.int64]
    levels: NDArray[np.uint8]
    flags: NDArray[np.uint8]

    @property
    def count(self) -> int:
        """The number of edges."""
        return int(self.times_ns.size)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Levels:
    """Samples of one level lead, oldest first.

    times_ns : int64 [ns on the session's clock], (n,), sorted
    values   : uint16 counts (a probe), or float64 volts (a capture), (n,)
    """

    lead: int
    times_ns: NDArray[np.int64]
    values: NDArray[np.uint16] | NDArray[np.float64]

    @property
    def count(self) -> int:
        """The number of samples."""
        return int(self.times_ns.size)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class ClockPairs:
    """Heartbeats: the probe's clock against the computer's, in order of arrival.

    probe_ns : int64 [ns on the session's clock, nominal rate], (n,)
    host_ns  : int64 [ns on the link's host clock], (n,)
    """

    probe_ns: NDArray[np.int64]
    host_ns: NDArray[np.int64]


@dataclass(frozen=True, kw_only=True, slots=True)
class Gap:
    """A span in which records of some leads may be missing; no interval is measured across it.

    leads empty means every lead. count is None where the number lost is not known.
    """

    leads: tuple[int, ...]
    from_ns: int
    to_ns: int
    cause: str
    count: int | None = None


LOST_BLOCK = "lost-block"
"""The cause of a gap where a damaged block was."""
LOST_END = "lost-end"
"""The cause of the gap that a copy keeps where the end of its original was missing."""
FILE_CAUSES = frozenset({LOST_BLOCK, LOST_END})
"""What a file lost, not the probe."""

Record = Edges | Levels | ClockPairs | Gap
