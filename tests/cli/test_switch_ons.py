"""`benchapp record --switch-ons`: what is asked at the terminal, and where nothing can be."""

import io
import os
import sys

import pytest

from benchapp.cli.arguments import parser
from benchapp.cli.progress_line import progress_text
from benchapp.cli.run_settings import run_settings
from benchapp.cli.switch_on_prompt import ask_switched_on
from benchapp.desk.loading import load
from benchapp.procedures.gate import PROPELLER_LINES, SafetyLine, offered_lines, switching_lines
from benchapp.procedures.ground.progress import Prompt, RunProgress
from benchapp.records.events import SWITCH_ON
from benchapp.records.run import Origin, RunSettings
from tests.cli.test_record import Terminal, answers, status

PROBE = ("--probe", "practice://birch?seed=32", "--test", "switch-flip")
WAITING = RunProgress(
    run=1,
    test="switch-flip",
    prompt=Prompt.SWITCH_OFF_AND_ON,
    flips=12,
    answered=12,
    paused=SWITCH_ON,
    blocks=2,
    switch_ons=5,
)
CONFIRMED = tuple(line.value for line in offered_lines(Origin.PROBE) if line not in PROPELLER_LINES)


def asked(**changes) -> tuple[str, ...] | None:
    return ask_switched_on(WAITING, changes.get("confirmed", CONFIRMED), changes.get("wanted", lambda: True))


def test_flips_are_spread_over_the_switch_ons(call, tmp_path):
    out = tmp_path / "a.t2h"
    assert call("record", *PROBE, "--flips", 5, "--switch-ons", 2, "--yes-safe", "--out", out).status == 0
    loaded = load(out)
    assert loaded.runs[0].settings == RunSettings(flips=5, switch_ons=2)
    assert [trial.block for trial in loaded.findings.runs[0].result.trials] == [0, 0, 0, 1, 1]


@pytest.mark.parametrize("words", [("--seconds", "900"), ("--target-ms", "0.001"), ()])
def test_without_a_number_of_flips_sixty_are_spread(words):
    typed = parser().parse_args(["record", *PROBE, "--out", "a.t2h", "--switch-ons", "6", *words])
    assert run_settings(typed).flips == 60
    assert run_settings(typed).switch_ons == 6


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--switch-ons", "0"), "from 1 to 100"),
        (("--switch-ons", "101"), "from 1 to 100"),
        (("--switch-ons", "ten"), "from 1 to 100"),
        (("--switch-ons", "6", "--flips", "5"), "at least one flip"),
        (("--switch-ons", "2", "--test", "hold-still"), "--switch-ons is for switch-flip"),
    ],
)
def test_switch_ons_that_cannot_be_are_refused_on_one_line(call, tmp_path, words, said):
    called = call("record", *PROBE, *words, "--yes-safe", "--out", tmp_path / "a.t2h")
    assert called.status == 2
    (line,) = called.err.splitlines()
    assert said in line
    assert list(tmp_path.iterdir()) == []


def test_a_real_bench_without_a_terminal_ends_with_two_and_one_line_before_anything_is_opened(call, tmp_path):
    words = ("--probe", "/dev/no-such-port", "--test", "switch-flip", "--switch-ons", "3", "--yes-safe")
    called = call("record", *words, "--out", tmp_path / "a.t2h")
    assert called.status == 2
    (line,) = called.err.splitlines()
    assert "terminal" in line
    assert "--switch-ons" in line
    assert list(tmp_path.iterdir()) == []


def test_one_switch_on_asks_for_no_terminal(call, tmp_path):
    words = ("--probe", "/dev/no-such-port", "--test", "switch-flip", "--switch-ons", "1", "--yes-safe")
    assert "no-such-port" in call("record", *words, "--out", tmp_path / "a.t2h").err


def test_the_prompt_says_which_switch_on_the_order_and_what_belongs_to_it(monkeypatch, capsys):
    answers(monkeypatch, "perhaps", "yes")
    again = asked()
    assert again[:4] == ("combustion-off", "power-order", "one-receiver", "servo-starts")  # an engine's, as confirmed
    assert set(again) == set(CONFIRMED)
    answers(monkeypatch, "yes")
    assert asked(confirmed=tuple(line for line in CONFIRMED if line != "combustion-off"))[0] == "power-order"
    said = capsys.readouterr().err
    assert "Switch-on 3 of 5" in said
    assert "Transmitter on first, model last" in said
    assert said.count("[yes/no]") == 3
    assert "every other line confirmed before the run" in said
    assert "Take the propeller" not in said


def test_a_motor_on_the_bench_brings_the_propeller_s_lines(monkeypatch, capsys):
    answers(monkeypatch, "yes")
    assert set(PROPELLER_LINES) <= set(asked(confirmed=()))
    assert "Take the propeller" in capsys.readouterr().err
    assert SafetyLine.POWER_ORDER in switching_lines(())


@pytest.mark.parametrize("typed", [("no",), ()])
def test_a_no_or_an_end_of_the_answers_stops_the_run(monkeypatch, capsys, typed):
    answers(monkeypatch, *typed)
    assert asked() is None
    assert "stopped and kept" in capsys.readouterr().err


def test_a_run_that_has_ended_meanwhile_needs_no_answer(monkeypatch):
    far, near = os.openpty()
    try:
        with open(near, encoding="utf-8", closefd=False) as terminal:
            monkeypatch.setattr(sys, "stdin", terminal)
            assert asked(wanted=lambda: False) is None
            os.write(far, b"yes\n")
            assert asked(wanted=lambda: True) is not None
    finally:
        os.close(far)
        os.close(near)


def test_progress_says_which_switch_on_it_is():
    assert "switch-on 2 of 5" in progress_text(status(blocks=2, switch_ons=5))
    assert progress_text(status(switch_ons_left=3, minutes_left=2.0)).endswith("3 switch-ons left · about 2 min left")
    assert "switch-on" not in progress_text(status())


def test_a_terminal_of_the_tests_is_no_file_of_the_system_s():
    with pytest.raises(io.UnsupportedOperation):
        Terminal().fileno()
