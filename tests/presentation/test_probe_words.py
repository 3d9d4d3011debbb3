"""Words about a probe's program and its test of itself."""

import pytest

from benchapp.presentation.screens.probe_words import (
    ask_before_installing,
    ask_before_opening,
    ask_before_testing,
    clock_progress_text,
    clock_texts,
    install_text,
    installed_text,
    lead_test_text,
    self_test_text,
    self_test_texts,
)
from benchapp.records.clock_check import ClockCheck, ClockProgress
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


def check(**changes) -> ClockCheck:
    found = {
        "serial": "S", "error_ppm": -1234.4, "standard_ppm": 20.5, "expanded_ppm": 41.0, "span_s": 59.9,
        "heartbeats": 600, "tolerance_ppm": 5000.0, "inside": True, "drift_ppm": 2.0, "drift_standard_ppm": 3.0,
        "warming": False,
    }  # fmt: skip
    return ClockCheck(**{**found, **changes})


def test_a_clock_check_is_told_with_its_uncertainty_what_is_allowed_and_whether_it_is_warm():
    found, within, used, warmth = clock_texts(check())
    assert found.startswith("The probe's clock is 1234 ± 41 ppm (millionths) slow beside this computer's")
    assert "good to 40 ppm" in found
    assert within == "That is within 5000 ppm, as the probe describes itself."
    assert "corrected" in used
    assert warmth.startswith("It kept its rate")
    assert "outside" in clock_texts(check(inside=False))[1]
    assert clock_texts(check(inside=None))[1].startswith("It cannot be told")
    assert clock_texts(check(inside=None, tolerance_ppm=None))[1] == "The probe names no limit for it."
    assert "still warming up" in clock_texts(check(warming=True, drift_ppm=-30.0))[3]
    assert "Too short" in clock_texts(check(drift_ppm=None, drift_standard_ppm=None))[3]


def test_the_progress_of_a_clock_check_has_a_figure_as_soon_as_there_is_one():
    assert clock_progress_text(ClockProgress(elapsed_s=0, total_s=60)) == "Listening to the probe's clock, 0 of 60 s"
    text = clock_progress_text(ClockProgress(elapsed_s=10, total_s=60, error_ppm=12.0, expanded_ppm=44.0))
    assert text.endswith("12 ± 44 ppm (millionths) fast so far")
