"""The second file of a session that was not closed (NAME-wal): how much of it is whole, and what lies behind a fault.

SQLite stops reading it, without a word, at the first frame whose check does not match; what follows would be lost in
silence. Source of the layout and the checks: sqlite.org/fileformat2.html, section 4 (The Write-Ahead Log).
What lies behind one bad frame is read and held against the session's own checks.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

_HEAD, _FRAME_HEAD = 32, 24
_LITTLE, _BIG = 0x377F0682, 0x377F0683
_FORMAT = 3_007_000
_MASK = 0xFFFF_FFFF
_AT_ONCE = 1024

Words = NDArray[np.uint32]


@dataclass(frozen=True, kw_only=True, slots=True)
class WriteAhead:
    """What of a write-ahead file is whole.

    beyond : commits that lie behind the first frame that does not match its check, 0 where the file is whole
    mended : the file with its checks made to fit, so that what lies behind can be read and held against the session's
             own checks; b"" where nothing lies behind, or too much of it is not in its place
    """

    beyond: int
    mended: bytes


WHOLE = WriteAhead(beyond=0, mended=b"")


class _Check:
    """The running check of a file: two sums over pairs of words, each pair adding to both."""

    def __init__(self, page_size: int, order: str) -> None:
        self._order = order
        pairs = 1 + page_size // 8
        powers = np.empty((pairs + 1, 2, 2), dtype=np.uint32)
        powers[0] = ((1, 0), (0, 1))
        step = np.array(((1, 1), (1, 2)), dtype=np.uint32)
        for number in range(pairs):
            powers[number + 1] = powers[number] @ step
        self._whole = tuple(int(value) for value in powers[pairs].ravel())
        self._weights = powers[:pairs][::-1]

    def of_frames(self, frames: NDArray[np.uint8]) -> Words:
        """Return what each frame adds to the two sums."""
        covered = np.ascontiguousarray(np.concatenate((frames[:, :8], frames[:, _FRAME_HEAD:]), axis=1))
        words = covered.view(f"{self._order}u4").astype(np.uint32).reshape(len(frames), -1, 2)
        first, both = words[:, :, 0], words[:, :, 0] + words[:, :, 1]
        weights = self._weights
        return np.stack(
            [first @ weights[:, row, 0] + both @ weights[:, row, 1] for row in (0, 1)], axis=1, dtype=np.uint32
        )

    def after(self, sums: tuple[int, int], added: Any) -> tuple[int, int]:
        """Return the sums after a frame."""
        a, b, c, d = self._whole
        first = (a * sums[0] + b * sums[1] + int(added[0])) & _MASK
        return first, (c * sums[0] + d * sums[1] + int(added[1])) & _MASK


def _head_sums(head: bytes, order: str) -> tuple[int, int]:
    first = second = 0
    words = np.frombuffer(head[:24], dtype=f"{order}u4").tolist()
    for left, right in zip(words[::2], words[1::2], strict=True):
        first = (first + left + second) & _MASK
        second = (second + right + first) & _MASK
    return first, second


def _order_of(head: bytes) -> str:
    """Return the byte order of a file's checks, "" where its head is not whole."""
    magic = int.from_bytes(head[:4], "big")
    order = {_LITTLE: "<", _BIG: ">"}.get(magic, "")
    if not order or int.from_bytes(head[4:8], "big") != _FORMAT:
        return ""
    stored = (int.from_bytes(head[24:28], "big"), int.from_bytes(head[28:32], "big"))
    return order if stored == _head_sums(head, order) else ""


def look_ahead(wal: Path, page_size: int) -> WriteAhead:
    """Return what of the write-ahead file of a session is whole. page_size : the session's own. Raises OSError."""
    frame = _FRAME_HEAD + page_size
    size = wal.stat().st_size
    count = (size - _HEAD) // frame
    if count < 1:
        return WHOLE
    with wal.open("rb") as file:
        head = file.read(_HEAD)
    frames = np.memmap(wal, dtype=np.uint8, mode="r", offset=_HEAD, shape=(count, frame))
    fields = np.ascontiguousarray(frames[:, :_FRAME_HEAD]).view(">u4").astype(np.int64)
    order = _order_of(head)
    if order and int.from_bytes(head[8:12], "big") != page_size:
        return WHOLE  # not this session's
    salts = np.frombuffer(head[16:24], dtype=">u4").astype(np.int64) if order else fields[0, 2:4]
    ours = (fields[:, 2:4] == salts).all(axis=1)
    whole = _whole_frames(frames, fields, ours, head, order) if order else 0
    # A generation of frames before this one has both of its salts different; a flipped bit touches one of them.
    like_ours = (fields[:, 2:4] == salts).any(axis=1)
    commits = np.flatnonzero(like_ours & (fields[:, 1] > 0))
    beyond = int(np.count_nonzero(commits >= whole))
    if not beyond:
        return WHOLE
    last = int(commits[-1]) + 1
    return WriteAhead(beyond=beyond, mended=_mended(frames[:last], fields[:last], ours[:last], salts, page_size))


def _whole_frames(frames: Any, fields: Any, ours: Any, head: bytes, order: str) -> int:
    """Return how many frames match their checks, one after the other."""
    check = _Check(frames.shape[1] - _FRAME_HEAD, order)
    sums = _head_sums(head, order)
    for start in range(0, len(frames), _AT_ONCE):
        for number, added in enumerate(check.of_frames(frames[start : start + _AT_ONCE]), start=start):
            sums = check.after(sums, added)
            if not ours[number] or sums != (fields[number, 4], fields[number, 5]):
                return number
    return len(frames)


def _mended(frames: Any, fields: Any, ours: Any, salts: Any, page_size: int) -> bytes:
    """Return a file of these frames whose checks all match, b"" where one of them cannot be in its place."""
    most = int(fields[-1, 1])
    placed = ((fields[:, 0] >= 1) & (fields[:, 0] <= most)).all()
    if np.count_nonzero(~ours) > 1 or not placed:
        return b""
    fixed = np.array(frames)
    fixed[:, 8:16] = np.frombuffer(salts.astype(">u4").tobytes(), dtype=np.uint8)
    check = _Check(page_size, "<")
    head = b"".join(int(word).to_bytes(4, "big") for word in (_LITTLE, _FORMAT, page_size, 0, *salts))
    sums = _head_sums(head, "<")
    head += b"".join(word.to_bytes(4, "big") for word in sums)
    for start in range(0, len(fixed), _AT_ONCE):
        for number, added in enumerate(check.of_frames(fixed[start : start + _AT_ONCE]), start=start):
            sums = check.after(sums, added)
            fixed[number, 16:24] = np.array(sums, dtype=">u4").view(np.uint8)
    return head + fixed.tobytes()
