"""The program is ended from outside: by a signal, or by a screen that dies. What was recorded is kept, in order."""

import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import QMessageLogContext, QtMsgType

from benchapp.app.display_watch import DisplayWatch
from benchapp.sessions.opening import open_session

ROOT = Path(__file__).resolve().parents[2]
CHILD = Path(__file__).with_name("recording_window.py")
LONG_S = 90


@pytest.fixture
def program(tmp_path):
    """Start the program with a run going on; the process is ended whatever happens."""
    started = []

    def start(**environment):
        places = {f"XDG_{name}_HOME": str(tmp_path / name) for name in ("CONFIG", "DATA", "STATE", "CACHE")}
        process = subprocess.Popen(
            [sys.executable, str(CHILD), str(tmp_path / "a.t2h")],
            env={**os.environ, "PYTHONPATH": str(ROOT), **places, **environment},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        started.append(process)
        assert process.stdout.readline() == "saved\n", process.stderr.read()
        return process

    yield start
    for process in started:
        process.kill()
        process.communicate()


@pytest.mark.parametrize("asked", [signal.SIGTERM, signal.SIGHUP, signal.SIGINT])
def test_a_signal_closes_the_session_and_ends_the_program(program, tmp_path, asked):
    process = program(QT_QPA_PLATFORM="offscreen")
    process.send_signal(asked)
    process.communicate(timeout=LONG_S)
    assert process.returncode == 130
    assert open_session(tmp_path / "a.t2h").closed
    assert not list(tmp_path.glob("a.t2h-*"))


@pytest.mark.skipif(shutil.which("Xvfb") is None, reason="needs Xvfb: sudo apt-get install xvfb")
def test_a_screen_that_dies_ends_the_program_with_everything_kept(program, tmp_path):
    ours, theirs = os.pipe()
    screen = subprocess.Popen(
        ["Xvfb", "-displayfd", str(theirs), "-screen", "0", "1280x800x24", "-nolisten", "tcp"],
        pass_fds=[theirs],
        stderr=subprocess.DEVNULL,
    )
    try:
        os.close(theirs)
        with os.fdopen(ours) as said:
            number = said.readline().strip()
        try:
            process = program(QT_QPA_PLATFORM="xcb", DISPLAY=f":{number}")
        except AssertionError as failed:
            if "needs system libraries" in str(failed):
                pytest.skip(str(failed))
            raise
        screen.kill()
        _, trouble = process.communicate(timeout=LONG_S)
    finally:
        screen.kill()
        screen.wait()
    assert process.returncode == 3
    assert "The screen is gone, so the program ends. Everything that was recorded is kept." in trouble
    assert open_session(tmp_path / "a.t2h").closed


class Left(Exception):
    """The program was ended, with a status."""


def leave(status: int) -> None:
    raise Left(status)


@pytest.mark.parametrize(
    "words",
    [
        "The X11 connection broke (error 1). Did the X11 server die?",
        "The Wayland connection broke. Did the Wayland compositor die?",
    ],
)
def test_what_qt_says_of_a_dead_screen_has_everything_kept_before_the_program_ends(words, capsys):
    kept = []
    watch = DisplayWatch(lambda: kept.append(True), leave)
    with pytest.raises(Left, match="3"):
        watch.hear(QtMsgType.QtWarningMsg, QMessageLogContext(), words)
    assert kept == [True]
    assert "The screen is gone" in capsys.readouterr().err


def test_what_else_qt_says_is_printed_and_ends_nothing(capsys):
    watch = DisplayWatch(lambda: pytest.fail("nothing is to be kept"), leave)
    watch.hear(QtMsgType.QtWarningMsg, QMessageLogContext(), "a font is missing")
    assert "a font is missing" in capsys.readouterr().err


def test_a_dead_screen_ends_the_program_even_where_keeping_fails():
    def fail() -> None:
        raise RuntimeError

    with pytest.raises(Left):
        DisplayWatch(fail, leave).hear(QtMsgType.QtWarningMsg, QMessageLogContext(), "The X11 connection broke")
