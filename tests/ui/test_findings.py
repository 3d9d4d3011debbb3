"""The page of findings."""

import re
from dataclasses import replace

import pytest
from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QGuiApplication, QImage
from PySide6.QtTest import QTest
from shiboken6 import isValid

from benchapp.desk.loading import load
from benchapp.presentation.ground.colours import ON_DARK, on_dark
from benchapp.presentation.ground.page import Cell, Column, KeyFigure, Table
from benchapp.presentation.ground.page import Signal as PageSignal
from benchapp.presentation.ground.safety import SAFETY
from benchapp.presentation.report_page.findings_page import build_page
from benchapp.presentation.report_page.verdict import verdict
from benchapp.presentation.screens.screen_parts import shared
from benchapp.records.run import Origin
from benchapp.ui.kept.steps import Step
from benchapp.ui.look.tokens import DARK, Type, contrast_ratio
from benchapp.ui.screens.findings.blocks import key_figure_widget
from benchapp.ui.screens.findings.sheet import SafetyFold
from benchapp.ui.widgets.figure_view import FigureView
from benchapp.ui.widgets.fold import Fold
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.table import PageTable
from benchapp.ui.widgets.table_view import TableView
from tests.presentation import builders
from tests.ui.fake_bench import fake_desk
from tests.ui.made_sessions import made_session


@pytest.fixture(scope="module")
def sessions(tmp_path_factory):
    folder = tmp_path_factory.mktemp("sessions")
    return {
        "birch": made_session(folder / "birch.t2h", "birch", flips=30),
        "few": made_session(folder / "few.t2h", "cedar", flips=7),
        "lossy": made_session(folder / "lossy.t2h", "cedar", flips=30, options="seed=3&dead=0.15"),
    }


@pytest.fixture
def showing(open_window, settle, qtbot, sessions):
    def showing(name, desk=None):
        window = open_window(desk)
        window.open_path(sessions[name])
        qtbot.waitUntil(lambda: window.workbench.session is not None, timeout=20000)
        settle(window)
        return window

    return showing


def words(widget):
    return [label.text() for label in widget.findChildren(PlainLabel)]


def top(window, text):
    """Return how far down the sheet a text stands."""
    sheet = window.pages.findings.sheet
    label = next(label for label in sheet.findChildren(PlainLabel) if label.text() == text)
    return label.mapTo(sheet, label.rect().topLeft()).y()


def test_nothing_yet_says_so_and_leads_to_the_tests(open_window, qtbot):
    window = open_window()
    window.go(Step.FINDINGS)
    assert window.pages.findings.empty.isVisible()
    assert not window.pages.findings.report_button.isVisible()
    qtbot.keyClick(window, Qt.Key.Key_Return)
    assert window.step is Step.TESTS


def test_safety_comes_first_then_the_verdict_then_the_figure(showing, sessions):
    window = showing("birch")
    run = load(sessions["birch"]).findings.runs[0]
    said = words(window.pages.findings.sheet)
    safety = next(text for text in said if "put back: not confirmed" in text)
    assert 0 <= top(window, safety) < top(window, verdict(run))
    figure = next(text for text in said if text.startswith("give or take"))
    assert top(window, verdict(run)) < top(window, figure)
    assert top(window, figure) < window.pages.findings.scroller.viewport().height()


def test_every_safety_note_is_one_press_away(showing, settle):
    window = showing("birch")
    fold = window.pages.findings.sheet.safety
    notes = [label for label in fold.findChildren(PlainLabel) if label.text() == SAFETY["lithium"].text]
    assert len(notes) == 1
    assert not notes[0].isVisible()
    fold.toggle.click()
    settle(window)
    assert notes[0].isVisible()


