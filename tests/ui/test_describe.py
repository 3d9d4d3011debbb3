"""Adding to the description of a session that is already recorded."""

import pytest
from PySide6.QtTest import QTest

from benchapp.acquisition.wishes import Describe
from benchapp.desk.noting import note_bench
from benchapp.records.errors import DiskTrouble
from benchapp.records.photo import PHOTO, photo_text
from benchapp.sessions.opening import open_session, verify
from benchapp.ui.kept.steps import Step
from benchapp.ui.screens.bench.photo_file import read_photo
from tests.ui.fake_bench import NOTE_BENCH, fake_desk
from tests.ui.made_sessions import made_session


@pytest.fixture
def reading(open_window, settle, qtbot, tmp_path):
    """Open a window that shows the findings of a session; return it with the session's file."""

    def reading(desk=None):
        path = made_session(tmp_path / "birch.t2h", "birch", flips=24)
        window = open_window(desk or fake_desk())
        window.open_path(path)
        qtbot.waitUntil(lambda: window.session.now is not None)
        settle(window)
        return window, path

    return reading


def kept(window, qtbot, settle, path, key):
    qtbot.waitUntil(lambda: window.session.now.loaded.facts.bench.get(key) is not None)
    settle(window)
    return open_session(path).facts


def test_what_is_added_later_is_in_the_session_and_the_evidence_code_stays(reading, qtbot, settle):
    window, path = reading()
    code = open_session(path).evidence_hash
    window.pages.findings.describe_button.click()
    view = window.pages.findings.description
    assert view.isVisible()
    QTest.keyClicks(view.form.fields["servo"], "standard, analog")
    view.form.answers["ready_warm"].setCurrentIndex(1)
    view.keep_button.click()
    facts = kept(window, qtbot, settle, path, "servo")
    assert (facts.bench["servo"], facts.bench["ready_warm"]) == ("standard, analog", "checked")
    assert open_session(path).evidence_hash == code
    assert verify(path).ok
    assert window.pages.findings.scroller.isVisible()
    assert not view.isVisible()


def test_only_what_was_changed_is_written_and_what_stood_there_before_is_kept(reading, qtbot, settle):
    window, path = reading()
    for text in ("standard", "digital"):
        window.pages.findings.describe_button.click()
        view = window.pages.findings.description
        view.form.fields["servo"].setText(text)
        assert view.changes() == {"servo": text}
        view.keep_button.click()
        qtbot.waitUntil(lambda said=text: window.session.now.loaded.facts.bench.get("servo") == said)
        settle(window)
    noted = [event.detail.get("servo") for event in open_session(path).events if "servo" in event.detail]
    assert noted == ["standard", "digital"]


def test_a_photo_may_be_added_later(reading, qtbot, settle, tmp_path):
    window, path = reading()
    picture = window.grab().toImage()
    assert picture.save(str(tmp_path / "bench.png"))
    window.pages.findings.describe_button.click()
    window.pages.findings.description.form.photo.take(tmp_path / "bench.png")
    assert not window.pages.findings.description.keep_button.isEnabled()  # not before it is known what is kept
    qtbot.waitUntil(window.pages.findings.description.keep_button.isEnabled)
    assert set(window.pages.findings.description.changes()) == {PHOTO}
    window.pages.findings.description.keep_button.click()
    qtbot.waitUntil(lambda: window.session.now.loaded.facts.photo is not None)
    settle(window)
    assert open_session(path).facts.photo == read_photo(tmp_path / "bench.png").jpeg


def test_back_changes_nothing(reading, settle):
    window, path = reading()
    before = path.read_bytes()
    window.pages.findings.describe_button.click()
    window.pages.findings.description.form.fields["servo"].setText("x")
    window.pages.findings.description.back_button.click()
    settle(window)
    assert window.pages.findings.scroller.isVisible()
    assert path.read_bytes() == before
    window.pages.findings.describe_button.click()
    assert window.pages.findings.description.form.fields["servo"].text() == ""


