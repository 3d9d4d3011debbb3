"""A photo of the bench as a session keeps it: a JPEG, written as text among the fields of what is under test.

As text in the field `photo` of a `bench` event it stays part of the one file: trash, copies and undo take it along,
earlier programs count it as a further field, and a copy without private fields leaves it out. It describes the bench,
so the evidence hash does not cover it.
"""

import base64
import binascii
import re

PHOTO = "photo"
"""The field a photo is kept under; it is never printed as text."""
MOST_BYTES = 1_500_000
MOST_PX = 2048
_BASELINE = 0xC0
_OTHER_FRAMES = frozenset({0xC1, 0xC2, 0xC3, 0xC5, 0xC6, 0xC7, 0xC9, 0xCA, 0xCB, 0xCD, 0xCE, 0xCF})
_ALONE = frozenset({0x01, *range(0xD0, 0xD8)})
_BEGIN, _SCAN, _END = 0xD8, 0xDA, 0xD9
_AFTER_SCAN = re.compile(rb"\xff(?!\x00|[\xd0-\xd7]|\xff)")
"""A marker other than those that stand inside a scan: stuffed bytes, restarts, fill (ITU-T T.81, B.1.1)."""


def photo_text(jpeg: bytes) -> str:
    """Return a photo as the text a session keeps."""
    return base64.b64encode(jpeg).decode("ascii")


def photo_of(text: str) -> bytes | None:
    """Return the photo a text holds, None where it holds none that can be shown: text from a file is not trusted."""
    if not text or len(text) > MOST_BYTES * 4 // 3 + 4:
        return None
    try:
        jpeg = base64.b64decode(text, validate=True)
    except (binascii.Error, ValueError):
        return None
    return jpeg if jpeg_size_px(jpeg) is not None else None


def jpeg_size_px(jpeg: bytes) -> tuple[int, int] | None:
    """Return width and height of a baseline JPEG of one scan, None for anything else and for what is too large.

    A progressive picture may have thousands of scans, each read over the whole picture: a few hundred kilobytes kept a
    window busy for a minute. The pictures this program keeps have one (ITU-T T.81, B.2: SOF0, one SOS, EOI).
    """
    if len(jpeg) > MOST_BYTES or jpeg[:2] != bytes((0xFF, _BEGIN)):
        return None
    at, size, parts = 2, None, 0
    while at + 4 <= len(jpeg) and jpeg[at] == 0xFF:
        kind = jpeg[at + 1]
        if kind == 0xFF or kind in _ALONE:
            at += 1 if kind == 0xFF else 2
            continue
        length = max(int.from_bytes(jpeg[at + 2 : at + 4], "big"), 2)
        if kind in _OTHER_FRAMES or kind == _END or (kind == _BASELINE and size is not None):
            return None
        if kind == _BASELINE:
            size, parts = _size_px(jpeg[at + 5 : at + 9]), jpeg[at + 9] if at + 9 < len(jpeg) else 0
        at += 2 + length
        if kind == _SCAN:
            whole = at - length + 2 < len(jpeg) and jpeg[at - length + 2] == parts
            return size if whole and _is_last_scan(jpeg, at) else None
    return None


def scans_of(jpeg: bytes) -> int:
    """Return how many scans a JPEG begins, however it is made."""
    return jpeg.count(bytes((0xFF, _SCAN)))


def _is_last_scan(jpeg: bytes, at: int) -> bool:
    """Return whether nothing but the end follows the scan whose data begin there; a picture may be cut off in it."""
    marker = _AFTER_SCAN.search(jpeg, at)
    return marker is None or jpeg[marker.start() + 1 : marker.start() + 2] in (b"", bytes((_END,)))


def _size_px(cells: bytes) -> tuple[int, int] | None:
    if len(cells) < 4:
        return None
    height, width = int.from_bytes(cells[:2], "big"), int.from_bytes(cells[2:], "big")
    return (width, height) if 0 < width <= MOST_PX and 0 < height <= MOST_PX else None
