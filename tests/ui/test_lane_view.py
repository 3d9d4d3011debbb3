"""Lanes that do not lie: lengths or pulses, zoom and pan, what is under the pointer, volts, the words beside them."""

from itertools import pairwise

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication

from benchapp.presentation.live.reading_words import TOO_DENSE
from benchapp.ui.widgets.lane_view import STEPS_S
from benchapp.waveforms.pulse_lane import LEAST_PX
from tests.ui.fake_bench import FakeRecording, edges, pulses
from tests.ui.fake_stick import STICK_LEADS, with_stick

SECOND = 1_000_000_000
FLIPS_NS = (int(0.7 * SECOND), int(1.55 * SECOND))


@pytest.fixture
def flipped(practising, settle):
    """Return a window on Leads with two flips and pulses of 1.10, 1.90 and 1.10 ms, told and drawn."""
    window, recording = practising()
    recording.feed.push(edges(1, FLIPS_NS))
    bounds = (0, int(0.74 * SECOND), int(1.6 * SECOND), 2 * SECOND)
    for number, (from_ns, to_ns) in enumerate(pairwise(bounds)):
        length_ns = 1_900_000 if number == 1 else 1_100_000
        recording.feed.push(pulses(0, from_ns=from_ns, to_ns=to_ns, pulse_ns=length_ns))
    settle(window)
    window.pages.leads.tell()
    window.pages.leads.draw()
    settle(window)
    return window, recording


def trace_of(window, role):
    return next(row for row in window.pages.leads.lanes.rows if row.role == role).trace


def sentence_of(window, role):
    row = next(row for row in window.pages.leads.lanes.rows if row.role == role)
    return row.sentence.text().replace("\u00a0", " ")


def line_of(window, role):
    """Return, for each pixel column of a lane, the rows in the lead's colour."""
    image = trace_of(window, role).grab().toImage()
    ink = window._theme.role_colour(role).rgb()
    return [[y for y in range(image.height()) if image.pixel(x, y) == ink] for x in range(image.width())]


def wheel(trace, notches, *, x, keys=Qt.KeyboardModifier.NoModifier):
    at, none = QPointF(x, 20), Qt.MouseButton.NoButton
    turned = QPoint(0, 120 * notches)
    phase = Qt.ScrollPhase.NoScrollPhase
    event = QWheelEvent(at, trace.mapToGlobal(at), QPoint(0, 0), turned, none, keys, phase, False)
    QApplication.sendEvent(trace, event)


def test_from_far_a_flip_is_a_step_of_pulse_length_with_its_scale(flipped):
    window, _ = flipped
    trace = trace_of(window, "output")
    assert trace.as_lengths
    assert [text.replace("\u00a0", " ") for _, text in trace.marks.scale] == ["2.0 ms", "1.0 ms"]
    line = line_of(window, "output")
    from_ns, to_ns = window.pages.leads.lanes.view_range_ns()

    def rows_at(at_ns):
        return line[round((at_ns - from_ns) / (to_ns - from_ns) * trace.width())]

    short, long = rows_at(int(0.4 * SECOND)), rows_at(int(1.2 * SECOND))
    room = trace.height() - 16
    # 1.10 ms lies at a tenth of the scale from 1 to 2 ms, 1.90 ms at nine tenths.
    assert trace.height() - 8 - max(short) == pytest.approx(0.1 * room, abs=3)
    assert trace.height() - 8 - max(long) == pytest.approx(0.9 * room, abs=3)
    # No barcode: away from the flips, no column holds more than the line itself.
    high = [len(rows) for rows in line if len(rows) > 6]
    assert len(high) <= 4


def test_near_the_pulses_themselves_are_drawn_with_their_lengths(flipped):
    window, _ = flipped
    lanes, trace = window.pages.leads.lanes, trace_of(window, "output")
    lanes.show_window(0.05)
    assert not trace.as_lengths
    written = [text for _, free, text in trace.marks.lengths if free > 40]
    assert written
    assert set(written) == {"1.10"}
    columns = line_of(window, "output")
    full = [x for x, rows in enumerate(columns) if len(rows) > trace.height() / 2]
    wide = [other - one for one, other in pairwise(full)]
    # 1.10 ms of 50 ms.
    assert min(wide) == pytest.approx(1.1 / 50 * trace.width(), abs=1.5)


