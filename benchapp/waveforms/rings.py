"""The newest edges or samples of one lead, in one contiguous stretch of memory that slides when full."""

from typing import Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

_Value = TypeVar("_Value", bound=np.generic)

_FIRST_CAPACITY = 4096


class Ring(Generic[_Value]):
    """Holds times and values no older than keep_ns before the newest one.

    Memory grows with what is kept, at most to four times that; older entries go when the arrays are full.
    """

    def __init__(self, dtype: type[_Value], *, keep_ns: int) -> None:
        self.keep_ns = keep_ns
        self._times = np.empty(_FIRST_CAPACITY, dtype=np.int64)
        self._values: NDArray[_Value] = np.empty(_FIRST_CAPACITY, dtype=dtype)
        self._size = 0

    @property
    def times_ns(self) -> NDArray[np.int64]:
        """The instants kept, oldest first: a view that is valid until the next append."""
        return self._times[: self._size]

    @property
    def values(self) -> NDArray[_Value]:
        """The values kept, beside times_ns: a view that is valid until the next append."""
        return self._values[: self._size]

    def copy(self) -> "Ring[_Value]":
        """Return a ring with the same entries and memory of its own."""
        copied: Ring[_Value] = Ring(self._values.dtype.type, keep_ns=self.keep_ns)
        copied._times, copied._values, copied._size = self.times_ns.copy(), self.values.copy(), self._size
        return copied

    def append(self, times_ns: NDArray[np.int64], values: NDArray[_Value]) -> None:
        """Add entries that are no older than those before them."""
        if self._size + times_ns.size > self._times.size:
            self._make_room(times_ns)
        end = self._size + times_ns.size
        self._times[self._size : end] = times_ns
        self._values[self._size : end] = values
        self._size = end

    def clear(self) -> None:
        """Forget everything."""
        self._size = 0

    def _make_room(self, arriving_ns: NDArray[np.int64]) -> None:
        # one entry older than the limit stays: it says at which level the lead stood before
        limit = int(arriving_ns[-1]) - self.keep_ns
        first = max(0, int(np.searchsorted(self.times_ns, limit)) - 1) if self._size else 0
        kept = self._size - first
        wanted = kept + arriving_ns.size
        capacity = self._times.size
        while capacity < 2 * wanted:
            capacity = max(2 * capacity, _FIRST_CAPACITY)
        times = np.empty(capacity, dtype=np.int64)
        values: NDArray[_Value] = np.empty(capacity, dtype=self._values.dtype)
        times[:kept] = self._times[first : self._size]
        values[:kept] = self._values[first : self._size]
        self._times, self._values, self._size = times, values, kept
