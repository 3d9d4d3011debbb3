"""On the bench: what is under test."""

import json
from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from benchapp.acquisition.wishes import Describe, NewSession
from benchapp.presentation.ground.bench_fields import UNDER_TEST
from benchapp.ui.kept.settings import Settings, noted_last
from benchapp.ui.kept.steps import Step


def test_without_a_last_time_nothing_is_offered(open_window):
    window = open_window()
    window.go(Step.BENCH)
    assert not window.pages.bench.same_button.isVisible()


def start_a_run(window, settle):
    window.workbench.confirm("practice", yes=True)
    window.go(Step.TESTS)
    settle(window)
    window.pages.tests.choice.start_button.click()
    settle(window)


def test_what_was_noted_goes_into_the_session_and_is_offered_next_time(practising, settle):
    window, recording = practising()
    page = window.pages.bench
    for key, text in (("name", "Birch 7"), ("transmitter", "Birch, loan set 7"), ("volts", "6.0"), ("notes", "rainy")):
        QTest.keyClicks(page.fields[key], text)
    page.answers["ready_warm"].setCurrentIndex(1)
    start_a_run(window, settle)
    session = next(wish for wish in recording.wishes if isinstance(wish, NewSession))
    assert session.name == "Birch 7"
    assert session.bench["transmitter"] == "Birch, loan set 7"
    assert session.bench["ready_warm"] == "checked"
    kept = noted_last(window.settings)
    assert kept["transmitter"] == "Birch, loan set 7"


def test_same_as_last_time_fills_what_is_empty_and_says_so_of_each_field(open_window):
    window = open_window()
    page = window.pages.bench
    window.go(Step.BENCH)
    page.show_last({"name": "Birch 7", "transmitter": "Birch", "volts": "6.0", "ready_warm": "checked"})
    assert page.same_button.isVisible()
    QTest.keyClicks(page.fields["volts"], "7.4")
    page.same_button.click()
    assert page.fields["transmitter"].text() == "Birch"
    assert page.form.labels["transmitter"].text() == f"{UNDER_TEST['transmitter']} – carried over"
    assert page.fields["volts"].text() == "7.4"
    assert "carried over" not in page.form.labels["volts"].text()
    assert page.answers["ready_warm"].currentText() == "checked"
    assert page.fields["name"].text() == ""
    assert window.workbench.under_test == {"transmitter": "Birch", "volts": "7.4", "ready_warm": "checked"}


def test_a_carried_field_that_is_changed_is_no_longer_called_so(open_window):
    window = open_window()
    page = window.pages.bench
    window.go(Step.BENCH)
    page.show_last({"transmitter": "Birch"})
    page.same_button.click()
    QTest.keyClick(page.fields["transmitter"], Qt.Key.Key_End)
    QTest.keyClicks(page.fields["transmitter"], " 8")
    assert page.form.labels["transmitter"].text() == UNDER_TEST["transmitter"]


def test_settings_that_hold_nonsense_offer_nothing():
    for text in ("", "no json", "[1, 2]", "3"):
        assert noted_last(replace(Settings(), last_bench=text)) == {}
    assert noted_last(replace(Settings(), last_bench=json.dumps({"a": "b", "c": 3}))) == {"a": "b"}


def test_nothing_but_the_fields_is_scrolled_through(open_window, settle):
    window = open_window()
    window.go(Step.BENCH)
    settle(window)
    inner = window.pages.bench.scroller.widget()
    below = inner.height() - window.pages.bench.form.geometry().bottom()
    assert window.pages.bench.scroller.verticalScrollBar().maximum() > 0
    assert below < 60


def test_another_session_begins_without_the_last_one_s_name_and_the_rest_is_called_carried_over(practising, settle):
    window, recording = practising()
    page = window.pages.bench
    for key, text in (("name", "Mr A's set"), ("notes", "his"), ("transmitter", "Birch")):
        QTest.keyClicks(page.fields[key], text)
    recording.tell(session="/somewhere/a.t2h")
    settle(window)
    recording.tell(session="")
    settle(window)
    assert page.fields["name"].text() == page.fields["notes"].text() == ""
    assert page.fields["transmitter"].text() == "Birch"
    assert page.form.labels["transmitter"].text() == f"{UNDER_TEST['transmitter']} – carried over"
    assert "carried over" not in page.form.labels["servo"].text()
    assert window.workbench.under_test == {"transmitter": "Birch"}


def test_name_and_description_stay_editable_until_the_session_ends_and_each_change_goes_into_it(practising, settle):
    window, recording = practising()
    page = window.pages.bench
    QTest.keyClicks(page.fields["transmitter"], "Birch")
    start_a_run(window, settle)
    window.go(Step.BENCH)
    settle(window)
    assert not page.fields["name"].isReadOnly()
    assert "until the session ends" in page.sentence.text()
    before = len(recording.wishes)
    QTest.keyClicks(page.fields["name"], "Loan set 7")
    assert recording.wishes[before:] == []  # not letter by letter
    QTest.keyClick(page.fields["name"], Qt.Key.Key_Return)
    assert recording.wishes[before:] == [Describe(bench={"name": "Loan set 7"})]
    page.answers["ready_warm"].setCurrentIndex(1)
    page.answers["ready_warm"].activated.emit(1)
    assert recording.wishes[-1] == Describe(bench={"ready_warm": "checked"})