def test_the_change_comes_where_a_pulse_is_four_pixels_wide(flipped):
    window, _ = flipped
    lanes, trace = window.pages.leads.lanes, trace_of(window, "output")
    for window_s in STEPS_S:
        lanes.show_window(window_s)
        usual_ms = np.median(trace._seen.durations_ns) / 1e6
        assert trace.as_lengths == (usual_ms / 1e3 / window_s * trace.width() < LEAST_PX), window_s


def test_the_wheel_zooms_and_the_view_cannot_be_lost(flipped, settle):
    window, _ = flipped
    lanes, trace = window.pages.leads.lanes, trace_of(window, "output")
    wheel(trace, 1, x=50)
    assert lanes.window_s == 1.0
    assert not lanes.frozen
    assert not any(made.isChecked() for made in window.pages.leads.window_buttons.values())
    for _ in range(20):
        wheel(trace, 1, x=50)
    assert lanes.window_s == STEPS_S[0]
    for _ in range(30):
        wheel(trace, -1, x=50)
    assert lanes.window_s == STEPS_S[-1]
    assert window.pages.leads.window_buttons[10.0].isChecked()


def test_a_held_picture_keeps_the_moment_under_the_pointer(flipped):
    window, _ = flipped
    lanes, trace = window.pages.leads.lanes, trace_of(window, "output")
    lanes.toggle_frozen()
    from_ns, to_ns = lanes.view_range_ns()
    x = round(0.6 * trace.width())
    before = from_ns + 0.6 * (to_ns - from_ns)
    wheel(trace, 2, x=x)
    from_ns, to_ns = lanes.view_range_ns()
    assert (to_ns - from_ns) / 1e9 == pytest.approx(0.5, rel=0.02)
    assert from_ns + 0.6 * (to_ns - from_ns) == pytest.approx(before, abs=10e6)