def test_what_can_hurt_stays_in_view_where_a_real_bench_was_used(theme, qtbot):
    for origin, stays in ((Origin.PROBE, True), (Origin.CAPTURE, True), (Origin.PRACTICE, False)):
        page = build_page(builders.facts(origin=origin), builders.findings(), [])
        fold = SafetyFold(theme, shared(page)["safety"], practice=page.practice)
        qtbot.addWidget(fold)
        fold.show()
        shown = {label.text() for label in fold.findChildren(PlainLabel) if label.isVisible()}
        hurting = {words.text for words in SAFETY.values() if words.signal is PageSignal.WARNING}
        assert (hurting <= shown, bool(hurting & shown)) == (stays, stays), origin
        assert SAFETY["one-supply"].text not in shown


def test_every_trial_is_a_dot_at_its_latency(showing, sessions):
    window = showing("birch")
    run = load(sessions["birch"]).findings.runs[0]
    points = window.pages.findings.sheet.dots._dots.points()
    drawn = {int(p.data()): p.pos().y() for p in points}
    assert drawn == {trial.flip: pytest.approx(trial.mid_ms) for trial in run.result.trials}
    said = window.pages.findings.sheet.dots.accessibleDescription().replace("\u00a0", " ")
    assert said.startswith(f"{len(run.result.trials)} of 30 flips answered")


def test_the_bands_of_the_plot_are_the_budgets_of_the_findings(showing, sessions):
    dots = showing("birch").pages.findings.sheet.dots
    latency = load(sessions["birch"]).findings.runs[0].result
    for band, figure in ((dots._band, latency.headline), (dots._any, latency.any_switch_on)):
        u = figure.expanded_uncertainty_ms
        assert band.getRegion() == pytest.approx((figure.value_ms - u, figure.value_ms + u))
        assert band.isVisible()


def test_the_arrow_keys_walk_from_flip_to_flip(showing, sessions):
    window = showing("birch")
    run = load(sessions["birch"]).findings.runs[0]
    dots = window.pages.findings.sheet.dots
    by_flip = {trial.flip: trial.mid_ms for trial in run.result.trials}
    for flip in (1, 2, 3):
        QTest.keyClick(dots, Qt.Key.Key_Right)
        if flip in by_flip:
            said = float(re.search(r"half-way ([\d.]+)", dots.words.text())[1])
            assert said == pytest.approx(by_flip[flip], abs=0.00051)
    QTest.keyClick(dots, Qt.Key.Key_Left)
    assert dots.words.text().startswith("Flip 2")


def test_the_plot_cannot_be_zoomed_and_its_unit_is_fixed(showing):
    plot = showing("birch").pages.findings.sheet.dots.plot
    assert plot.getPlotItem().getViewBox().state["mouseEnabled"] == [False, False]
    assert plot.getPlotItem().getAxis("left").labelString().count("(ms)") == 1
    assert "x0.0" not in plot.getPlotItem().getAxis("left").labelString()
    assert not plot.getPlotItem().menuEnabled()
    assert plot.viewport().focusPolicy() == Qt.FocusPolicy.NoFocus


def test_too_few_flips_are_called_too_few(showing):
    window = showing("few")
    said = " ".join(words(window.pages.findings.sheet)).replace("\u00a0", " ")
    assert "Not enough data: 7 of the 20 flips" in said


def test_what_comes_from_the_practice_bench_says_so_on_the_page_and_the_plot(showing):
    window = showing("birch")
    assert "PRACTICE, SIMULATED" in window.pages.findings.sentence.text()
    assert window.pages.findings.sheet.dots.mark.isVisible()


def test_the_report_is_asked_of_the_desk_for_the_session_on_screen(showing, sessions, tmp_path, qtbot):
    reports, shown = [], []
    window = showing("birch", fake_desk(reports=reports, shown=shown))
    window.workbench.write_report(tmp_path / "out")
    qtbot.waitUntil(window.pages.findings.written.isVisible)
    assert reports == [(sessions["birch"], tmp_path / "out", True)]
    assert shown == [tmp_path / "out" / "report.html"]
    assert str(tmp_path / "out") in window.pages.findings.written.accessibleName()


