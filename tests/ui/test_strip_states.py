"""The strip says why a port could not be opened, and forgets it once another thing is begun."""

import pytest

from benchapp.records.errors import (
    NoProbeProgram,
    NotOurProbe,
    OldProbeProgram,
    PortBusy,
    PortGone,
    PortNotAllowed,
)
from tests.ui.fake_bench import OPEN_BENCH, FakeRecording, fake_desk

PORT = "/dev/ttyUSB0"


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (PortBusy("Another program holds it."), f"{PORT} · in use"),
        (PortNotAllowed("This user may not open it."), f"{PORT} · not allowed"),
        (NotOurProbe("Something else answers."), f"{PORT} · not our probe"),
        (NoProbeProgram("Nothing answers."), f"{PORT} · no probe program yet"),
        (OldProbeProgram("It speaks wire format 0."), f"{PORT} · old probe program"),
        (PortGone("There is no such port."), "No probe"),
    ],
)
def test_the_strip_says_why_a_port_could_not_be_opened(open_window, qtbot, error, words):
    recording, ends = FakeRecording(), [error]

    def open_bench(url):
        if ends:
            raise ends.pop()
        return recording

    desk = fake_desk(recording)
    desk[OPEN_BENCH] = open_bench
    window = open_window(desk)
    window.connect_port(PORT)
    assert window.strip.state.text() == "Looking"
    qtbot.waitUntil(lambda: window.strip.state.text() == words, timeout=5000)
    window.practise("alder")
    qtbot.waitUntil(lambda: "ready" in window.strip.state.text(), timeout=5000)