def test_a_session_that_cannot_be_written_is_said_and_what_was_typed_stays(reading, qtbot, settle):
    window, path = reading()
    window.pages.findings.describe_button.click()
    window.pages.findings.description.form.fields["servo"].setText("standard")
    path.unlink()
    window.pages.findings.description.keep_button.click()
    qtbot.waitUntil(window.banner.isVisible)
    assert window.pages.findings.description.isVisible()
    assert window.pages.findings.description.form.fields["servo"].text() == "standard"


def locked_desk(path):
    """Return a desk for which nothing can be written where the session lies."""

    def refuse_there(session, fields):
        if session == path:
            raise DiskTrouble("Cannot write beside birch.t2h: Read-only file system.")
        note_bench(session, fields)

    return {**fake_desk(), NOTE_BENCH: refuse_there}


def test_where_a_session_cannot_be_added_to_a_copy_is_offered_and_gets_what_was_typed(
    open_window, settle, qtbot, tmp_path, monkeypatch
):
    path = made_session(tmp_path / "birch.t2h", "birch", flips=24)
    before, folder = path.read_bytes(), tmp_path / "mine"
    folder.mkdir()
    window = open_window(locked_desk(path))
    window.open_path(path)
    qtbot.waitUntil(lambda: window.session.now is not None)
    settle(window)
    window.pages.findings.describe_button.click()
    view = window.pages.findings.description
    view.form.fields["servo"].setText("standard")
    for answer in (None, folder):
        view.keep_button.click()
        qtbot.waitUntil(window.banner.isVisible)
        assert window.banner.acts[0].text() == "Save a copy to…"
        assert "Read-only" in window.banner.details.text()
        assert view.form.fields["servo"].text() == "standard"
        monkeypatch.setattr("benchapp.ui.window.doorway.folder_for", lambda *asked, chosen=answer: chosen)
        window.banner.acts[0].click()
    copy = folder / path.name
    qtbot.waitUntil(lambda: window.session.now.path == copy)
    settle(window)
    assert open_session(copy).facts.bench["servo"] == "standard"
    assert open_session(copy).evidence_hash == open_session(path).evidence_hash
    assert path.read_bytes() == before
    assert window.pages.findings.scroller.isVisible()
    assert window.memory.now.recent.count(str(folder)) == 1


def test_the_photo_can_be_left_out_of_the_report_and_is_in_it_unless_that_is_asked(reading, qtbot, settle, tmp_path):
    reports = []
    window, path = reading(fake_desk(reports=reports))
    assert not window.pages.findings.photo.isVisible()
    picture = window.grab().toImage()
    assert picture.save(str(tmp_path / "bench.png"))
    window.session.describe({PHOTO: photo_text(read_photo(tmp_path / "bench.png").jpeg)})
    qtbot.waitUntil(window.pages.findings.photo.isVisible)
    assert window.pages.findings.photo.isChecked()
    for folder in ("with", "without"):
        window.session.write_report(tmp_path / folder)
        qtbot.waitUntil(lambda folder=folder: bool(reports) and reports[-1][1] == tmp_path / folder)
        window.pages.findings.photo.click()
    assert reports == [(path, tmp_path / "with", True), (path, tmp_path / "without", False)]


def test_a_session_that_is_being_recorded_gets_it_through_the_recording(practising, settle, qtbot, tmp_path):
    path = made_session(tmp_path / "birch.t2h", "birch", flips=24)
    window, recording = practising()
    window.session.open(path)
    qtbot.waitUntil(lambda: window.session.now is not None)
    recording.tell(session=str(path))
    settle(window)
    window.go(Step.FINDINGS)
    window.pages.findings.describe_button.click()
    window.pages.findings.description.form.fields["servo"].setText("standard")
    window.pages.findings.description.keep_button.click()
    assert recording.wishes[-1] == Describe(bench={"servo": "standard"})
    assert window.pages.findings.scroller.isVisible()