def test_a_session_that_was_stopped_early_says_what_was_kept(open_window, sessions, qtbot):
    desk = fake_desk()
    object.__setattr__(desk, "load", lambda path: replace(load(path), kept="was stopped early; 12 of 12 blocks good"))
    window = open_window(desk)
    window.open_path(sessions["few"])
    qtbot.waitUntil(window.banner.isVisible, timeout=20000)
    assert window.banner.title.text() == "This session was not closed"
    assert "was stopped early; 12 of 12 blocks good." in window.banner.body.text()
    assert window.step is Step.FINDINGS


def test_a_file_that_is_no_session_is_refused_in_the_bar(open_window, tmp_path, qtbot):
    window = open_window()
    path = tmp_path / "notes.t2h"
    path.write_text("no session")
    window.open_path(path)
    qtbot.waitUntil(window.banner.isVisible)
    assert window.step is Step.START
    assert window.workbench.session is None
    assert window.start.open_button.isEnabled()
    assert "Traceback" not in window.banner.details.text()


def test_a_table_is_copied_with_its_headings(qtbot):
    table = Table(
        key="k",
        caption="c",
        columns=(Column(title="Point"), Column(title="Mean", unit="ms", numeric=True)),
        rows=((Cell(text="half-way"), Cell(text="24.1")), (Cell(text="<b>x</b>"), Cell(text="–"))),
    )
    widget = PageTable(table)
    qtbot.addWidget(widget)
    widget.copy_chosen()
    assert QGuiApplication.clipboard().text() == "Point\tMean (ms)\nhalf-way\t24.1\n<b>x</b>\t–"
    html = QGuiApplication.clipboard().mimeData().html()
    assert "<th>Mean (ms)</th>" in html
    assert "&lt;b&gt;x&lt;/b&gt;" in html
    widget.selectRow(1)
    widget.copy_chosen()
    assert QGuiApplication.clipboard().text() == "Point\tMean (ms)\n<b>x</b>\t–"


def table_of(sheet, ending):
    return next(view.rows for view in sheet.findChildren(TableView) if view.key.endswith(ending))


def test_a_chosen_dot_opens_its_own_pulse_trains_and_its_row(showing):
    sheet = showing("birch").pages.findings.sheet
    first = sheet.closely.picture.figure
    assert "the one nearest to the figure" in first.caption
    sheet.dots.choose(7)
    assert sheet.closely.picture.figure.caption.startswith("Flip 7 (at ")
    assert sheet.closely.picture.figure.svg != first.svg
    rows = table_of(sheet, "trials")
    assert rows.item(rows.currentRow(), 0).text() == "7"


def test_a_row_of_the_table_opens_its_flip_as_well(showing):
    sheet = showing("birch").pages.findings.sheet
    rows = table_of(sheet, "trials")
    rows.setCurrentCell(2, 0)
    flip = int(rows.item(2, 0).text())
    assert sheet.closely.caption.text().startswith(f"Flip {flip} (at ")
    assert sheet.dots._chosen == flip


def test_a_flip_left_out_shows_its_trains_and_its_reason(showing, sessions):
    sheet = showing("lossy").pages.findings.sheet
    run = load(sessions["lossy"]).findings.runs[0]
    left_out = run.result.excluded[0]
    rows = table_of(sheet, "left-out")
    rows.setCurrentCell(0, 0)
    assert sheet.closely.caption.text().startswith(f"Flip {left_out.flip} (at ")
    assert "left out: " in sheet.closely.caption.text()
    assert sheet.dots._chosen == left_out.flip


def test_figures_take_the_colours_of_the_theme(showing, settle):
    window = showing("birch")
    picture = window.pages.findings.sheet.closely.picture
    assert picture.grab().toImage().pixelColor(3, 3).name() == "#ffffff"
    window.interior.preferences.change_look("dark")
    settle(window)
    assert picture.grab().toImage().pixelColor(3, 3).name() == DARK.card.lower()
    assert picture.image().pixelColor(3, 3).name() == "#ffffff"
    window.interior.preferences.change_look("light")


