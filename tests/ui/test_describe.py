"""Adding to the description of a session that is already recorded."""

import pytest
from PySide6.QtTest import QTest

from benchapp.acquisition.wishes import Describe
from benchapp.records.photo import PHOTO
from benchapp.sessions.opening import open_session, verify
from benchapp.ui.bench.photo_file import read_photo
from benchapp.ui.steps import Step
from tests.ui.fake_bench import fake_desk
from tests.ui.made_sessions import made_session


@pytest.fixture
def reading(open_window, settle, qtbot, tmp_path):
    """Open a window that shows the findings of a session; return it with the session's file."""

    def reading():
        path = made_session(tmp_path / "birch.t2h", "birch", flips=24)
        window = open_window(fake_desk())
        window.open_path(path)
        qtbot.waitUntil(lambda: window.workbench.session is not None)
        settle(window)
        return window, path

    return reading


def kept(window, qtbot, settle, path, key):
    qtbot.waitUntil(lambda: window.workbench.session.loaded.facts.bench.get(key) is not None)
    settle(window)
    return open_session(path).facts


def test_what_is_added_later_is_in_the_session_and_the_evidence_code_stays(reading, qtbot, settle):
    window, path = reading()
    code = open_session(path).evidence_hash
    window.findings.describe_button.click()
    view = window.findings.description
    assert view.isVisible()
    QTest.keyClicks(view.form.fields["servo"], "standard, analog")
    view.form.answers["ready_warm"].setCurrentIndex(1)
    view.keep_button.click()
    facts = kept(window, qtbot, settle, path, "servo")
    assert (facts.bench["servo"], facts.bench["ready_warm"]) == ("standard, analog", "checked")
    assert open_session(path).evidence_hash == code
    assert verify(path).ok
    assert window.findings.scroller.isVisible()
    assert not view.isVisible()


def test_only_what_was_changed_is_written_and_what_stood_there_before_is_kept(reading, qtbot, settle):
    window, path = reading()
    for text in ("standard", "digital"):
        window.findings.describe_button.click()
        view = window.findings.description
        view.form.fields["servo"].setText(text)
        assert view.changes() == {"servo": text}
        view.keep_button.click()
        qtbot.waitUntil(lambda said=text: window.workbench.session.loaded.facts.bench.get("servo") == said)
        settle(window)
    noted = [event.detail.get("servo") for event in open_session(path).events if "servo" in event.detail]
    assert noted == ["standard", "digital"]


def test_a_photo_may_be_added_later(reading, qtbot, settle, tmp_path):
    window, path = reading()
    picture = window.grab().toImage()
    assert picture.save(str(tmp_path / "bench.png"))
    window.findings.describe_button.click()
    window.findings.description.form.photo.take(tmp_path / "bench.png")
    assert set(window.findings.description.changes()) == {PHOTO}
    window.findings.description.keep_button.click()
    qtbot.waitUntil(lambda: window.workbench.session.loaded.facts.photo is not None)
    settle(window)
    assert open_session(path).facts.photo == read_photo(tmp_path / "bench.png").jpeg


def test_back_changes_nothing(reading, settle):
    window, path = reading()
    before = path.read_bytes()
    window.findings.describe_button.click()
    window.findings.description.form.fields["servo"].setText("x")
    window.findings.description.back_button.click()
    settle(window)
    assert window.findings.scroller.isVisible()
    assert path.read_bytes() == before
    window.findings.describe_button.click()
    assert window.findings.description.form.fields["servo"].text() == ""


def test_a_session_that_cannot_be_written_is_said_and_what_was_typed_stays(reading, qtbot, settle):
    window, path = reading()
    window.findings.describe_button.click()
    window.findings.description.form.fields["servo"].setText("standard")
    path.unlink()
    window.findings.description.keep_button.click()
    qtbot.waitUntil(window.banner.isVisible)
    assert window.findings.description.isVisible()
    assert window.findings.description.form.fields["servo"].text() == "standard"


def test_a_session_that_is_being_recorded_gets_it_through_the_recording(practising, settle, qtbot, tmp_path):
    path = made_session(tmp_path / "birch.t2h", "birch", flips=24)
    window, recording = practising()
    window.workbench.open_session(path)
    qtbot.waitUntil(lambda: window.workbench.session is not None)
    recording.tell(session=str(path))
    settle(window)
    window.go(Step.FINDINGS)
    window.findings.describe_button.click()
    window.findings.description.form.fields["servo"].setText("standard")
    window.findings.description.keep_button.click()
    assert recording.wishes[-1] == Describe(bench={"servo": "standard"})
    assert window.findings.scroller.isVisible()
