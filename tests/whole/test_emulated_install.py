"""The probe program through a real boot loader on an emulated board, and against avrdude with the same file."""

import shutil
import subprocess

import pytest

from benchapp.desk.probe_install import install_probe
from benchapp.desk.probe_program import read_program
from benchapp.probe.uploading import PAGE_SIZE
from benchapp.records.errors import PortGone, WrongInput
from benchapp.records.probe_install import InstallProgress, InstallStep
from tests.emulator import build
from tests.emulator.bench import BOOT_ADDRESS, BootBench
from tests.probe.boot_model import intel_hex

pytestmark = pytest.mark.usefixtures("tools")


@pytest.fixture
def tools() -> None:
    build.need_tools()


def test_the_shipped_program_is_installed_runs_and_greets_and_the_boot_loader_stays(tmp_path):
    with BootBench() as board:
        before = board.flash(tmp_path)
        installed = install_probe(board.port, seen_file=tmp_path / "seen.json")
        after = board.flash(tmp_path)
    program = read_program().program
    assert installed.size_bytes == len(program)
    assert installed.board.wire_version == 1
    assert after[: len(program)] == program
    assert after[BOOT_ADDRESS:] == before[BOOT_ADDRESS:]
    assert set(after[len(program) : BOOT_ADDRESS]) == {0xFF}


def test_installing_again_over_a_running_probe_works_as_well(tmp_path):
    with BootBench() as board:
        first = install_probe(board.port, seen_file=tmp_path / "seen.json")
        second = install_probe(board.port, seen_file=tmp_path / "seen.json")
        after = board.flash(tmp_path)
    assert first.board.serial == second.board.serial
    assert after[: second.size_bytes] == read_program().program


def test_avrdude_writes_the_same_memory(tmp_path):
    avrdude = shutil.which("avrdude")
    if avrdude is None:
        pytest.skip("avrdude is not here: apt-get install --no-install-recommends avrdude")
    with BootBench() as board:
        install_probe(board.port, seen_file=tmp_path / "seen.json")
        ours = board.flash(tmp_path)
    with BootBench() as board:
        words = [avrdude, "-q", "-p", "m328p", "-c", "arduino", "-b", "115200", "-P", board.port, "-D"]
        done = subprocess.run(
            [*words, "-U", f"flash:w:{build.shipped()}:i"], capture_output=True, text=True, timeout=60, check=False
        )
        assert done.returncode == 0, done.stderr
        theirs = board.flash(tmp_path)
    assert ours == theirs


def test_a_plug_pulled_half_way_leaves_nothing_that_runs_and_the_next_try_succeeds(tmp_path):
    with BootBench() as board:

        def pull(progress: InstallProgress) -> None:
            if progress.step is InstallStep.WRITE and progress.done == 20:
                raise PortGone("the plug was pulled")

        with pytest.raises(PortGone) as gone:
            install_probe(board.port, tell=pull, seen_file=tmp_path / "seen.json")
        assert "start the installing once more" in gone.value.kept
        half = board.flash(tmp_path)
        assert half[:PAGE_SIZE] == b"\xff\xcf" * (PAGE_SIZE // 2)
        installed = install_probe(board.port, seen_file=tmp_path / "seen.json")
        assert board.flash(tmp_path)[: installed.size_bytes] == read_program().program


def test_a_program_that_reaches_into_the_boot_loader_is_refused_with_nothing_sent(tmp_path):
    (tmp_path / "large.hex").write_bytes(intel_hex(bytes(BOOT_ADDRESS + PAGE_SIZE)))
    with BootBench() as board:
        before = board.flash(tmp_path)
        with pytest.raises(WrongInput, match="where the boot loader may begin"):
            install_probe(board.port, hex_file=tmp_path / "large.hex", seen_file=tmp_path / "seen.json")
        assert board.flash(tmp_path) == before
