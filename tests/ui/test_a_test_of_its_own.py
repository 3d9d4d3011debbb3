"""A named test that no product file knows, in the window: its card, its options, its run and its findings."""

import pytest

from benchapp.acquisition.wishes import StartRun
from benchapp.desk.named_tests import register, unregister
from benchapp.procedures.ground.progress import Prompt
from benchapp.records.run import RunSettings
from benchapp.ui.kept.steps import Step
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.table_view import TableView
from tests.ui.made_sessions import made_stick_session
from tests.whole.pulse_count import NAME, WHOLE


@pytest.fixture(autouse=True)
def registered():
    register(WHOLE)
    yield
    unregister(NAME)


def words(widget):
    return [label.text() for label in widget.findChildren(PlainLabel)]


def test_it_has_a_card_and_a_form_and_its_run_shows_what_it_counts(practising, settle, moment_passes):
    window, recording = practising()
    window.workbench.confirm("practice", yes=True)
    window.go(Step.TESTS)
    settle(window)
    choice = window.pages.tests.choice
    assert choice.cards[NAME].title.text() == "Count the pulses"
    choice.cards[NAME].choose.click()
    settle(window)
    assert choice.first.text() == "Touch nothing."
    choice.options[NAME].seconds.set_value(7)
    assert choice.start_button.isEnabled(), choice.why_not.text()
    choice.start_button.click()
    settle(window)
    moment_passes(window)
    (wish,) = (wish for wish in recording.wishes if isinstance(wish, StartRun))
    assert (wish.test, wish.settings) == (NAME, RunSettings(seconds=7.0))
    recording.run(test=NAME, prompt=Prompt.TOUCH_NOTHING, counts=321)
    settle(window)
    assert window.pages.tests.run.count.text() == "321 pulses"
    assert window.pages.tests.run.prompt.text() == "Hands off"


def test_its_findings_stand_on_their_sheet(open_window, settle, qtbot, tmp_path):
    path = made_stick_session(tmp_path / "counted.t2h", NAME, seconds=3.0)
    window = open_window()
    window.open_path(path)
    qtbot.waitUntil(lambda: window.session.now is not None, timeout=20_000)
    settle(window)
    assert window.step is Step.FINDINGS
    (run,) = window.session.now.loaded.findings.runs
    shown = words(window.pages.findings)
    assert f"In 3 s the output gave {run.result.pulses} servo pulses." in shown
    assert str(run.result.pulses) in shown
    tables = []
    for part in window.pages.findings.sheet.tabs:
        window.pages.findings.sheet.open(part.key)
        settle(window)
        views = window.pages.findings.findChildren(TableView)
        tables += [view.isVisibleTo(window) for view in views if view.key == "seconds"]
    assert tables == [True]
