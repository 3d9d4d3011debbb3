"""Pictures of choosing and running sweeps and holds."""

from benchapp.procedures.ground.progress import Pace, Prompt, StickProgress
from benchapp.ui.kept.steps import Step
from tests.ui.fake_bench import LEADS, FakeRecording
from tests.ui.fake_stick import SECOND, STICK_LEADS, place_at, with_stick

FIGURES = {"linearity_pct": 0.42, "linearity_u_pct": 0.11, "low_us": 1108.2, "high_us": 1886.1}
SWEEP = {"scale_v": 3.3, "low_v": 0.5, "high_v": 2.8, "cycles": 1, "cycles_wanted": 3, **FIGURES}
STOPS = {"stops": 6, "stops_wanted": 61, "next_deg": 6.0, "mark": 7, "marks": 11, "rising": True, "cycles_wanted": 3}
HOLD = {"held_s": 12.2, "hold_s": 20.0, "position": 1, "sd_us": 0.41, "peak_us": 2.3}


def at_tests(camera, recording):
    """Return a window at the choice of a test."""
    window = camera.window(recording)
    window.practise("alder")
    while window.workbench.status is None:
        camera.settle(window)
    window.workbench.confirm("practice", yes=True)
    window.go(Step.TESTS)
    camera.settle(window)
    return window


def stick_choice_pictures(camera) -> None:
    """Each test chosen, marks of one's own, and a lead that is missing."""
    window = at_tests(camera, FakeRecording(leads=STICK_LEADS))
    choice = window.pages.tests.choice
    choice.show_more("stick-sweep")
    camera.take(window, "choice-sweep")
    choice.options["stick-sweep"].by_stops.click()
    camera.take(window, "choice-stops")
    choice.options["stick-sweep"].own_button.click()
    choice.options["stick-sweep"].by_hand.click()
    camera.take(window, "choice-stops-own")
    choice.show_more("hold-still")
    camera.take(window, "choice-hold")
    camera.close(window)
    window = at_tests(camera, FakeRecording(leads=LEADS))
    window.pages.tests.choice.choose("stick-sweep")
    camera.take(window, "choice-no-stick")
    camera.close(window)


def started(camera, test, prepare, *, held=False):
    """Return a window in a run of a test, and its recording."""
    recording = with_stick(FakeRecording(leads=STICK_LEADS), to_s=11.2, held=held)
    window = at_tests(camera, recording)
    window.pages.tests.choice.choose(test)
    prepare(window.pages.tests.choice)
    camera.settle(window)
    window.pages.tests.choice.start_button.click()
    camera.settle(window)
    recording.tell(recorded_s=41.0, saved_ago_s=0.4, now_ns=12 * SECOND)
    return window, recording


def by_stops(choice) -> None:
    """Choose marks that a person sets."""
    choice.options["stick-sweep"].by_stops.click()
    choice.options["stick-sweep"].by_hand.click()


def stick_run_pictures(camera) -> None:
    """A sweep under way, before a stroke and done; stops set, settling and gone past; a hold, and touched."""
    window, recording = started(camera, "stick-sweep", lambda choice: choice.options["stick-sweep"].by_hand.click())
    for number in range(224):
        at_s = number * 0.05
        moving = 1 < at_s < 6 or at_s > 7
        stick = StickProgress(
            **SWEEP,
            at_v=0.5 + 2.3 * float(place_at(at_s)),
            target=float(place_at(at_s + 0.2)) if moving else None,
            pace=Pace.GOOD if moving else None,
            pace_wanted=Pace.SLOWER,
        )
        recording.run(test="stick-sweep", prompt=Prompt.SWEEP, stick=stick, minutes_left=0.6)
        recording.tell(now_ns=int(at_s * SECOND))
        window.bridge.tick()
    camera.take(window, "run-sweep")
    rest = StickProgress(**SWEEP, at_v=0.5, still=True, pace_wanted=Pace.SLOWER)
    recording.run(stick=rest)
    camera.take(window, "run-sweep-before")
    recording.run(prompt=Prompt.DONE, stick=StickProgress(**SWEEP), outcome="complete", stop_reason="enough-cycles")
    camera.take(window, "run-sweep-done")
    camera.close(window)
    window, recording = started(camera, "stick-sweep", by_stops)
    for prompt, still in ((Prompt.SET_STOP, False), (Prompt.KEEP_STILL, True), (Prompt.WENT_PAST, True)):
        stick = StickProgress(**STOPS, can_drop=True, still=still, last_us=1412.3)
        recording.run(test="stick-sweep", prompt=prompt, stick=stick, minutes_left=3.6)
        camera.take(window, f"run-{prompt}")
    camera.close(window)
    window, recording = started(camera, "hold-still", lambda choice: None, held=True)
    for prompt, paused in ((Prompt.TOUCH_NOTHING, ""), (Prompt.LET_GO, "touched")):
        recording.run(test="hold-still", prompt=prompt, stick=StickProgress(**HOLD), minutes_left=0.13, paused=paused)
        camera.take(window, f"run-{prompt}")
    camera.close(window)
