"""The program that is shipped is the one whose source lies beside it, and it fits the chip."""

import hashlib
import os
import re
import subprocess
from pathlib import Path

import numpy as np
import pytest

from benchapp import assets
from benchapp.probe.wire import Commands
from tests.emulator import build
from tests.emulator.emulated import MS
from tests.emulator.truth import DRIVE, LAMP, PIN_OF, SERVO, Probe, alternate, bench_load


def make(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """Build the program from nothing."""
    words = ("make", "-C", str(build.FIRMWARE), f"BUILD={folder}", *words)
    return subprocess.run(words, capture_output=True, text=True, check=False, env={**os.environ, "LC_ALL": "C"})


def test_building_it_again_elsewhere_gives_the_shipped_bytes(tmp_path: Path) -> None:
    built = make(tmp_path / "a folder of another name".replace(" ", "-"), "-j2")
    assert built.returncode == 0, built.stderr
    assert (tmp_path / "a-folder-of-another-name" / "probe.hex").read_bytes() == build.shipped().read_bytes()


def test_the_app_finds_it_with_its_checksum() -> None:
    shipped = assets.resource("probe/probe.hex")
    digest, name = assets.resource("probe/probe.hex.sha256").read_text().split()
    assert name == "probe.hex"
    assert hashlib.sha256(shipped.read_bytes()).hexdigest() == digest


@pytest.mark.parametrize(
    ("limit", "says"), [("FLASH_MOST=4096", "flash"), ("RAM_MOST=1024", "RAM"), ("STACK_LEAST=900", "stack")]
)
def test_the_build_fails_where_the_chip_would_be_too_small(tmp_path: Path, limit: str, says: str) -> None:
    built = make(tmp_path, limit)
    assert built.returncode != 0
    assert re.search(rf"too (much|little) {says}", built.stdout)


def test_the_build_says_what_is_left(tmp_path: Path) -> None:
    built = make(tmp_path)
    found = re.search(r"flash (\d+) of 8192, RAM (\d+) of 1433, stack at most (\d+), free (\d+)", built.stdout)
    assert found is not None
    assert int(found[4]) >= 300


def test_the_stack_stays_as_low_as_the_build_says(probe: Probe, tmp_path: Path) -> None:
    found = re.search(r"RAM (\d+) of \d+, stack at most (\d+)", make(tmp_path).stdout)
    assert found is not None
    low, top = 0x100 + int(found[1]), 0x900
    free_to = int(probe.board.ram[0x5D]) | int(probe.board.ram[0x5E]) << 8
    # Paint what lies between the data and the stack, and see how much of it is left.
    for address in range(low, free_to + 1):
        probe.board.poke(address, 0xA5)
    probe.move_to(500_000)
    probe.start()
    load = bench_load(np.random.default_rng(1), probe.board.cycle + 5 * MS, 1000, scale=2)
    storm = alternate(probe.board.cycle + 300 * MS + np.arange(20_000) * 45, PIN_OF[4])
    probe.board.plan(np.concatenate([load, storm]))
    for lead in (DRIVE, SERVO, LAMP):
        probe.ask(Commands.DRIVE, lead=lead, level=1)
    probe.ask(Commands.SERVO, lead=SERVO, pulse_ns=1_500_000, period_ns=5_000_000)
    for _ in range(10):
        probe.board.hear(bytes(range(256)) * 4)
        probe.run(100)
    used = np.flatnonzero(probe.board.ram[low:top] != 0xA5)
    assert top - (low + used[0]) <= int(found[2])


def test_without_the_tools_the_tests_skip_and_say_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(build.shutil, "which", lambda name: None if name == "avr-gcc" else f"/usr/bin/{name}")
    with pytest.raises(pytest.skip.Exception, match=r"apt-get install .*gcc-avr$"):
        build.need_tools()
