"""Frames: checks against published values, and whatever bytes come."""

import tracemalloc
from binascii import crc_hqx

import pytest
from cobs import cobs
from hypothesis import given, settings
from hypothesis import strategies as st

from benchapp.probe.framing import PAYLOAD_MAX, FrameSplitter, Spoilt, crc16, encode_frame

COBS_EXAMPLES = [
    # S. Cheshire and M. Baker, "Consistent overhead byte stuffing", IEEE/ACM Trans. Networking 7(2), 1999, figure 3
    ("4500002C4C79000040064F37", "024501042C4C79010540064F37"),
    # the test suite of the `cobs` package on PyPI
    ("", "01"),
    ("00", "0101"),
    ("0000", "010101"),
    ("31", "0231"),
    ("3132333435", "063132333435"),
    ("31323334350036373839", "0631323334350536373839"),
    ("0031323334350036373839", "010631323334350536373839"),
    ("3132333435003637383900", "063132333435053637383901"),
]
COBS_REFUSED = ["00", "05313233", "053132333400", "0531320034"]


def test_the_check_of_the_digits_is_the_catalogue_s():
    # Catalogue of parametrised CRC algorithms, CRC-16/MCRF4XX: check value of "123456789" (from memory)
    assert crc16(b"123456789") == 0x6F91


def test_the_library_s_check_beneath_is_the_catalogue_s():
    # the same catalogue, as the package crccheck 1.3.1 on PyPI carries it: CRC-16/IBM-3740 and CRC-16/XMODEM
    assert crc_hqx(b"123456789", 0xFFFF) == 0x29B1
    assert crc_hqx(b"123456789", 0) == 0x31C3


@settings(deadline=None)
@given(st.binary(max_size=80))
def test_the_check_equals_the_plain_shift_register(data):
    # the algorithm as the catalogue states it (from memory): 0x1021 reflected is 0x8408, begun with 0xFFFF, nothing
    # added at the end
    register = 0xFFFF
    for byte in data:
        register ^= byte
        for _ in range(8):
            register = register >> 1 ^ (0x8408 if register & 1 else 0)
    assert crc16(data) == register


@pytest.mark.parametrize(("plain", "coded"), COBS_EXAMPLES)
def test_the_coding_is_the_published_one(plain, coded):
    assert cobs.encode(bytes.fromhex(plain)) == bytes.fromhex(coded)
    assert cobs.decode(bytes.fromhex(coded)) == bytes.fromhex(plain)


@pytest.mark.parametrize("coded", COBS_REFUSED)
def test_what_is_no_coding_is_refused(coded):
    # the test suite of the `cobs` package on PyPI
    with pytest.raises(cobs.DecodeError):
        cobs.decode(bytes.fromhex(coded))


def test_a_frame_is_what_the_published_coding_makes_of_its_bytes():
    body = bytes((3, 0, 0, 0x41))
    check = crc16(body)
    assert encode_frame(3, 256, b"\0A") == cobs.encode(body + bytes((check & 0xFF, check >> 8))) + b"\0"


@settings(deadline=None)
@given(st.integers(0, 255), st.integers(0, 255), st.binary(max_size=PAYLOAD_MAX))
def test_a_frame_comes_back_as_it_was(kind, seq, payload):
    assert FrameSplitter().feed(encode_frame(kind, seq, payload)) == [bytes((kind, seq)) + payload]


def test_a_payload_over_the_limit_is_the_caller_s_mistake():
    with pytest.raises(ValueError, match="at most 64 bytes, got 65"):
        encode_frame(1, 0, bytes(65))


@pytest.mark.parametrize(
    ("damaged", "why"),
    [
        (b"\x01\0", Spoilt.TOO_SHORT),
        (b"\x05AB\0", Spoilt.BAD_CODING),
        (encode_frame(3, 9, b"hello").replace(b"hello", b"jello"), Spoilt.BAD_CHECK),
        (b"A" * 70 + b"\0", Spoilt.TOO_LONG),
        (b"A" * 5000 + b"\0", Spoilt.TOO_LONG),
    ],
)
def test_each_damage_has_its_name_and_the_next_frame_is_whole(damaged, why):
    good = encode_frame(3, 1, b"x")
    for cut in (len(damaged), 1, 3):
        splitter = FrameSplitter()
        stream = damaged + good
        found = [item for at in range(0, len(stream), cut) for item in splitter.feed(stream[at : at + cut])]
        assert found == [why, b"\x03\x01x"]


@settings(deadline=None)
@given(st.integers(0, 15), st.data())
def test_every_burst_of_up_to_16_bits_is_refused(length, data):
    body = bytearray(b"\x01\x02some payload that goes over the wire")
    check = crc16(bytes(body))
    whole = int.from_bytes(body + check.to_bytes(2, "little"), "little")
    burst = 1 | 1 << length | data.draw(st.integers(0, (1 << length + 1) - 1))
    at = data.draw(st.integers(0, (len(body) + 2) * 8 - length - 1))
    spoilt = (whole ^ burst << at).to_bytes(len(body) + 2, "little")
    assert FrameSplitter().feed(cobs.encode(spoilt) + b"\0") == [Spoilt.BAD_CHECK]


def test_a_line_without_end_does_not_grow_memory():
    splitter = FrameSplitter()
    chunk = b"U" * 1_000_000
    splitter.feed(chunk)
    tracemalloc.start()
    for _ in range(1000):  # 1 GB
        assert splitter.feed(chunk) == []
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert most < 3_000_000  # a chunk's own copy, not the line's
    assert splitter.feed(b"\0" + encode_frame(1, 0, b"")) == [Spoilt.TOO_LONG, b"\x01\x00"]
