"""The window of a system with a decimal comma: numbers on screen have it, files and typed numbers bear either."""

import os
import subprocess
import sys
from contextvars import copy_context

import pytest
from PySide6.QtCore import QLocale, QObject
from PySide6.QtGui import QGuiApplication, QValidator

from benchapp.desk.reporting import write_report
from benchapp.presentation.flips.dots import dots
from benchapp.presentation.ground.numbers import decimal_mark, use_decimal_mark, written_with
from benchapp.presentation.ground.page import Cell, Column, Table
from benchapp.ui.link.bridge import Bridge
from benchapp.ui.screens.findings.dot_plot import DotPlot
from benchapp.ui.widgets.decimal_validator import DecimalValidator
from benchapp.ui.widgets.table_view import TableView
from benchapp.ui.widgets.time_axis import TimeAxis
from tests.presentation import builders
from tests.ui.made_sessions import made_session

CODE = """
import sys
from pathlib import Path
from PySide6.QtCore import QTimer
from benchapp.app.window_program import WindowProgram
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.table_view import TableView

program = WindowProgram(Path(sys.argv[1]))
window, done = program.window, []

def look():
    if window.session.now is None or done:
        return
    done.append(True)
    sheet = window.pages.findings.sheet
    print(next(label.text() for label in sheet.findChildren(PlainLabel) if label.text().startswith("±")))
    sheet.open("every")
    print(next(view for view in sheet.findChildren(TableView) if view.key.endswith("trials")).rows.item(0, 4).text())
    window.session.report_written.connect(lambda folder: window.close())
    window.session.write_report(Path(sys.argv[2]))

watch = QTimer(program)
watch.timeout.connect(look)
watch.start(50)
sys.exit(program.run())
"""


@pytest.fixture
def session(tmp_path):
    return made_session(tmp_path / "birch.t2h", "birch", flips=24)


@pytest.mark.parametrize(("language", "mark"), [("de_DE.UTF-8", ","), ("en_GB.UTF-8", ".")])
def test_the_window_writes_as_the_system_does_and_its_report_as_every_report(tmp_path, session, language, mark):
    places = {f"XDG_{name}_HOME": str(tmp_path / name.lower()) for name in ("CONFIG", "DATA", "STATE", "CACHE")}
    environment = os.environ | places | {"QT_QPA_PLATFORM": "offscreen", "LC_ALL": language, "LANG": language}
    done = subprocess.run(
        [sys.executable, "-c", CODE, str(session), str(tmp_path / "window")],
        env=environment, capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    give_or_take, mid_ms = done.stdout.splitlines()
    number = give_or_take.split("\u00a0")[1]
    for text in (number, mid_ms):
        assert text.replace(mark, "", 1).isdigit(), done.stdout
    write_report(session, tmp_path / "plain", pdf=False)
    for name in ("report.html", "findings.json", "trials.csv"):
        assert (tmp_path / "window" / name).read_text() == (tmp_path / "plain" / name).read_text()


def test_what_the_worker_makes_has_the_window_s_mark(qapp, qtbot):
    own, made = copy_context(), []
    parent = QObject()
    bridge = Bridge(parent)
    own.run(use_decimal_mark, ",")
    own.run(bridge.submit, decimal_mark, done=made.append, failed=made.append)
    bridge.submit(decimal_mark, done=made.append, failed=made.append)
    qtbot.waitUntil(lambda: len(made) == 2)
    bridge.shut()
    qtbot.waitUntil(lambda: bridge.gone)
    parent.deleteLater()
    assert made == [",", "."]


def test_scales_have_the_mark(theme, qtbot):
    with written_with(","):
        plot, scale = DotPlot(theme), TimeAxis(theme)
        for made in (plot, scale):
            qtbot.addWidget(made)
        scale.show_window(0.2)
        assert scale.labels()[:2] == ["−0,2 s", "−0,15 s"]
        drawn = dots(builders.latency(), practice=False)
        assert drawn is not None
        plot.show_figure(drawn, str, practice=False)
        left = plot.plot.getPlotItem().getAxis("left")
        assert left.tickStrings([24.0, 24.5], 1.0, 0.5) == ["24,0", "24,5"]


@pytest.mark.parametrize("language", ["de", "en", "ar"])
def test_a_number_is_typed_with_a_point_or_a_comma_wherever(qapp, language):
    before = QLocale()
    QLocale.setDefault(QLocale(language))
    try:
        validator = DecimalValidator(0.01, 1000.0, places=3)
    finally:
        QLocale.setDefault(before)
    states = QValidator.State
    for text in ("0.5", "0,5", "12", "999,125"):
        assert validator.validate(text, len(text)) == (states.Acceptable, text, len(text))
    for text in ("0,5,5", "1.2,3", "x", "0,1234", "1e3"):
        assert validator.validate(text, len(text))[0] is states.Invalid, text
    assert validator.validate("0,", 2)[0] is not states.Invalid


def test_a_table_is_copied_for_a_spreadsheet_by_a_button_of_its_own(qtbot):
    table = Table(
        key="k",
        caption="c",
        columns=(Column(title="Why −"), Column(title="Late", unit="ms", numeric=True)),
        rows=((Cell(text="−a b"), Cell(text="−1\u202f234,5")), (Cell(text="x"), Cell(text="–"))),
    )
    view = TableView(table)
    qtbot.addWidget(view)
    view.for_spreadsheet.click()
    assert QGuiApplication.clipboard().text() == "Why −\tLate (ms)\n−a b\t-1234,5\nx\t–"
    assert "<td>-1234,5</td>" in QGuiApplication.clipboard().mimeData().html()
    view.copy.click()
    assert "−1\u202f234,5" in QGuiApplication.clipboard().text()
