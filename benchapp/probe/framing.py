"""Frames of wire format 1: a type, a number and a payload, closed by a check and a zero byte.

    COBS( type u8 | number u8 | payload, 0 to 64 bytes | CRC-16, low byte first )  00

The check is CRC-16 with the reflected polynomial 0x8408, start 0xFFFF, no final inversion. It does not see zero bytes
that a body has won or lost at its end: those frames pass, and are refused because no message has their length (`wire`).
"""

from binascii import crc_hqx
from enum import StrEnum

from cobs import cobs

PAYLOAD_MAX = 64
_OVERHEAD = 4  # type, number, two bytes of check
_ENCODED_MAX = PAYLOAD_MAX + _OVERHEAD + 1  # COBS adds one byte to at most 254

# crc_hqx shifts towards the high bit, the wire's check towards the low one: they agree once bits are mirrored.
_MIRRORED = bytes(int(f"{byte:08b}"[::-1], 2) for byte in range(256))
_CRC_START = 0xFFFF


class Spoilt(StrEnum):
    """Why bytes between two zeros were no frame."""

    TOO_LONG = "too-long"
    TOO_SHORT = "too-short"
    BAD_CODING = "bad-coding"
    BAD_CHECK = "bad-check"


def crc16(data: bytes) -> int:
    """Return the check of the data, 0 to 0xFFFF."""
    mirrored = crc_hqx(data.translate(_MIRRORED), _CRC_START)
    return _MIRRORED[mirrored >> 8] | _MIRRORED[mirrored & 0xFF] << 8


def encode_frame(kind: int, seq: int, payload: bytes) -> bytes:
    """Return one whole frame with its final zero; seq is taken modulo 256.

    Raises ValueError for a payload over PAYLOAD_MAX: a mistake of the caller, never of the wire.
    """
    if len(payload) > PAYLOAD_MAX:
        raise ValueError(f"a payload holds at most {PAYLOAD_MAX} bytes, got {len(payload)}")
    body = bytes((kind, seq & 0xFF)) + payload
    return bytes(cobs.encode(body + crc16(body).to_bytes(2, "little"))) + b"\0"


class FrameSplitter:
    """Cuts a stream of bytes into frames; keeps at most one frame's worth of bytes, whatever comes."""

    def __init__(self) -> None:
        self._rest = b""
        self._overrun = False

    def feed(self, data: bytes) -> list[bytes | Spoilt]:
        """Return what ended inside the data, in order: `type, number, payload` of a good frame, or why it is none.

        Zeros without anything between them are idle and give nothing. Cutting the stream elsewhere changes nothing.
        """
        pieces = data.split(b"\0")
        tail = pieces.pop()
        found: list[bytes | Spoilt] = []
        if pieces:
            pieces[0] = self._rest + pieces[0]
            if self._overrun:
                found.append(Spoilt.TOO_LONG)
                pieces[0] = b""
            found += [_body(piece) for piece in pieces if piece]
            self._rest, self._overrun = b"", False
        self._keep(tail)
        return found

    def _keep(self, tail: bytes) -> None:
        if self._overrun:
            return
        # A tail of 1 GB is never copied whole: one byte more than a frame proves that it is none.
        self._rest += tail[: _ENCODED_MAX + 1]
        if len(self._rest) > _ENCODED_MAX:
            self._rest, self._overrun = b"", True


def _body(piece: bytes) -> bytes | Spoilt:
    if len(piece) > _ENCODED_MAX:
        return Spoilt.TOO_LONG
    try:
        body: bytes = cobs.decode(piece)
    except cobs.DecodeError:
        return Spoilt.BAD_CODING
    if len(body) < _OVERHEAD:
        return Spoilt.TOO_SHORT
    # The check over a body that ends with its own check is 0.
    if crc_hqx(body.translate(_MIRRORED), _CRC_START):
        return Spoilt.BAD_CHECK
    return body[:-2]
