"""Programs in Intel HEX files: what is read, and that nothing doubtful is."""

import contextlib
import random
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchapp.probe.intel_hex import read_intel_hex
from benchapp.records.errors import WrongInput
from tests.probe.boot_model import intel_hex

ROOM = 0x7000
# An example line of many descriptions of the format, an encyclopaedia's among them (typed from memory). Its check is
# the two's complement of the sum of its bytes, as Intel's "Hexadecimal Object File Format Specification" of 1988 has it
# (title and year from memory); the sum is worked out below.
LINE = b":10010000214601360121470136007EFE09D2190140\n"
END = b":00000001FF\n"


def read(text: bytes, room: int = ROOM) -> bytes:
    return read_intel_hex(text, file="some.hex", room=room)


@given(st.binary(min_size=1, max_size=2000))
def test_a_program_comes_back_as_it_was_written(program):
    assert read(intel_hex(program)) == program


def test_a_line_known_from_elsewhere_is_read():
    *summed, check = bytes.fromhex(LINE.decode().strip().lstrip(":"))
    assert check == -sum(summed) & 0xFF
    image = read(intel_hex(bytes(16)).replace(END.strip(), b"").rstrip() + b"\n" + LINE + END)
    assert image[0x100:].hex() == "214601360121470136007efe09d21901"
    assert image[16:0x100] == b"\xff" * 0xF0


def test_upper_addresses_starts_and_line_ends_of_other_systems_are_read():
    text = b":020000020000FC\r\n:020000040000FA\r\n" + intel_hex(b"ab").replace(
        b"\n", b"\r\n"
    ).replace(END.strip(), b":0400000500000000F7\r\n" + END.strip())  # fmt: skip
    assert read(text) == b"ab"


GOOD = intel_hex(bytes(range(40)))
DOUBTFUL = {
    "nothing": (b"", "line 1, the line that ends the file is missing"),
    "no colon": (b"hello\n", "line 1, a colon was expected first, got 'hello'"),
    "not hexadecimal": (b":1G\n", "pairs of hexadecimal digits"),
    "blanks between": (b":02 0000 00 0102 FB\n", "pairs of hexadecimal digits"),
    "half a pair": (GOOD.replace(b":", b":0", 1), "pairs of hexadecimal digits"),
    "too short": (b":00000001\n", "promises 0 bytes"),
    "a size that is wrong": (GOOD.replace(b":10", b":0F", 1), "line 1, the line promises 15 bytes"),
    "a flipped digit": (GOOD.replace(b"0A0B", b"0A1B", 1), "line 1, its check is 78, 68 was expected"),
    "an unknown type": (b":00000006FA\n", "no type 6"),
    "an end with data": (b":0100000100FE\n", "type 1 has 0 bytes of data, this one has 1"),
    "no end": (GOOD.replace(END, b""), "line 3, the line that ends the file is missing"),
    "more after the end": (GOOD + END, "line 5, something stands after"),
    "twice the same address": (GOOD.replace(END, b"") + GOOD, "line 4, it writes again to address 0x0"),
    "nothing at address 0": (intel_hex(b"ab", start=0x80), "no line holds address 0"),
    "beyond the room": (intel_hex(bytes(ROOM + 1)), "reaches to address 0x7001, and 0x7000 is where"),
    "far beyond": (b":020000040800F2\n" + GOOD, "reaches to address 0x8000010"),
    "binary": (bytes(range(256)), "a colon was expected first"),
}


@pytest.mark.parametrize("kind", DOUBTFUL)
def test_a_doubtful_file_is_refused_with_line_and_reason_and_nothing_was_sent(kind):
    text, words = DOUBTFUL[kind]
    with pytest.raises(WrongInput, match=re.escape(words)) as refused:
        read(text)
    assert refused.value.message.startswith("some.hex is no whole probe program: line ")
    assert refused.value.kept == "Nothing was sent to the board."


def test_a_huge_file_is_refused_before_it_is_read():
    with pytest.raises(WrongInput, match=r"some\.hex is no probe program: it has 1048577 bytes"):
        read(b":" * (2**20 + 1))


@settings(max_examples=300)
@given(st.integers(0, 2**32 - 1))
def test_no_single_damaged_byte_gives_another_program(seed):
    draw = random.Random(seed)
    text = bytearray(GOOD)
    at = draw.randrange(len(text))
    text[at] = draw.randrange(256)
    try:
        image = read(bytes(text))
    except WrongInput:
        return
    assert image == bytes(range(40))


@settings(max_examples=300)
@given(st.binary(max_size=300))
def test_no_bytes_at_all_raise_anything_but_wrong_input(text):
    with contextlib.suppress(WrongInput):
        read(b":" + text)
