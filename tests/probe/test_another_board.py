"""The page for whoever writes a probe for another board says what the instrument reads."""

import html
import json
import re
from pathlib import Path

import pytest

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


def descriptor_ticks() -> dict[str, tuple[int, int]]:
    """Return the typical and the worst lateness of D2, D3 and D4 [ticks], as the board's program tells them."""
    source = assets.resource("probe/descriptor.c").read_text()
    rows = re.findall(r"\[LEAD_(SWITCH|MODULE|SPARE)\] = \{LEAD_IS_EDGE, \{8, (\d+), (\d+)\}\}", source)
    return {name: (int(typical), int(worst)) for name, typical, worst in rows}


@pytest.mark.parametrize("where", ["probe/ANOTHER-BOARD.md", "help/self-test.html"])
def test_lateness_is_everywhere_what_the_board_tells(where: str) -> None:
    page = " ".join(html.unescape(re.sub(r"<[^>]+>", "", assets.resource(where).read_text())).split())
    lateness = descriptor_ticks()
    assert {typical for typical, _ in lateness.values()} == {13}
    assert f"{13 / 16:.2f} µs" in page
    for name, pin in (("SWITCH", "D2"), ("MODULE", "D3"), ("SPARE", "D4 to D7")):
        worst = lateness[name][1]
        assert f"{worst / 16:g} µs" in page
        assert re.search(rf"({worst}|{worst / 16:g} µs)[a-z ]* on {pin}", page), (pin, worst)


def test_what_the_leads_must_not_do_is_said_whole() -> None:
    rules = " ".join(PAGE.partition("## What the leads must not do")[2].partition("\n## ")[0].split())
    for said in (
        "An ordinary buffer or follower clamps just the same when it has no supply, and is forbidden there",
        "inputs are specified to stay open when it has no supply",
        "below 100 pF",
        "stands 20 V either way",
        "100 kΩ or more, at the clip",
        "a follower stands behind 1 MΩ",
        "4.7 kΩ in series, before the pin and before a buffer",
        "about 100 Ω or a resettable fuse",
        "A watchdog resets the board",
    ):
        assert said in rules
