"""How often the screen changes, how wide the ring of the keyboard is, what stands out, what a table's keys copy."""

import time

import pytest
from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QLineEdit, QListWidget, QTableWidget

from benchapp.presentation.ground.messages import message_for
from benchapp.presentation.ground.page import Cell, Column, Table
from benchapp.records.errors import PortBusy
from benchapp.records.run import Origin
from benchapp.ui.kept.steps import Step
from benchapp.ui.link.bridge import Bridge
from benchapp.ui.look.theme import apply_theme
from benchapp.ui.look.tokens import DARK, LIGHT, contrast_ratio
from benchapp.ui.widgets.choice_box import ChoiceBox
from benchapp.ui.widgets.table import PageTable
from benchapp.ui.widgets.tick_box import TickBox
from tests.ui.fake_bench import FakeRecording, pulses

SECOND = 1_000_000_000
LEAST_RING_PX = 3
"""What is promised of the ring round what the keyboard acts on."""


@pytest.fixture
def shown_in(theme, qapp):
    """Put a theme in force for a test, and the light one back."""
    yield lambda tokens: apply_theme(qapp, theme, tokens)
    apply_theme(qapp, theme, LIGHT)


def test_the_picture_changes_at_most_thirty_times_a_second_and_words_at_most_four(qapp, qtbot):
    parent, recording = QObject(), FakeRecording()
    bridge, frames_s, tellings_s = Bridge(parent), [], []
    bridge.status_taken.connect(lambda _status: recording.feed.push(pulses(0, from_ns=0, to_ns=SECOND // 30)))
    bridge.frame.connect(lambda: frames_s.append(time.monotonic()))
    bridge.telling.connect(lambda: tellings_s.append(time.monotonic()))
    begun_s = time.monotonic()  # a tick may come late, and the next one in time: counted from here, never too many
    bridge.attach(recording)
    qtbot.waitUntil(lambda: len(tellings_s) >= 4, timeout=20000)
    bridge.shut()
    qtbot.waitUntil(lambda: bridge.gone)
    parent.deleteLater()
    for moments, most_hz in ((frames_s, 30.5), (tellings_s, 4.05)):  # the timer counts whole milliseconds
        assert len(moments) >= 4
        assert (len(moments) - 1) / (moments[-1] - begun_s) <= most_hz


def test_a_sentence_below_a_lane_holds_still_long_enough_to_be_read(practising, settle, qtbot):
    window, recording = practising(FakeRecording(Origin.PROBE))
    window.go(Step.LEADS)
    settle(window)
    said, began_s, told = [], time.monotonic(), []

    def change():
        long = 1_000_000 + 40_000 * (len(told) % 20)
        now = SECOND + len(told) * SECOND // 30
        recording.feed.push(pulses(0, from_ns=now, to_ns=now + SECOND // 30, pulse_ns=long))
        told.append(now)
        row = window.pages.leads.lanes.row_of("output")
        if row is not None and (not said or said[-1] != row.sentence.text()):
            said.append(row.sentence.text())

    window.bridge.status_taken.connect(change)
    qtbot.waitUntil(lambda: len(said) >= 5, timeout=20000)
    window.bridge.status_taken.disconnect(change)
    assert (len(said) - 2) / (time.monotonic() - began_s) <= 4.05  # the first words, and the next ones, come at once


def ring_px(widget, colour):
    """Return how many pixels of a colour stand at a widget's left edge, half-way down."""
    image = widget.grab().toImage()
    row = [image.pixelColor(x, image.height() // 2).name() for x in range(12)]
    return next((place for place, found in enumerate(row) if found != colour.lower()), len(row))


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=lambda tokens: tokens.name)
def test_the_ring_of_the_keyboard_is_three_pixels_wide_on_all_that_takes_it(practising, settle, shown_in, tokens):
    window, _ = practising(FakeRecording(Origin.PROBE))
    shown_in(tokens)
    window.go(Step.BENCH)
    settle(window)
    bench, tests = window.pages.bench, window.pages.tests.choice
    kinds = [bench.fields["transmitter"], next(iter(bench.answers.values())), bench.next_button, window.rail.help]
    walk(kinds, settle, window, tokens)
    window.go(Step.TESTS)
    tests.cards["switch-flip"].choose.click()
    settle(window)
    walk([tests.sounds, tests.options["switch-flip"].flips, tests.safe_button], settle, window, tokens)
    assert {type(widget) for widget in kinds} >= {QLineEdit, ChoiceBox}
    assert isinstance(tests.sounds, TickBox)


def walk(widgets, settle, window, tokens):
    for widget in widgets:
        assert widget.isVisible(), widget
        assert widget.isEnabled(), widget
        widget.clearFocus()
        settle(window)
        assert ring_px(widget, tokens.action) != LEAST_RING_PX, widget
        widget.setFocus()
        settle(window)
        assert ring_px(widget, tokens.action) == LEAST_RING_PX, widget


@pytest.mark.parametrize("made", [QListWidget, lambda: QTableWidget(2, 2)], ids=["list", "table"])
def test_lists_and_tables_have_the_ring_too(open_window, settle, made):
    window = open_window()
    widget = made()
    widget.setParent(window.centralWidget())
    widget.setGeometry(300, 100, 200, 120)
    widget.show()
    widget.setFocus()
    settle(window)
    assert ring_px(widget, LIGHT.action) == LEAST_RING_PX
    widget.deleteLater()


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=lambda tokens: tokens.name)
def test_the_colours_of_verdicts_stand_out_as_marks_on_every_ground(tokens):
    # WCAG 2.2, 1.4.11: 3 to 1 for graphics
    for ground in (tokens.paper, tokens.card, tokens.plot):
        for mark in (tokens.inside, tokens.outside, tokens.cannot_tell):
            assert contrast_ratio(mark, ground) >= 3.0, (mark, ground)
    assert len({tokens.inside, tokens.outside, tokens.cannot_tell}) == 3


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=lambda tokens: tokens.name)
def test_the_bar_of_a_message_stands_out_as_it_is_painted(open_window, settle, shown_in, tokens):
    window = open_window()
    shown_in(tokens)
    window.show_trouble(message_for(PortBusy("/dev/ttyACM0 is held by another program.")))
    settle(window)
    image = window.banner.grab().toImage()
    row = [image.pixelColor(x, image.height() // 2).name() for x in range(14)]
    assert contrast_ratio(row[2], row[12]) >= 3.0
    assert row[2] == tokens.cannot_tell.lower()


def test_ctrl_c_copies_the_chosen_rows_of_the_table_that_has_the_keyboard(open_window, settle, qtbot):
    window = open_window()
    table = Table(
        key="k",
        caption="c",
        columns=(Column(title="Point"), Column(title="Mean", unit="ms", numeric=True)),
        rows=((Cell(text="starts"), Cell(text="22.0")), (Cell(text="half-way"), Cell(text="24.1"))),
    )
    first, second = PageTable(table, window.centralWidget()), PageTable(table, window.centralWidget())
    for place, made in enumerate((first, second)):
        made.setGeometry(300, 60 + 200 * place, 300, 150)
        made.show()
    QGuiApplication.clipboard().setText("before")
    first.setFocus()
    settle(window)
    qtbot.keyClick(first, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert QGuiApplication.clipboard().text() == "Point\tMean (ms)\nstarts\t22.0\nhalf-way\t24.1"
    second.setFocus()
    second.selectRow(1)
    settle(window)
    qtbot.keyClick(second, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert QGuiApplication.clipboard().text() == "Point\tMean (ms)\nhalf-way\t24.1"
    for made in (first, second):
        made.deleteLater()
