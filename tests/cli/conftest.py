"""Calls of the command line, and one recorded session for all of them."""

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from benchapp.__main__ import run


@dataclass(frozen=True, kw_only=True, slots=True)
class Called:
    """What came of a call."""

    status: int
    out: str
    err: str


Call = Callable[..., Called]


@pytest.fixture
def call(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Call:
    """Make a call in this process; one that would open the window, and wait for it, fails instead."""

    def no_window(session: str | None, *, bench: str = "") -> int:
        pytest.fail(f"a window would have been opened for {session or bench or 'nothing'}")

    monkeypatch.setattr("benchapp.app.main.run", no_window)

    def make(*words: object) -> Called:
        capsys.readouterr()
        status = run([str(word) for word in words])
        captured = capsys.readouterr()
        assert "Traceback" not in captured.err
        return Called(status=status, out=captured.out, err=captured.err)

    return make


@pytest.fixture(scope="session")
def recorded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("recorded") / "a.t2h"
    words = ["record", "--probe", "practice://alder?seed=31", "--test", "switch-flip", "--flips", "22", "--yes-safe"]
    assert run([*words, "--out", str(path)]) == 0
    return path


@pytest.fixture
def session(recorded: Path, tmp_path: Path) -> Path:
    """A session of the test's own, alone in its folder."""
    return Path(shutil.copy(recorded, tmp_path / "a.t2h"))
