"""What is said where no window can be shown."""

import os
import signal
import socket
import subprocess
import sys
import time

import pytest

from benchapp.app import screen_check
from benchapp.app.screen_check import check_screen
from benchapp.records.errors import SystemTrouble

linux = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="elsewhere Qt can tell by itself")


@pytest.fixture(autouse=True)
def every_library_loads(monkeypatch):
    monkeypatch.setattr(screen_check, "_loads", lambda library: True)


@linux
def test_no_screen_is_said_in_words_with_what_works_without_one():
    with pytest.raises(SystemTrouble, match="no screen here") as trouble:
        check_screen({})
    assert "benchapp --help" in trouble.value.message
    assert trouble.value.status == 3


@linux
def test_a_screen_that_does_not_answer_is_named():
    with pytest.raises(SystemTrouble, match="DISPLAY=:4711"):
        check_screen({"DISPLAY": ":4711"})


@linux
def test_a_screen_that_answers_is_enough(tmp_path):
    address = "\0/tmp/.X11-unix/X4712"
    with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as listening:
        listening.bind(address)
        listening.listen()
        check_screen({"DISPLAY": ":4712.0"})
    (tmp_path / "wayland-0").touch()
    check_screen({"WAYLAND_DISPLAY": "wayland-0", "XDG_RUNTIME_DIR": str(tmp_path)})


@linux
def test_a_platform_without_a_screen_needs_none():
    check_screen({"QT_QPA_PLATFORM": "offscreen"})


@linux
def test_missing_libraries_are_named_by_the_package_that_brings_them(monkeypatch):
    monkeypatch.setattr(screen_check, "_loads", lambda library: "cursor" not in library and "EGL" not in library)
    with pytest.raises(SystemTrouble) as trouble:
        check_screen({"QT_QPA_PLATFORM": "xcb", "DISPLAY": "elsewhere:0"})
    assert "sudo apt-get install libegl1 libxcb-cursor0." in trouble.value.message


def program(environment, *arguments, **options):
    code = "import sys; from benchapp.app.main import run; sys.exit(run(*(sys.argv[1:] or [None])))"
    kept = {key: value for key, value in os.environ.items() if key not in ("DISPLAY", "WAYLAND_DISPLAY")}
    kept.pop("QT_QPA_PLATFORM", None)
    return subprocess.Popen(
        [sys.executable, "-c", code, *arguments],
        env=kept | environment,
        stderr=subprocess.PIPE,
        text=True,
        **options,
    )


@linux
def test_the_program_without_a_screen_ends_with_3_and_one_plain_line():
    started = program({})
    _, said = started.communicate(timeout=60)
    assert started.returncode == 3
    assert said.startswith("benchapp: ")
    assert said.count("\n") == 1
    assert "Traceback" not in said


def wait_for(path):
    deadline = time.monotonic() + 60
    while not path.exists():
        assert time.monotonic() < deadline
        time.sleep(0.05)


@linux
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_closes_the_window_cleanly(tmp_path, number):
    places = {f"XDG_{name}_HOME": str(tmp_path / name.lower()) for name in ("CONFIG", "DATA", "STATE", "CACHE")}
    started = program({"QT_QPA_PLATFORM": "offscreen", **places})
    wait_for(tmp_path / "state" / "benchapp" / "crash.txt")
    time.sleep(1.0)
    started.send_signal(number)
    _, said = started.communicate(timeout=60)
    assert started.returncode == 130
    assert [line for line in said.splitlines() if "propagateSizeHints" not in line] == []
    assert (tmp_path / "state" / "benchapp" / "crash.txt").read_text() == ""


def test_the_window_is_there_before_the_plots_are_imported():
    code = (
        "import sys, benchapp.app.window_program as w; p = w.WindowProgram(None); p.window.show(); "
        "p.app.processEvents(); assert 'pyqtgraph' not in sys.modules; p._import_plots(); "
        "assert 'pyqtgraph' in sys.modules; p.window.close()"
    )
    environment = os.environ | {"QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run([sys.executable, "-c", code], env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