def test_dragging_holds_the_picture_and_moves_it_and_home_lets_it_run(flipped, settle, qtbot):
    window, recording = flipped
    leads, lanes, trace = window.pages.leads, window.pages.leads.lanes, trace_of(window, "output")
    leads.lanes.show_window(0.5)
    _, end_ns = lanes.view_range_ns()
    qtbot.mousePress(trace, Qt.MouseButton.LeftButton, pos=QPoint(50, 20))
    qtbot.mouseMove(trace, QPoint(50 + trace.width() // 2, 20))
    qtbot.mouseRelease(trace, Qt.MouseButton.LeftButton, pos=QPoint(50 + trace.width() // 2, 20))
    assert lanes.frozen
    assert leads.frozen_note.isVisible()
    assert end_ns - lanes.view_range_ns()[1] == pytest.approx(0.25 * SECOND, abs=0.01 * SECOND)
    held = trace.grab().toImage()
    recording.feed.push(pulses(0, from_ns=2 * SECOND, to_ns=30 * SECOND, pulse_ns=1_900_000))
    settle(window, times=10)
    # What is held stays, however much arrives, also when it is looked at anew.
    lanes.move_view(0.0)
    assert trace.grab().toImage() == held
    qtbot.keyClick(leads, Qt.Key.Key_Home)
    assert not lanes.frozen
    assert lanes.window_s == 2.0
    assert lanes.view_range_ns()[1] > 29 * SECOND


def test_keys_zoom_and_move(flipped, qtbot):
    window, _ = flipped
    leads = window.pages.leads
    qtbot.keyClick(leads, Qt.Key.Key_Plus)
    assert leads.lanes.window_s == 1.0
    qtbot.keyClick(leads, Qt.Key.Key_Minus)
    assert leads.lanes.window_s == 2.0
    qtbot.keyClick(leads, Qt.Key.Key_Plus)
    before = leads.lanes.view_range_ns()
    qtbot.keyClick(leads, Qt.Key.Key_Left)
    assert before[1] - leads.lanes.view_range_ns()[1] == pytest.approx(0.25 * SECOND, abs=0.01 * SECOND)
    for _ in range(40):
        qtbot.keyClick(leads, Qt.Key.Key_Left)
    assert leads.lanes.view_range_ns()[0] >= -0.02 * SECOND
    for _ in range(80):
        qtbot.keyClick(leads, Qt.Key.Key_Right)
    assert leads.lanes.view_range_ns()[1] == pytest.approx(before[1], abs=0.01 * SECOND)


def test_the_pulse_under_the_pointer_says_its_length(flipped):
    window, _ = flipped
    lanes, trace = window.pages.leads.lanes, trace_of(window, "output")
    from_ns, to_ns = lanes.view_range_ns()

    def reading(at_ns):
        under = trace.reading((at_ns - from_ns) / (to_ns - from_ns) * trace.width())
        return under and under.text.replace("\u00a0", " ")

    assert reading(int(0.4 * SECOND)) == "1.100 ms"
    assert reading(int(1.2 * SECOND)) == "1.900 ms"
    lanes.show_window(0.05)
    from_ns, to_ns = lanes.view_range_ns()
    begin_ns = int(trace._seen.leading_ns[trace._seen.leading_ns > from_ns][0])
    assert reading(begin_ns + 500_000) == "1.100 ms"
    assert reading(begin_ns + 10_000_000) is None
    lanes.show_window(2.0)
    from_ns, to_ns = lanes.view_range_ns()
    under = trace_of(window, "switch").reading((1.0 * SECOND - from_ns) / (to_ns - from_ns) * trace.width())
    assert under.text.replace("\u00a0", " ") == "high for 0.850 s"


def test_what_is_read_is_written_on_the_lane_while_the_pointer_is_there(flipped, qtbot):
    window, _ = flipped
    trace = trace_of(window, "output")
    without = trace.grab().toImage()
    qtbot.mouseMove(trace, QPoint(120, 30))
    assert trace.grab().toImage() != without
    trace.leaveEvent(None)
    assert trace.grab().toImage() == without


def test_level_lanes_have_volts(practising, settle):
    window, _ = practising(with_stick(FakeRecording(leads=STICK_LEADS), to_s=2.0))
    settle(window)
    trace = trace_of(window, "stick")
    assert [text.replace("\u00a0", " ") for _, text in trace.marks.scale] == ["3.3 V", "0.0 V"]
    # 155 of 1023 counts of 3.3 V.
    assert trace.reading(trace.width() * 0.4).text.replace("\u00a0", " ") == "0.50 V"


@pytest.mark.parametrize(("window_s", "said"), [(2.0, "2 changes seen"), (0.5, "1 change seen"), (0.2, "Steady, low")])
def test_the_changes_that_are_said_are_those_that_are_drawn(flipped, settle, window_s, said):
    window, _ = flipped
    window.pages.leads.lanes.show_window(window_s)
    settle(window)
    assert sentence_of(window, "switch").startswith(said)
    columns = line_of(window, "switch")
    trace = trace_of(window, "switch")
    steps = sum(len(rows) > trace.height() / 2 for rows in columns)
    assert steps == {"2": 2, "1": 1, "S": 0}[said[0]]


def test_what_is_too_close_to_draw_says_so_and_is_no_solid_line(practising, settle):
    window, recording = practising()
    serial = edges(0, np.cumsum(np.random.default_rng(1).integers(10, 90, 20_000)) * 1000)
    recording.feed.push(serial)
    settle(window)
    window.pages.leads.tell()
    window.pages.leads.draw()
    trace = trace_of(window, "output")
    assert trace.marks.note == TOO_DENSE
    assert sum(len(rows) > trace.height() / 2 for rows in line_of(window, "output")) == 0
    window.pages.leads.lanes.show_window(0.005)
    assert trace.marks.note == ""
