"""Copying leaves the program able to end, and leaves the system's clipboard alone."""

import os
import subprocess
import sys
from pathlib import Path

from PySide6.QtGui import QGuiApplication

from benchapp.ui.widgets.clipboard import close_clipboard, copy_table, copy_text

CODE = """
import sys
from PySide6.QtCore import QTimer
from benchapp.app.window_program import WindowProgram
from benchapp.presentation.ground.page import Cell, Column, Table
from benchapp.ui.widgets.table import PageTable

program = WindowProgram(None)

def copy_and_leave():
    table = Table(key="k", caption="c", columns=(Column(title="Point"),), rows=((Cell(text="half-way"),),))
    PageTable(table, program.window).copy_all()
    print(program.app.clipboard().text().splitlines())
    program.window.close()

QTimer.singleShot(100, copy_and_leave)
program._import_plots = lambda: None
sys.exit(program.run())
"""


def run(*words, tmp_path):
    places = {f"XDG_{name}_HOME": str(tmp_path / name.lower()) for name in ("CONFIG", "DATA", "STATE", "CACHE")}
    environment = os.environ | places | {"QT_QPA_PLATFORM": "offscreen"}
    return subprocess.run(
        [sys.executable, *words],
        env=environment,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
        cwd=Path(__file__).parents[2],
    )


def test_a_program_that_copied_a_table_ends_without_a_crash(tmp_path):
    done = run("-c", CODE, tmp_path=tmp_path)
    assert done.stdout.splitlines() == ["['Point', 'half-way']"], done.stderr
    assert done.returncode == 0


def test_tests_that_copy_a_table_end_without_a_crash(tmp_path):
    words = ("-m", "pytest", "-q", "-p", "no:cacheprovider", "tests/ui/test_findings.py", "-k", "is_copied")
    done = run(*words, tmp_path=tmp_path)
    assert "1 passed" in done.stdout, done.stdout + done.stderr
    assert done.returncode == 0


def test_where_the_clipboard_is_the_system_s_what_was_copied_stays(qapp, monkeypatch):
    copy_text("a rule")
    monkeypatch.setattr(QGuiApplication, "platformName", lambda: "xcb")
    close_clipboard()
    assert QGuiApplication.clipboard().text() == "a rule"
    monkeypatch.undo()
    copy_table("a\tb", "<table></table>")
    close_clipboard()
    assert QGuiApplication.clipboard().text() == ""
