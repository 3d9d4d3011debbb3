"""Finding a VCD's variables by their identifiers, many at a time."""

import numpy as np
from numpy.typing import NDArray

from benchapp.sessions.exchange.decimals import Bytes, Places


class Identifiers:
    """Finds the place of an identifier: a table for up to two letters, a sorted search up to eight, else a dict."""

    def __init__(self, codes: list[bytes]) -> None:
        self._short = np.full(1 << 16, -1, dtype=np.int32)
        self._all_short = True
        self._all_single = all(len(code) == 1 for code in codes)
        self._by_bytes = {code: place for place, code in enumerate(codes)}
        keys = []
        for place, code in enumerate(codes):
            if len(code) <= 2:
                self._short[int.from_bytes(code, "little")] = place
            else:
                self._all_short = False
            if len(code) <= 8:
                keys.append((int.from_bytes(code, "little"), place))
        keys.sort()
        self._keys = np.array([key for key, _ in keys] or [0], dtype=np.uint64)
        self._places = np.array([place for _, place in keys] or [-1], dtype=np.int32)

    def places(self, text: Bytes, words: NDArray[np.uint64], starts: Places, ends: Places) -> NDArray[np.int32]:
        """Return the place of each identifier, int32; -1 where it was never declared."""
        lengths = ends - starts
        longest = int(lengths.max(initial=0))
        if longest == 1 and self._all_single and int(lengths.min()) == 1:
            return self._short[text[starts]]
        keys = words[starts]
        keys &= (np.uint64(1) << (np.clip(lengths, 0, 7) * 8).astype(np.uint64)) - np.uint64(1) | np.where(
            lengths >= 8, ~np.uint64(0), np.uint64(0)
        )
        if self._all_short and longest <= 2:
            found = self._short[keys]
        else:
            spot = np.minimum(np.searchsorted(self._keys, keys), self._keys.size - 1)
            found = np.where(self._keys[spot] == keys, self._places[spot], -1).astype(np.int32)
        found[lengths == 0] = -1
        for row in np.flatnonzero(lengths > 8).tolist():
            found[row] = self._by_bytes.get(bytes(text[starts[row] : ends[row]]), -1)
        return found
