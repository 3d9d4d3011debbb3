"""The page of findings."""

import re
from dataclasses import replace

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QObject, QPoint, QPointF, Qt
from PySide6.QtGui import QGuiApplication, QImage, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton
from shiboken6 import isValid

from benchapp.desk.findings import page_of
from benchapp.desk.loading import load
from benchapp.presentation.ground.colours import ON_DARK, on_dark
from benchapp.presentation.ground.page import Cell, Column, KeyFigure, Table
from benchapp.presentation.ground.safety import SAFETY
from benchapp.presentation.report_page.findings_page import build_page
from benchapp.presentation.report_page.findings_view import WARNING
from benchapp.presentation.report_page.first_sheet import sheet_verdict
from benchapp.records.run import Origin
from benchapp.ui.kept.steps import Step
from benchapp.ui.link.open_session import ReadSession
from benchapp.ui.look.tokens import DARK, Type, contrast_ratio
from benchapp.ui.screens.findings.blocks import key_figure_widget
from benchapp.ui.screens.findings.sheet import FindingsSheet
from benchapp.ui.widgets.figure_view import FigureView
from benchapp.ui.widgets.fold import Fold
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.table import PageTable
from benchapp.ui.widgets.table_view import TableView
from tests.ui.fake_bench import LOAD, fake_desk
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
        qtbot.waitUntil(lambda: window.session.now is not None, timeout=20000)
        settle(window)
        return window

    return showing


def words(widget):
    return [label.text() for label in widget.findChildren(PlainLabel)]


def opened(window, part="every"):
    """Open a part behind the first screen."""
    window.pages.findings.sheet.open(part)
    return window.pages.findings.sheet


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


def test_the_first_screen_holds_verdict_figure_dots_ruler_and_the_ways_behind(showing, sessions):
    window = showing("birch")
    findings = window.pages.findings
    sheet = findings.sheet
    run = load(sessions["birch"]).findings.runs[0]
    seen_px = findings.scroller.viewport().height()
    assert sheet.verdict.text() == sheet_verdict(run)
    ruler, dots, foot = sheet.ruler, sheet.dots, sheet.foot
    tops = [widget.mapTo(sheet, QPoint()).y() for widget in (sheet.verdict, dots, ruler, *sheet.buttons[:1], foot)]
    assert tops == sorted(tops)
    assert foot.mapTo(sheet, foot.rect().bottomLeft()).y() <= seen_px
    for words_of_a_band in ("this switch-on", "any switch-on (one was tried)"):
        assert top(window, words_of_a_band) < seen_px
    assert "put back: not confirmed" not in foot.text()
    assert "no statement that anything is fit to fly. Put it back: not confirmed" in foot.text()


def test_the_first_screen_has_at_most_120_words(showing):
    findings = showing("birch").pages.findings
    shown = [label.text() for label in findings.findChildren(PlainLabel) if label.isVisible()]
    shown += [made.text() for made in findings.findChildren(QPushButton) if made.isVisible()]
    assert 60 <= sum(len(text.split()) for text in shown) <= 120


def test_the_bench_with_a_motor_is_warned_of_first(theme, qtbot, sessions):
    loaded = load(sessions["birch"])
    real = replace(loaded, facts=replace(loaded.facts, origin=Origin.PROBE))
    page = build_page(real.facts, real.findings, real.runs)
    sheet = FindingsSheet(theme, ReadSession(path=sessions["birch"], loaded=real, page=page), real.findings.runs[0])
    qtbot.addWidget(sheet)
    said = words(sheet)
    assert said.index(WARNING) < said.index(sheet.verdict.text())
    sheet.open("tested")
    assert SAFETY["lithium"].text in words(sheet.part)


def test_a_part_behind_opens_at_a_press_and_is_open_again_in_the_next_session(showing, settle):
    window = showing("birch")
    findings = window.pages.findings
    assert findings.sheet.part is None
    assert [made.text() for made in findings.sheet.buttons] == [
        "Every flip", "Where the time goes", "How sure", "What was tested", "How it was computed",
    ]  # fmt: skip
    findings.sheet.buttons[2].click()
    assert any("No answer straggled" in text for text in words(findings.sheet.part))
    findings.show_session(window.session.now)
    settle(window)
    assert any("No answer straggled" in text for text in words(findings.sheet.part))


