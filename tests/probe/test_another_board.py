"""The page for whoever writes a probe for another board says what the instrument reads."""

import json
from pathlib import Path

from benchapp import assets
from benchapp.probe import wire
from benchapp.probe.framing import crc16

PAGE = assets.resource("probe/ANOTHER-BOARD.md").read_text()
VECTORS = json.loads((Path(__file__).resolve().parent / "vectors.json").read_text())


def test_its_table_of_bytes_is_the_instrument_s() -> None:
    table = (wire.__doc__ or "").partition("FROM THE PROBE")[2].strip()
    assert table
    assert table in PAGE


def test_its_frames_are_those_of_the_vectors() -> None:
    known = {vector["hex"]: vector["name"] for vector in (*VECTORS["frames"], *VECTORS["commands"])}
    rows = [line.split("|")[1:3] for line in PAGE.splitlines() if line.startswith("| ") and line.endswith("00` |")]
    assert len(rows) == 8
    for name, shown in rows:
        assert known[shown.strip().strip("`")] == name.strip().removesuffix(" (to the probe)")


def test_its_check_value_is_the_instrument_s() -> None:
    assert f"is 0x{crc16(b'123456789'):04X}" in PAGE
