"""Three thousand live frames: the window's memory stays where it was."""

import gc
from pathlib import Path

import pytest

from benchapp.ui.kept.steps import Step
from tests.ui.fake_bench import edges, pulses

FRAMES = 3000
WARM_UP = 600
"""Longer than the window keeps of the past, so that its rings are full before the first look."""
FRAME_NS = 1_000_000_000 // 30
MOST_GROWN_BYTES = 4_000_000


def resident_bytes():
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * 4096


@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="only Linux tells how much memory is in use")
@pytest.mark.parametrize("step", [Step.LEADS, Step.TESTS])
def test_three_thousand_live_frames_leave_memory_flat(practising, settle, qapp, step):
    window, recording = practising()
    window.workbench.confirm("practice", yes=True)
    window.go(step)
    settle(window)
    if step is Step.TESTS:
        window.pages.tests.choice.start_button.click()
        settle(window)
    before = 0
    for frame in range(FRAMES):
        if frame == WARM_UP:
            gc.collect()
            before = resident_bytes()
        at = frame * FRAME_NS
        recording.feed.push(pulses(0, from_ns=at, to_ns=at + FRAME_NS, period_ns=11_000_000))
        if frame % 15 == 0:
            recording.feed.push(edges(1, [at + 1_000_000], first_level=frame // 15 % 2))
        settle(window, times=1)
    gc.collect()
    grown = resident_bytes() - before
    print(f"\n{FRAMES - WARM_UP} frames on {step.key}: {grown / 1e6:+.2f} MB")
    assert window.workbench.live.newest_ns > (FRAMES - 2) * FRAME_NS
    assert grown < MOST_GROWN_BYTES