def test_names_of_statistics_stand_only_in_the_last_part(showing):
    sheet = showing("birch").pages.findings.sheet
    names = re.compile(r"standard (deviation|uncertainty)|Rayleigh|Kuiper|expanded uncertainty|degrees of freedom")
    found = {}
    for tab in sheet.tabs:
        sheet.open(tab.key)
        found[tab.key] = bool(names.search(" ".join(words(sheet.part))))
    assert found == {"every": False, "time": False, "sure": False, "tested": False, "computed": True}


def test_another_speed_draws_another_ruler_and_goes_with_the_report(showing, sessions, tmp_path, qtbot):
    reports = []
    window = showing("birch", fake_desk(reports=reports))
    ruler = window.pages.findings.sheet.ruler
    before = ruler.picture.figure.svg
    ruler.speed.set_value(35)
    assert "At 35\u00a0m/s" in ruler.sentence.text()
    assert ruler.picture.figure.svg != before
    assert window.session.flight.speed_m_per_s == 35.0
    window.pages.findings.show_session(window.session.now)
    assert window.pages.findings.sheet.ruler.speed.value() == 35


def test_every_trial_is_a_dot_at_its_latency(showing, sessions):
    window = showing("birch")
    run = load(sessions["birch"]).findings.runs[0]
    points = window.pages.findings.sheet.dots._dots.points()
    drawn = {int(p.data()): p.pos().y() for p in points}
    assert drawn == {trial.flip: pytest.approx(trial.mid_ms) for trial in run.result.trials}
    said = window.pages.findings.sheet.dots.accessibleDescription()
    assert said.startswith(f"{len(run.result.trials)} flips as dots")


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


def test_the_plot_is_zoomed_with_ctrl_moved_and_shown_whole_again_and_its_unit_is_fixed(showing):
    dots = showing("birch").pages.findings.sheet.dots
    plot = dots.plot
    assert plot.getPlotItem().getViewBox().state["mouseEnabled"] == [True, True]
    whole = plot.getPlotItem().viewRange()
    wheel(dots, Qt.KeyboardModifier.NoModifier)
    assert plot.getPlotItem().viewRange() == whole
    wheel(dots, Qt.KeyboardModifier.ControlModifier)
    assert plot.getPlotItem().viewRange() != whole
    QTest.mouseDClick(plot.viewport(), Qt.MouseButton.LeftButton)
    for now, before in zip(plot.getPlotItem().viewRange(), whole, strict=True):
        assert now == pytest.approx(before)
    assert plot.getPlotItem().getAxis("left").labelString().count("(ms)") == 1
    assert "x0.0" not in plot.getPlotItem().getAxis("left").labelString()
    assert not plot.getPlotItem().menuEnabled()
    assert plot.viewport().focusPolicy() == Qt.FocusPolicy.NoFocus


