"""A sweep as it runs: the curve grows against its line beside the ring; a hold is a cloud of pulses."""

from dataclasses import replace

import pytest

from benchapp.procedures.ground.progress import Prompt, StickProgress
from benchapp.ui.kept.steps import Step
from tests.presentation.stick_builders import sweep
from tests.ui.fake_bench import FakeRecording
from tests.ui.fake_stick import STICK_LEADS, with_stick

SWEPT = StickProgress(
    place=0.4, target=0.45, at_v=1.4, scale_v=3.3, low_v=0.5, high_v=2.8, cycles=1, cycles_wanted=3
)  # fmt: skip


@pytest.fixture
def sweeping(practising, settle):
    """Return a window in a sweep, and its recording."""
    window, recording = practising(with_stick(FakeRecording(leads=STICK_LEADS), to_s=4.0))
    window.workbench.confirm("practice", yes=True)
    window.go(Step.TESTS)
    settle(window)
    window.pages.tests.choice.cards["stick-sweep"].choose.click()
    settle(window)
    window.pages.tests.choice.start_button.click()
    recording.run(test="stick-sweep", prompt=Prompt.SWEEP, flips=0, last_ms=None, stick=SWEPT)
    recording.tell(now_ns=4_000_000_000)
    settle(window)
    return window, recording


def test_the_curve_comes_with_the_first_findings_and_stands_beside_the_ring(sweeping, settle):
    window, recording = sweeping
    picture = window.pages.tests.run.picture
    assert picture.sweep.isVisible()
    assert not picture.curve.isVisible()
    found = sweep().result
    recording.run(stick=replace(SWEPT, found=found))
    settle(window)
    assert picture.curve.isVisible()
    ring = picture.sweep.rect().translated(picture.sweep.mapTo(window, picture.sweep.rect().topLeft()))
    curve = picture.curve.rect().translated(picture.curve.mapTo(window, picture.curve.rect().topLeft()))
    assert ring.right() < curve.left()
    assert curve.right() < window.width()
    assert curve.width() >= 200
    plot = picture.curve.plot()
    assert picture.curve.rect().contains(plot.toRect())
    before = picture.curve.grab().toImage()
    half = slice(0, found.curve.x.size // 2)
    shorter = replace(found.curve, **{name: getattr(found.curve, name)[half] for name in ("x", "up_us", "down_us")})
    recording.run(stick=replace(SWEPT, found=replace(found, curve=shorter)))
    settle(window)
    assert picture.curve.grab().toImage() != before


def test_another_test_has_no_curve(sweeping, settle):
    window, recording = sweeping
    recording.run(stick=replace(SWEPT, found=sweep().result))
    settle(window)
    recording.run(test="switch-flip", prompt=Prompt.FLIP_NOW, stick=None)
    settle(window)
    assert not window.pages.tests.run.picture.curve.isVisible()
