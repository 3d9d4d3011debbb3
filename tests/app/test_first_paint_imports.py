"""What the first paint need not wait for is loaded after it."""

import subprocess
import sys

import pytest

LATER = (
    "pyqtgraph",
    "sqlite3",
    "serial",
    "jinja2",
    "benchapp.reduction",
    "benchapp.sessions",
    "benchapp.probe.practice",
    "benchapp.ui.window.pages",
    "benchapp.ui.window.interior",
)


@pytest.fixture(scope="module")
def loaded():
    code = "import sys, benchapp.app.window_program; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return done.stdout.split()


@pytest.mark.parametrize("part", LATER)
def test_it_is_not_loaded_before_the_window_can_be_seen(loaded, part):
    assert "benchapp.ui.window.main_window" in loaded
    assert [name for name in loaded if name == part or name.startswith(f"{part}.")] == []