def wheel(dots, held):
    place = QPointF(dots.plot.viewport().rect().center())
    turned = QWheelEvent(
        place, dots.plot.viewport().mapToGlobal(place), QPoint(), QPoint(0, 120), Qt.MouseButton.NoButton, held,
        Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QCoreApplication.sendEvent(dots.plot.viewport(), turned)


def test_the_plot_shows_the_spots_and_bands_of_the_printed_figure(showing, sessions):
    loaded = load(sessions["birch"])
    printed = next(block for block in page_of(loaded).blocks if getattr(block, "key", "") == "dots")
    dots = showing("birch").pages.findings.sheet.dots
    drawn = {(int(p.data()), p.pos().x(), p.pos().y()) for p in dots._dots.points()}
    assert drawn == {(spot.flip, spot.x, spot.y) for spot in printed.plot.spots if spot.kind != "out"}
    assert [band.getRegion() for band in (dots._band, dots._any)] == [
        pytest.approx((low, high)) for low, high, _ in printed.plot.bands
    ]
    point = dots._dots.points()[4]
    assert dots._tip(0.0, 0.0, point.data()).startswith(f"Flip {int(point.data())}, ")


def test_too_few_flips_are_called_too_few(showing):
    window = showing("few")
    said = " ".join(words(window.pages.findings.sheet)).replace("\u00a0", " ")
    assert "Not enough data: 7 of the 20 flips" in said


def test_what_comes_from_the_practice_bench_says_so_on_the_page_and_the_plot(showing):
    window = showing("birch")
    assert "PRACTICE, SIMULATED" not in window.pages.findings.sentence.text()  # the strip and the plot say so
    assert window.pages.findings.sheet.dots.mark.isVisible()


def test_the_report_is_asked_of_the_desk_for_the_session_on_screen(showing, sessions, tmp_path, qtbot):
    reports, shown = [], []
    window = showing("birch", fake_desk(reports=reports, shown=shown))
    window.session.write_report(tmp_path / "out")
    qtbot.waitUntil(window.pages.findings.written.isVisible)
    assert reports == [(sessions["birch"], tmp_path / "out", True)]
    assert shown == [tmp_path / "out" / "report.html"]
    assert str(tmp_path / "out") in window.pages.findings.written.accessibleName()


def test_a_session_that_was_stopped_early_says_what_was_kept(open_window, sessions, qtbot):
    desk = fake_desk()
    desk[LOAD] = lambda path: replace(load(path), kept="was stopped early; 12 of 12 blocks good")
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
    assert window.session.now is None
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
    sheet = opened(showing("birch"))
    first = sheet.closely.picture.figure
    assert "the one nearest to the figure" in first.caption
    sheet.dots.choose(7)
    assert sheet.closely.picture.figure.caption.startswith("Flip 7 (at ")
    assert sheet.closely.picture.figure.svg != first.svg
    rows = table_of(sheet, "trials")
    assert rows.item(rows.currentRow(), 0).text() == "7"


def test_a_row_of_the_table_opens_its_flip_as_well(showing):
    sheet = opened(showing("birch"))
    rows = table_of(sheet, "trials")
    rows.setCurrentCell(2, 0)
    flip = int(rows.item(2, 0).text())
    assert sheet.closely.caption.text().startswith(f"Flip {flip} (at ")
    assert sheet.dots._chosen == flip


def test_a_flip_left_out_shows_its_trains_and_its_reason(showing, sessions):
    sheet = opened(showing("lossy"))
    run = load(sessions["lossy"]).findings.runs[0]
    left_out = run.result.excluded[0]
    rows = table_of(sheet, "left-out")
    rows.setCurrentCell(0, 0)
    assert sheet.closely.caption.text().startswith(f"Flip {left_out.flip} (at ")
    assert "left out: " in sheet.closely.caption.text()
    assert sheet.dots._chosen == left_out.flip


def test_figures_take_the_colours_of_the_theme(showing, settle):
    window = showing("birch")
    picture = opened(window).closely.picture
    assert picture.grab().toImage().pixelColor(3, 3).name() == "#ffffff"
    window.interior.preferences.change_look("dark")
    settle(window)
    assert picture.grab().toImage().pixelColor(3, 3).name() == DARK.card.lower()
    assert picture.image().pixelColor(3, 3).name() == "#ffffff"
    window.interior.preferences.change_look("light")


def test_every_colour_of_a_figure_has_its_counterpart_on_the_dark_ground(showing):
    sheet = opened(showing("birch"))
    for view in sheet.findChildren(FigureView):
        drawn = set(re.findall(r"#[0-9A-F]{6}", view.picture.figure.svg))
        assert drawn <= {*ON_DARK, "#AA4499"}
        for colour in set(re.findall(r"#[0-9A-F]{6}", on_dark(view.picture.figure.svg))) - {DARK.card, DARK.hairline}:
            assert contrast_ratio(colour, DARK.card) >= 3.0, colour


def test_a_figure_is_saved_as_a_drawing_or_as_a_picture_of_twice_its_size(showing, tmp_path):
    view = opened(showing("birch")).closely
    view.write(tmp_path / "trains.svg")
    assert (tmp_path / "trains.svg").read_text() == view.picture.figure.svg
    view.write(tmp_path / "trains.png")
    image = QImage(str(tmp_path / "trains.png"))
    assert image.width() == 2 * round(view.picture.figure.width)
    assert str(tmp_path / "trains.png") in view.outcome.text()


def test_a_picture_that_cannot_be_written_says_so_and_leaves_nothing(showing, tmp_path):
    view = opened(showing("birch")).closely
    view.write(tmp_path / "nowhere" / "trains.png")
    assert "could not be written" in view.outcome.text()
    assert not (tmp_path / "nowhere").exists()


def test_how_it_was_computed_is_folded_until_asked_for(showing, settle):
    window = showing("birch")
    sheet = opened(window, "computed")
    fold = next(fold for fold in sheet.findChildren(Fold) if "definitions" in fold.toggle.text())
    assert not fold.content.isVisible()
    settle(window)
    fold.toggle.click()
    assert fold.content.isVisible()
    assert any("IEEE" in text for text in words(fold.content))


def test_choosing_five_hundred_dots_leaves_nothing_behind(showing, qapp):
    sheet = opened(showing("birch"))
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
    window.pages.findings.show_session(window.session.now)
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
