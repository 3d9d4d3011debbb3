"""The findings of sweeps and holds in the window: figure and drawing side by side, tables to copy, pictures to save."""

import pytest
from PySide6.QtGui import QGuiApplication, QImage

from benchapp.desk.loading import load
from benchapp.presentation.report_page.verdict import verdict
from benchapp.ui.screens.findings.dot_plot import DotPlot
from benchapp.ui.widgets.figure_view import FigureView
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.table_view import TableView
from tests.ui.made_sessions import made_session, made_stick_session
from tests.whole.mixed_session import FLIPS, HOLD, SWEEP, record_mixed


@pytest.fixture(scope="module")
def sessions(tmp_path_factory):
    folder = tmp_path_factory.mktemp("sessions")
    record_mixed(
        "practice://birch?seed=9&motion=none",
        folder / "mixed.t2h",
        name="All",
        started="2026-11-25T10:00:00+01:00",
        parts=[FLIPS, SWEEP, HOLD],
        bench={},
    )
    return {
        "flips": made_session(folder / "flips.t2h", flips=30),
        "sweep": made_stick_session(folder / "sweep.t2h", "stick-sweep", cycles=3),
        "stops": made_stick_session(
            folder / "stops.t2h", "stick-sweep", cycles=3, stops_deg=(-30.0, -15.0, 0.0, 15.0, 30.0)
        ),
        "hold": made_stick_session(folder / "hold.t2h", "hold-still", seconds=10.0),
        "mixed": folder / "mixed.t2h",
    }


@pytest.fixture
def showing(open_window, settle, qtbot, sessions):
    def showing(name):
        window = open_window(None)
        window.open_path(sessions[name])
        qtbot.waitUntil(lambda: window.session.now is not None, timeout=20000)
        settle(window)
        return window

    return showing


def words(widget) -> list[str]:
    return [label.text() for label in widget.findChildren(PlainLabel)]


def drawn(widget) -> list[str]:
    return [view.picture.figure.key for view in widget.findChildren(FigureView)]


def height_of(sheet, part) -> int:
    return part.mapTo(sheet, part.rect().topLeft()).y()


@pytest.mark.parametrize(
    ("name", "beside", "figures"),
    [
        ("sweep", "transfer", {"deviation", "transfer", "staircase"}),
        ("stops", "transfer", {"deviation", "transfer"}),
        ("hold", "hold", {"hold"}),
    ],
)
def test_verdict_and_drawing_are_seen_without_scrolling_the_definition_behind(showing, sessions, name, beside, figures):
    window = showing(name)
    sheet, page = window.pages.findings.sheet, window.pages.findings.scroller.viewport().height()
    run = load(sessions[name]).findings.runs[0]
    said = {label.text(): height_of(sheet, label) for label in sheet.findChildren(PlainLabel)}
    assert 0 <= said[verdict(run)] < page
    sheet.open("sure" if name != "hold" else "computed")
    behind = [label.text() for label in sheet.part.findChildren(PlainLabel)]
    assert any(text.startswith(("Straightness (best line): half", "Spread: the standard deviation")) for text in behind)
    assert sheet.findChildren(DotPlot) == []
    sheet.open("every")
    shown = drawn(sheet)
    assert shown[0] == beside
    assert set(shown) == figures
    assert len(shown) == len(figures)
    views = sheet.findChildren(FigureView)
    assert height_of(sheet, views[0]) < page


def test_every_drawing_can_be_saved_as_a_drawing_and_as_a_picture_of_twice_its_size(showing, tmp_path):
    sheet = showing("sweep").pages.findings.sheet
    sheet.open("every")
    assert len(sheet.findChildren(FigureView)) == 3
    for view in sheet.findChildren(FigureView):
        figure = view.picture.figure
        svg, png = tmp_path / f"{figure.key}.svg", tmp_path / f"{figure.key}.png"
        view.write(svg)
        assert svg.read_text(encoding="utf-8") == figure.svg
        view.write(png)
        image = QImage(str(png))
        assert (image.width(), image.height()) == (2 * round(figure.width), 2 * round(figure.height))


def test_the_live_dots_can_be_saved_as_a_picture_of_twice_their_size(showing, tmp_path):
    dots = showing("flips").pages.findings.sheet.dots
    path = tmp_path / "dots.png"
    dots.write(path)
    image = QImage(str(path))
    assert image.width() == 2 * dots.drawing.width()
    assert image.height() == 2 * dots.drawing.height()
    colours = {image.pixelColor(x, y).name() for x in range(0, image.width(), 3) for y in range(0, image.height(), 3)}
    assert dots._theme.colour("output").name() in colours
    assert str(path) in dots.words.text()


def test_a_table_of_positions_is_copied_as_text_and_as_html(showing, sessions):
    sheet = showing("sweep").pages.findings.sheet
    sheet.open("every")
    table = next(view for view in sheet.findChildren(TableView) if view.key == "positions")
    table.copy.click()
    data = QGuiApplication.clipboard().mimeData()
    lines = data.text().splitlines()
    assert len(lines) == 52
    assert lines[0].split("\t")[:3] == ["Position (no.)", "Stick (V)", "Coming up (µs)"]
    assert data.html().count("<tr>") == 52
    found = load(sessions["sweep"]).findings.runs[0].result
    assert float(lines[1].split("\t")[2]) == pytest.approx(found.curve.up_us[0], abs=0.006)


def test_a_session_of_three_tests_shows_one_at_a_time_the_newest_first(showing, settle):
    window = showing("mixed")
    runs = window.pages.findings.runs
    assert [runs.itemText(i) for i in range(runs.count())] == [
        "Run 1: Switch to servo pulse, complete",
        "Run 2: Stick sweep, complete",
        "Run 3: Hold still, complete",
    ]
    assert drawn(window.pages.findings.sheet) == ["hold"]
    window.pages.findings.sheet.open("every")
    for number, key in ((1, "transfer"), (0, "trains")):
        runs.setCurrentIndex(number)
        runs.activated.emit(number)
        settle(window)
        assert drawn(window.pages.findings.sheet)[0] == key
    assert window.pages.findings.sheet.dots is not None


def test_a_row_of_a_stick_s_table_can_be_gone_to(showing, settle):
    window = showing("sweep")
    window.pages.findings.sheet.open("every")
    table = next(view for view in window.pages.findings.sheet.findChildren(TableView) if view.key == "strokes")
    table.rows.setCurrentCell(1, 0)
    settle(window)
    assert table.rows.currentRow() == 1
