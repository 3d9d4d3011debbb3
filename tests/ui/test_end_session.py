"""A session is ended by a button, and the strip says so."""

from benchapp.acquisition.wishes import CloseSession
from benchapp.procedures.ground.progress import Prompt, StopReason
from benchapp.records.run import Origin
from benchapp.ui.kept.steps import Step
from tests.ui.fake_bench import FakeRecording


def after_a_run(practising, settle, origin=Origin.PRACTICE):
    window, recording = practising(FakeRecording(origin))
    for refusal in window.workbench.status.refusals:
        window.workbench.confirm(refusal.line.value, yes=True)
    window.go(Step.TESTS)
    settle(window)
    assert not window.strip.end_session.isVisible()  # there is no session yet
    window.pages.tests.choice.start_button.click()
    settle(window)
    assert not window.strip.end_session.isVisible()  # a run goes on
    recording.run(prompt=Prompt.DONE, outcome="complete", stop_reason=StopReason.ENOUGH_FLIPS.value, flips=60)
    settle(window)
    return window, recording


def test_a_session_is_ended_by_a_button_and_the_strip_says_so(practising, settle):
    window, recording = after_a_run(practising, settle)
    assert window.strip.end_session.isVisible()
    window.strip.end_session.click()
    assert recording.wishes[-1] == CloseSession()
    settle(window)
    assert not window.strip.end_session.isVisible()
    assert window.strip.saving.text() == "Session ended and kept"


def test_what_is_on_the_bench_is_asked_anew_after_a_session_was_ended(practising, settle):
    window, _ = after_a_run(practising, settle, Origin.PROBE)
    window.strip.end_session.click()
    settle(window)
    window.go(Step.SAFE)
    settle(window)
    assert window.pages.safe.lines == {}
    assert not any(made.isChecked() for made in window.pages.safe.question.buttons.values())