def test_every_colour_of_a_figure_has_its_counterpart_on_the_dark_ground(showing):
    sheet = showing("birch").pages.findings.sheet
    for view in sheet.findChildren(FigureView):
        drawn = set(re.findall(r"#[0-9A-F]{6}", view.picture.figure.svg))
        assert drawn <= {*ON_DARK, "#AA4499"}
        for colour in set(re.findall(r"#[0-9A-F]{6}", on_dark(view.picture.figure.svg))) - {DARK.card, DARK.hairline}:
            assert contrast_ratio(colour, DARK.card) >= 3.0, colour


def test_a_figure_is_saved_as_a_drawing_or_as_a_picture_of_twice_its_size(showing, tmp_path):
    view = showing("birch").pages.findings.sheet.closely
    view.write(tmp_path / "trains.svg")
    assert (tmp_path / "trains.svg").read_text() == view.picture.figure.svg
    view.write(tmp_path / "trains.png")
    image = QImage(str(tmp_path / "trains.png"))
    assert image.width() == 2 * round(view.picture.figure.width)
    assert str(tmp_path / "trains.png") in view.outcome.text()


def test_a_picture_that_cannot_be_written_says_so_and_leaves_nothing(showing, tmp_path):
    view = showing("birch").pages.findings.sheet.closely
    view.write(tmp_path / "nowhere" / "trains.png")
    assert "could not be written" in view.outcome.text()
    assert not (tmp_path / "nowhere").exists()


def test_how_it_was_computed_is_folded_until_asked_for(showing, settle):
    sheet = showing("birch").pages.findings.sheet
    fold = next(fold for fold in sheet.findChildren(Fold) if "definitions" in fold.toggle.text())
    assert not fold.content.isVisible()
    fold.toggle.click()
    assert fold.content.isVisible()
    assert any("IEEE" in text for text in words(fold.content))


def test_choosing_five_hundred_dots_leaves_nothing_behind(showing, qapp):
    sheet = showing("birch").pages.findings.sheet
    sheet.dots.choose(1)
    qapp.processEvents()
    before = len(sheet.findChildren(QObject))
    for number in range(500):
        sheet.dots.choose(1 + number % 30)
    qapp.processEvents()
    assert len(sheet.findChildren(QObject)) == before


def test_another_theme_paints_the_plot_anew(showing):
    window = showing("birch")
    dots = window.pages.findings.sheet.dots
    before = dots.plot.backgroundBrush().color().name()
    window.interior.preferences.change_look("dark")
    assert dots.plot.backgroundBrush().color().name() != before
    window.interior.preferences.change_look("light")
    assert dots.plot.backgroundBrush().color().name() == before


def test_sheets_that_were_replaced_are_deleted(showing, settle, qapp):
    window = showing("birch")
    sheet, dots = window.pages.findings.sheet, window.pages.findings.sheet.dots
    window.pages.findings.show_session(window.workbench.session)
    settle(window)
    qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert not isValid(sheet)
    assert not isValid(dots.plot)


@pytest.mark.parametrize(
    ("value", "pt"), [("24.06", Type.FIGURE), ("0.0927", Type.PROMPT), ("15\u00a0of\u00a020", Type.COUNT)]
)
def test_a_figure_stands_in_letters_that_its_card_holds_and_a_count_is_not_as_large(theme, qtbot, value, pt):
    card = key_figure_widget(KeyFigure(label="Wander", value=value, unit="µs", spread="give or take", lines=()))
    qtbot.addWidget(card)
    shown = next(label for label in card.findChildren(PlainLabel) if label.text() == value)
    assert shown.font().pointSizeF() == pytest.approx(pt)
