"""Live lanes."""

import numpy as np
import pytest
from PySide6.QtCore import Qt

from benchapp.acquisition.feed import Missed
from benchapp.acquisition.status import LinkState
from benchapp.acquisition.wishes import ClipTo, Drive, PulseIs
from benchapp.presentation.live.lead_sentences import GUESSED, RAGGED
from benchapp.records.leads import Lead, LeadKind
from benchapp.records.run import Origin, PickUp, Polarity
from benchapp.records.stream import Gap
from benchapp.ui.kept.steps import Step
from benchapp.ui.link.live_leads import LiveLeads
from benchapp.waveforms.columns import ColumnSpan
from tests.ui.fake_bench import LEADS, FakeRecording, edges, pulses, stretch
from tests.ui.fake_stick import PLACE, STICK_LEADS, with_stick

SECOND = 1_000_000_000


def row_of(window, role):
    return next(row for row in window.pages.leads.lanes.rows if row.role == role)


def drawn(window, role):
    """Return, for each pixel column of a lane, whether its top and bottom line are drawn."""
    trace = row_of(window, role).trace
    image = trace.grab().toImage()
    ink = window._theme.role_colour(role).rgb()
    pixels = np.array([[image.pixel(x, y) == ink for x in range(image.width())] for y in range(image.height())])
    rows = np.flatnonzero(pixels.any(axis=1))
    return pixels[rows[0]], pixels[rows[-1]], pixels[(rows[0] + rows[-1]) // 2]


def column_of(window, time_ns):
    span: ColumnSpan = row_of(window, "switch").trace.span(window.workbench.live.newest_ns, 2 * SECOND)
    return time_ns // span.column_ns - span.first


def test_a_lane_draws_known_edges_in_their_columns(practising, settle):
    window, recording = practising()
    recording.feed.push(edges(1, [int(0.7 * SECOND), int(1.55 * SECOND)]))
    recording.feed.push(edges(0, [2 * SECOND]))
    settle(window)
    top, bottom, middle = drawn(window, "switch")
    up, down = column_of(window, int(0.7 * SECOND)), column_of(window, int(1.55 * SECOND))
    assert np.flatnonzero(middle[1:-1]).tolist() == [up - 1, down - 1]
    assert top[up : down + 1].all()
    assert not top[1:up].any()
    assert not top[down + 1 : -1].any()
    assert bottom[column_of(window, 0) + 1 : up].all()
    assert not bottom[up + 1 : down].any()


def test_the_sentence_beside_a_lane_says_what_the_edges_say(practising, settle):
    window, recording = practising()
    recording.feed.push(pulses(0, from_ns=0, to_ns=2 * SECOND, pulse_ns=1_520_000))
    settle(window, times=12)
    assert row_of(window, "output").sentence.text().replace("\u00a0", " ") == "50 pulses a second, 1.52 ms long."
    assert "Flip the switch" in row_of(window, "switch").sentence.text()


def test_lanes_stand_in_the_order_of_the_chain(practising):
    window, _ = practising()
    assert [row.role for row in window.pages.leads.lanes.rows] == ["switch", "output"]


def test_f_freezes_the_picture_while_the_recording_goes_on(practising, settle, qtbot):
    window, recording = practising()
    recording.feed.push(pulses(0, from_ns=0, to_ns=2 * SECOND))
    recording.tell(link=LinkState.RECORDING, saved_records=200, recorded_s=2.0, saved_ago_s=0.1)
    settle(window)
    qtbot.keyClick(window.pages.leads, Qt.Key.Key_F)
    assert window.pages.leads.frozen_note.isVisible()
    before = row_of(window, "output").trace.grab().toImage()
    recording.feed.push(pulses(0, from_ns=2 * SECOND, to_ns=4 * SECOND, pulse_ns=2_000_000))
    recording.tell(saved_records=400)
    settle(window, times=10)
    assert row_of(window, "output").trace.grab().toImage() == before
    assert window.workbench.status.saved_records == 400
    assert window.workbench.live.newest_ns > 3 * SECOND
    qtbot.keyClick(window.pages.leads, Qt.Key.Key_Home)
    settle(window)
    assert not window.pages.leads.frozen_note.isVisible()
    assert row_of(window, "output").trace.grab().toImage() != before


def test_home_shows_the_usual_window_again(practising, qtbot):
    window, _ = practising()
    window.pages.leads.window_buttons[10.0].click()
    assert window.pages.leads.lanes.window_s == 10.0
    qtbot.keyClick(window.pages.leads, Qt.Key.Key_Home)
    assert window.pages.leads.lanes.window_s == 2.0
    assert window.pages.leads.window_buttons[2.0].isChecked()


def test_flipping_on_the_page_asks_the_bench_for_the_other_level_each_time(practising, settle):
    window, recording = practising()
    window.pages.leads.flip_button.click()
    window.pages.leads.flip_button.click()
    assert [(wish.lead, wish.level) for wish in recording.wishes] == [(4, 1), (4, 0)]
    recording.feed.push(edges(4, [SECOND]))
    settle(window)
    window.pages.leads.flip_button.click()
    assert recording.wishes[-1].level == 0


def test_the_practice_stick_is_moved_from_end_to_end_from_the_page(practising, settle):
    window, recording = practising(FakeRecording(leads=STICK_LEADS))
    button = window.pages.leads.stick_button
    assert button.isVisible()
    for _ in range(3):
        button.click()
    settle(window)
    moved = [(wish.lead, wish.level) for wish in recording.wishes if isinstance(wish, Drive)]
    assert moved == [(PLACE.index, 240), (PLACE.index, 0), (PLACE.index, 240)]


@pytest.mark.parametrize(
    ("origin", "leads"), [(Origin.PRACTICE, LEADS), (Origin.PROBE, STICK_LEADS)], ids=["no stick", "a real set"]
)
def test_nothing_offers_to_move_a_stick_that_is_not_there_or_is_real(practising, settle, origin, leads):
    window, _ = practising(FakeRecording(origin, leads=leads))
    settle(window)
    assert not window.pages.leads.stick_button.isVisible()


def test_records_the_window_missed_are_a_gap_in_the_lanes_and_not_a_false_line():
    live = LiveLeads()
    live.take([stretch(), pulses(0, from_ns=0, to_ns=SECOND), Missed(items=12)])
    assert [gap.cause for gap in live.leads[0].gaps] == ["not shown here"]
    live.take([Gap(leads=(1,), from_ns=5, to_ns=9, cause="damage", count=3)])
    assert len(live.leads[0].gaps) == 1
    assert len(live.leads[1].gaps) == 2


def test_a_new_stretch_begins_with_empty_lanes():
    live = LiveLeads()
    live.take([stretch(), pulses(0, from_ns=0, to_ns=SECOND)])
    live.take([stretch(number=2)])
    assert live.leads[0].edges.times_ns.size == 0
    assert live.newest_ns == 0


@pytest.mark.parametrize("frames", [300])
def test_memory_behind_the_lanes_does_not_grow_with_time(frames):
    live = LiveLeads()
    live.take([stretch()])
    sizes = []
    for frame in range(frames):
        start = frame * SECOND // 4
        live.take([pulses(0, from_ns=start, to_ns=start + SECOND // 4, period_ns=1_000_000, pulse_ns=400_000)])
        sizes.append(live.leads[0].edges.times_ns.base.nbytes)
    assert max(sizes[150:]) == max(sizes[:150])


def test_a_lane_shows_what_it_showed_after_a_change_of_size_or_look(practising, settle):
    window, recording = practising()
    recording.feed.push(edges(1, [int(0.7 * SECOND), int(1.55 * SECOND)]))
    recording.feed.push(edges(0, [2 * SECOND]))
    settle(window)
    window.resize(1400, 800)
    settle(window)
    top, _, middle = drawn(window, "switch")
    up, down = column_of(window, int(0.7 * SECOND)), column_of(window, int(1.55 * SECOND))
    assert np.flatnonzero(middle[1:-1]).tolist() == [up - 1, down - 1]
    assert top[up : down + 1].all()
    window.interior.preferences.change_look("dark")
    settle(window)
    assert np.flatnonzero(drawn(window, "switch")[2][1:-1]).tolist() == [up - 1, down - 1]
    window.interior.preferences.change_look("light")


def choose(box, role):
    box.setCurrentIndex(box.findData(role))
    box.activated.emit(box.currentIndex())


def test_what_a_lead_is_clipped_to_can_be_changed_on_its_lane(practising, settle):
    window, recording = practising(FakeRecording(origin=Origin.PROBE))
    choose(row_of(window, "output").clip, "module")
    assert recording.wishes[-1] == ClipTo(lead=0, role="module")


def test_a_lead_that_lost_its_role_says_so_and_does_not_take_its_usual_one_back(practising, settle):
    window, recording = practising(FakeRecording(origin=Origin.PROBE))
    recording.feed.push(edges(1, [int(0.7 * SECOND)]))
    recording.tell(roles={0: "switch", 4: "drive"})
    settle(window)
    assert row_of(window, "switch").lead.index == 0
    assert row_of(window, "").lead.index == 1
    assert row_of(window, "").clip.currentText() == "not used"


def test_leads_that_look_swapped_are_said_and_one_press_swaps_them(practising, settle):
    window, recording = practising(FakeRecording(origin=Origin.PROBE))
    assert not window.pages.leads.swap_hint.isVisible()
    recording.feed.push(pulses(1, from_ns=0, to_ns=2 * SECOND))
    recording.feed.push(edges(0, [int(0.7 * SECOND), int(1.55 * SECOND)]))
    settle(window)
    window.pages.leads.tell()
    assert window.pages.leads.swap_hint.isVisible()
    window.pages.leads.swap_button.click()
    assert recording.wishes[-2:] == [ClipTo(lead=1, role="output"), ClipTo(lead=0, role="switch")]


def test_leads_that_are_right_are_not_called_swapped(practising, settle):
    window, recording = practising(FakeRecording(origin=Origin.PROBE))
    recording.feed.push(pulses(0, from_ns=0, to_ns=2 * SECOND))
    recording.feed.push(edges(1, [int(0.7 * SECOND), int(1.55 * SECOND)]))
    settle(window)
    window.pages.leads.tell()
    assert not window.pages.leads.swap_hint.isVisible()


def test_pulses_on_both_leads_are_not_called_swapped(practising, settle):
    window, recording = practising(FakeRecording(origin=Origin.PROBE))
    for lead in (0, 1):
        recording.feed.push(pulses(lead, from_ns=0, to_ns=2 * SECOND))
    settle(window)
    window.pages.leads.tell()
    assert not window.pages.leads.swap_hint.isVisible()


@pytest.mark.parametrize("pick_up", [PickUp.CONTACT, PickUp.TAPED, PickUp.LIGHT_GATE])
def test_the_first_question_opened_or_closed_goes_into_the_run(practising, settle, pick_up):
    window, recording = practising(FakeRecording(origin=Origin.PROBE, leads=LEADS[:2]))  # nothing drives the switch
    assert window.pages.leads.question.isVisible()
    choose(window.pages.leads.pick_up, pick_up)
    for refusal in window.workbench.status.refusals:
        window.workbench.confirm(refusal.line.value, yes=True)
    settle(window)
    window.go(Step.TESTS)
    settle(window)
    window.pages.tests.choice.start_button.click()
    settle(window)
    assert recording.wishes[-1].pick_up is pick_up


def test_on_the_practice_bench_nobody_is_asked_how_the_flip_reaches_the_probe(practising):
    window, _ = practising()
    assert not window.pages.leads.question.isVisible()


def turned_over(lead, *, from_ns, to_ns):
    """Return a fast output whose state lengths alone do not tell which of them is the pulse."""
    return pulses(lead, from_ns=from_ns, to_ns=to_ns, period_ns=3_000_000, pulse_ns=1_200_000)


def test_which_state_is_the_pulse_can_be_said_on_the_lane_and_the_sentence_follows(practising, settle):
    window, recording = practising(FakeRecording(origin=Origin.PROBE))
    recording.feed.push(turned_over(0, from_ns=0, to_ns=2 * SECOND))
    settle(window, times=12)
    row = row_of(window, "output")
    assert row.sentence.text().replace("\u00a0", " ").startswith("333 pulses a second, 1.20 ms long.")
    assert GUESSED in row.sentence.text()
    choose(row.pulse, Polarity.LOW)
    assert recording.wishes[-1] == PulseIs(lead=0, polarity=Polarity.LOW)
    recording.tell(polarity={0: Polarity.LOW})
    settle(window, times=12)
    window.pages.leads.tell()
    assert row.sentence.text().replace("\u00a0", " ") == "333 pulses a second, 1.80 ms long."
    choose(row.pulse, Polarity.FIND)
    assert recording.wishes[-1] == PulseIs(lead=0, polarity=Polarity.FIND)


def test_only_a_servo_output_asks_which_state_is_its_pulse(practising):
    window, _ = practising()
    assert row_of(window, "output").pulse.isVisible()
    assert not row_of(window, "switch").pulse.isVisible()


def test_weak_or_ragged_pulses_are_said_beside_the_lane(practising, settle):
    window, recording = practising(FakeRecording(origin=Origin.PROBE))
    starts = np.arange(0, 2 * SECOND, SECOND // 50)
    lengths = np.where(np.arange(starts.size) % 5, 1_500_000, 200_000)
    recording.feed.push(edges(0, np.column_stack((starts, starts + lengths)).ravel()))
    settle(window, times=12)
    assert RAGGED in row_of(window, "output").sentence.text()


def test_the_four_lanes_of_the_practice_bench_are_seen_without_scrolling(practising, settle):
    module = Lead(index=2, label="D3", kind=LeadKind.EDGE, role="module", resolution_ns=62.5)
    recording = with_stick(FakeRecording(leads=(*STICK_LEADS, module)), to_s=2.0)
    recording.feed.push(edges(1, [SECOND]))
    recording.feed.push(pulses(2, from_ns=0, to_ns=2 * SECOND))
    window, _ = practising(recording)
    window.pages.leads.tell()
    settle(window)
    assert [row.role for row in window.pages.leads.lanes.rows] == ["switch", "stick", "module", "output"]
    assert all(row.sentence.text() for row in window.pages.leads.lanes.rows)
    assert window.pages.leads.scroller.verticalScrollBar().maximum() == 0


def test_many_leads_scroll_and_none_is_squeezed(practising, settle):
    many = tuple(
        Lead(index=n, label=f"D{n}", kind=LeadKind.EDGE, role="output" if n == 0 else "", resolution_ns=62.5)
        for n in range(8)
    )
    window, _ = practising(FakeRecording(origin=Origin.PROBE, leads=many))
    settle(window)
    rows = window.pages.leads.lanes.rows
    assert len(rows) == 8
    assert window.pages.leads.scroller.verticalScrollBar().maximum() > 0
    assert all(row.words.height() >= row.words.minimumSizeHint().height() for row in rows)


def test_a_probe_flips_a_real_set_s_switch_only_once_the_bench_is_confirmed_safe(practising, settle):
    window, _ = practising(FakeRecording(origin=Origin.PROBE))
    settle(window)
    assert not window.pages.leads.flip_button.isEnabled()
    assert window.pages.leads.flip_note.isVisible()
    for line in list(window.workbench.status.refusals):
        window.workbench.confirm(line.line.value, yes=True)
    settle(window)
    for line in list(window.workbench.status.refusals):
        window.workbench.confirm(line.line.value, yes=True)
    settle(window)
    assert window.pages.leads.flip_button.isEnabled()
    assert not window.pages.leads.flip_note.isVisible()


def test_each_lane_leads_to_how_its_lead_is_wired(practising, settle):
    window, _ = practising(FakeRecording(origin=Origin.PROBE))
    row_of(window, "switch").wire.click()
    assert window.pages.help.browser.page == "wiring-switch"
    window.pages.help.back_button.click()
    choose(window.pages.leads.pick_up, PickUp.TAPED)
    row_of(window, "switch").wire.click()
    assert window.pages.help.browser.page == "wiring-closed"
    window.pages.help.back_button.click()
    row_of(window, "output").wire.click()
    assert window.pages.help.browser.page == "wiring-output"


def test_as_long_as_nobody_answered_the_pick_up_is_not_noted(practising, settle):
    window, recording = practising(FakeRecording(origin=Origin.PROBE))
    assert window.pages.leads.pick_up.currentIndex() == -1
    assert "case open, or case stays shut" in window.pages.leads.pick_up.placeholderText()
    assert window.workbench.pick_up is PickUp.UNKNOWN
    choose(window.pages.leads.pick_up, PickUp.CONTACT)
    assert window.workbench.pick_up is PickUp.CONTACT
    assert recording.wishes == []


def test_the_practice_bench_has_its_own_contact(practising):
    window, _ = practising()
    assert window.workbench.pick_up is PickUp.CONTACT


def test_a_closed_set_is_never_offered_a_flip_by_the_probe(practising, settle):
    window, _ = practising(FakeRecording(origin=Origin.PROBE))
    settle(window)
    assert window.pages.leads.flip_button.isVisible()
    choose(window.pages.leads.pick_up, PickUp.LIGHT_GATE)
    settle(window)
    assert not window.pages.leads.flip_button.isVisible()
    assert window.workbench.drive_lead() is None


@pytest.mark.parametrize(("origin", "roles"), [(Origin.PRACTICE, ["switch", "output"]), (Origin.PROBE, None)])
def test_what_the_probe_does_itself_has_a_lane_and_the_practice_bench_shows_its_switch_once(
    practising, settle, origin, roles
):
    window, recording = practising(FakeRecording(origin=origin))
    recording.tell(roles={0: "output", 1: "switch", 4: "drive"})
    recording.feed.push(edges(1, [100_000_000, 300_000_000]))
    recording.feed.push(edges(4, [100_000_000, 300_000_000]))
    recording.feed.push(pulses(0, from_ns=0, to_ns=500_000_000))
    settle(window)
    assert [row.role for row in window.pages.leads.lanes.rows] == (roles or ["switch", "output", "drive"])


def test_the_pick_up_of_the_session_before_is_said_to_be_carried_over(practising, settle, qtbot):
    window, recording = practising(FakeRecording(origin=Origin.PROBE))
    leads = window.pages.leads
    choose(leads.pick_up, PickUp.TAPED)
    assert not leads.carried_note.isVisible()
    recording.tell(session="/x/first.t2h")
    settle(window)
    assert not leads.carried_note.isVisible()
    window.workbench.open_bench("/dev/ttyACM0", "")
    recording.tell(session="")
    qtbot.waitUntil(lambda: window.workbench.status is not None)
    settle(window)
    assert leads.carried_note.isVisible()
    assert "Carried over" in leads.carried_note.text()
    assert "Carried over" in leads.pick_up.accessibleDescription()
    choose(leads.pick_up, PickUp.TAPED)  # said again, it is this session's own
    assert not leads.carried_note.isVisible()
    assert leads.pick_up.accessibleDescription() == ""


def test_another_session_on_the_same_bench_is_told_what_was_carried_over_too(practising, settle):
    window, recording = practising(FakeRecording(origin=Origin.PROBE))
    choose(window.pages.leads.pick_up, PickUp.LIGHT_GATE)
    recording.tell(session="/x/first.t2h")
    settle(window)
    recording.tell(session="/x/second.t2h")
    settle(window)
    assert window.pages.leads.carried_note.isVisible()
