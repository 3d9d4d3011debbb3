"""The emulated boards behind pseudo terminals are what a program finds on a port."""

import shutil
import subprocess
from pathlib import Path

import pytest

from benchapp.probe.opening import greet
from tests.emulator import build
from tests.emulator.bench import BootBench, ProbeBench


def image(hex_file: Path) -> bytes:
    """The bytes of an Intel HEX file that begins at 0 and has no holes."""
    lines = [bytes.fromhex(line[1:]) for line in hex_file.read_text().split()]
    return b"".join(line[4:-1] for line in lines if line[3] == 0)


def test_the_probe_answers_on_its_port_with_a_new_start_id_at_each_opening() -> None:
    with ProbeBench() as bench:
        first, second = greet(bench.port), greet(bench.port)
    assert first.program == second.program == "probe 1.1"
    assert first.serial == second.serial
    assert first.start_id != second.start_id


def test_an_unplugged_board_takes_its_port_with_it() -> None:
    with ProbeBench() as bench:
        greet(bench.port)
        bench.unplug()
        assert not Path(bench.port).exists()


def test_the_program_goes_in_through_the_boot_loader_and_starts(tmp_path: Path) -> None:
    if shutil.which("avrdude") is None:
        pytest.skip("needs apt-get install --no-install-recommends avrdude")
    words = [
        "avrdude",
        "-q",
        "-p",
        "m328p",
        "-c",
        "arduino",
        "-b",
        "115200",
        "-D",
        "-U",
        f"flash:w:{build.shipped()}:i",
    ]
    with BootBench() as bench:
        done = subprocess.run([*words, "-P", bench.port], capture_output=True, text=True, timeout=60, check=False)
        assert done.returncode == 0, done.stderr
        assert "bytes of flash verified" in done.stderr
        flash = bench.flash(tmp_path)
        assert greet(bench.port).program == "probe 1.1"
    wanted = image(build.shipped())
    assert flash[: len(wanted)] == wanted
