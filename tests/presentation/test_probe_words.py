"""Words about a probe's program and its test of itself."""

import pytest

from benchapp.presentation.probe_words import (
    ask_before_installing,
    ask_before_opening,
    ask_before_testing,
    install_text,
    installed_text,
    lead_test_text,
    self_test_text,
    self_test_texts,
)
from benchapp.records.leads import Board, ClockKind
from benchapp.records.probe_install import Installed, InstallProgress, InstallStep
from benchapp.records.self_test import LeadTest, SelfTest, SelfTestProgress, SelfTestStep


def lead(**changes) -> LeadTest:
    found = {
        "index": 1, "label": "D2", "driven": 120, "seen": 120, "strays": 0, "mean_ns": 401.6, "sd_ns": 253.5,
        "earliest_ns": -0.4, "latest_ns": 813.0, "coarse": 0, "keeps_promise": True,
    }  # fmt: skip
    return LeadTest(**{**found, **changes})


@pytest.mark.parametrize("ask", [ask_before_opening, ask_before_installing, ask_before_testing])
def test_the_question_names_the_port_and_says_what_may_happen(ask):
    assert "/dev/ttyUSB0" in ask("/dev/ttyUSB0")
    assert "reset" in ask("/dev/ttyUSB0")
    assert ask("/dev/ttyUSB0").endswith("?")
    assert "\n" not in ask("a\nb")


@pytest.mark.parametrize("step", InstallStep)
def test_every_step_of_installing_has_words(step):
    assert install_text(InstallProgress(step=step))
    assert "0 of 0" not in install_text(InstallProgress(step=step))


def test_pages_are_counted():
    assert install_text(InstallProgress(step=InstallStep.WRITE, done=3, total=62)) == "Writing, page 3 of 62"


def test_what_was_installed_is_said_without_unseen_signs():
    board = Board(
        wire_version=1, start_id=1, tick_hz=1, tick_bits=32, clock_kind=ClockKind.UNKNOWN, tolerance_ppm=None,
        serial="A\u202eB\n", program="probe 1.0",
    )  # fmt: skip
    text = installed_text(Installed(port="p", file="f", sha256="", size_bytes=7, board=board))
    assert text.endswith("It answers as probe 1.0, serial AB.")


def test_a_good_lead_is_told_with_its_lateness_and_a_bad_one_with_what_to_do():
    assert lead_test_text(lead()) == (
        "D2: 120 edges, none lost; stamped 0.40 µs late on average, spread 0.25 µs, from 0.00 µs to 0.81 µs. "
        "As its description says."
    )
    bad = lead_test_text(lead(seen=117, strays=2, keeps_promise=False))
    assert "3 lost, 2 that nobody made" in bad
    assert "use another lead" in bad
    none = lead_test_text(lead(seen=1, mean_ns=None, sd_ns=None, earliest_ns=None, latest_ns=None))
    assert none == "D2: only 1 of 120 edges came in. Look at the wire and test again."


def test_the_self_test_says_what_to_do_next():
    waiting = SelfTestProgress(step=SelfTestStep.JUMPER, drive="D9", left=("D8", "D2"))
    assert self_test_text(waiting).startswith("Put a wire from D9 straight to one of D8, D2")
    crowd = SelfTestProgress(step=SelfTestStep.JUMPER, drive="D9", crowd=("D2", "D3"))
    assert self_test_text(crowd).startswith("D2 and D3 follow D9 together")
    assert "edge 5 of 120" in self_test_text(SelfTestProgress(step=SelfTestStep.MEASURE, lead="D2", done=5, total=120))
    assert self_test_text(SelfTestProgress(step=SelfTestStep.GREET))


def test_the_end_says_whether_it_is_kept():
    test = SelfTest(serial="S-1", program="", tested_on="2026-11-25", leads=(lead(),))
    assert self_test_texts(test)[-1].startswith("Kept for the probe with the serial number S-1")
    anonymous = SelfTest(serial="", program="", tested_on="2026-11-25", leads=(lead(),))
    assert self_test_texts(anonymous)[-1].startswith("Not kept")
