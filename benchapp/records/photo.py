"""A photo of the bench as a session keeps it: a JPEG, written as text among the fields of what is under test."""

import base64
import binascii

PHOTO = "photo"
"""The field a photo is kept under; it is never printed as text."""
MOST_BYTES = 1_500_000
MOST_PX = 4096
_SIZES = frozenset({0xC0, 0xC1, 0xC2, 0xC3, 0xC5, 0xC6, 0xC7, 0xC9, 0xCA, 0xCB, 0xCD, 0xCE, 0xCF})
_ALONE = frozenset({0x01, *range(0xD0, 0xD8)})
_BEGIN, _SCAN, _END = 0xD8, 0xDA, 0xD9


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
    """Return width and height of a JPEG, None for what is none or is larger than any photo here may be."""
    if len(jpeg) > MOST_BYTES or jpeg[:2] != bytes((0xFF, _BEGIN)):
        return None
    at = 2
    while at + 4 <= len(jpeg) and jpeg[at] == 0xFF:
        kind = jpeg[at + 1]
        if kind == 0xFF or kind in _ALONE:
            at += 1 if kind == 0xFF else 2
            continue
        if kind in (_SCAN, _END):
            return None
        length = int.from_bytes(jpeg[at + 2 : at + 4], "big")
        if kind in _SIZES:
            return _size_px(jpeg[at + 5 : at + 9])
        at += 2 + max(length, 2)
    return None


def _size_px(cells: bytes) -> tuple[int, int] | None:
    if len(cells) < 4:
        return None
    height, width = int.from_bytes(cells[:2], "big"), int.from_bytes(cells[2:], "big")
    return (width, height) if 0 < width <= MOST_PX and 0 < height <= MOST_PX else None
