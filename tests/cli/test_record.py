"""`benchapp record`."""

import io
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from benchapp.acquisition.status import LinkState, Status
from benchapp.cli import record_command
from benchapp.cli.progress_line import ProgressLine, progress_text
from benchapp.cli.safety_prompt import confirmed_lines
from benchapp.desk.loading import load
from benchapp.presentation.ground.safety import PRACTICE_TOLD, SAFETY
from benchapp.procedures.gate import (
    GRAVE_LINES,
    PROPELLER_LINES,
    OnBench,
    SafetyLine,
    gate,
    needed_lines,
    offered_lines,
)
from benchapp.procedures.ground.progress import Prompt, RunProgress
from benchapp.records.errors import SafetyRefused
from benchapp.records.run import Origin, Outcome

ROOT = Path(__file__).resolve().parents[2]
PROBE = ("--probe", "practice://alder?seed=32", "--test", "switch-flip")


def test_a_run_says_how_it_ended_and_where_it_is(call, tmp_path):
    called = call("record", *PROBE, "--flips", 3, "--yes-safe", "--out", tmp_path / "a.t2h")
    assert called.status == 0
    assert "3 of 3 flips answered" in called.out
    assert "a.t2h" in called.out
    assert called.err.splitlines() == ["This is the practice bench: nothing here can move.", PRACTICE_TOLD]


def test_what_the_practice_bench_gives_says_so_before_any_figure(call, tmp_path):
    called = call("record", *PROBE, "--flips", 3, "--yes-safe", "--out", tmp_path / "a.t2h")
    assert called.out.startswith("PRACTICE, SIMULATED: ")
    assert called.out.index("PRACTICE, SIMULATED") < called.out.index("The figure")
    cut = call(
        "record", "--probe", "practice://alder?unplug_s=4", *PROBE[2:], "--yes-safe", "--out", tmp_path / "b.t2h"
    )
    assert (cut.status, cut.out.startswith("PRACTICE, SIMULATED: ")) == (3, True)


def test_without_any_end_it_runs_for_sixty_flips(call, tmp_path):
    assert "60 of 60" in call("record", *PROBE, "--yes-safe", "--out", tmp_path / "a.t2h").out


def test_seconds_alone_are_an_end(call, tmp_path):
    assert call("record", *PROBE, "--seconds", "3", "--yes-safe", "--out", tmp_path / "a.t2h").status == 0
    (run,) = load(tmp_path / "a.t2h").runs
    assert run.stop_ns - run.start_ns == pytest.approx(3e9, abs=1e9)
    assert run.settings.flips is None


def test_a_target_is_kept_with_the_run(call, tmp_path):
    words = ("--target-ms", "5", "--flips", "60", "--yes-safe", "--out", tmp_path / "a.t2h")
    assert call("record", *PROBE, *words).status == 0
    (run,) = load(tmp_path / "a.t2h").runs
    assert run.stopped_itself
    assert run.settings.target_ms == 5.0
    assert load(tmp_path / "a.t2h").findings.runs[0].result.flips == 40


def test_what_is_under_test_comes_from_a_file(call, tmp_path):
    (tmp_path / "bench.toml").write_text('name = "Bench 7"\ntransmitter = "Alder"\n', encoding="utf-8")
    out = tmp_path / "a.t2h"
    words = ("--bench", tmp_path / "bench.toml", "--pick-up", "taped", "--flips", 2, "--yes-safe", "--out", out)
    assert call("record", *PROBE, *words).status == 0
    facts = load(out).facts
    assert (facts.name, facts.bench, facts.pick_up) == ("Bench 7", {"transmitter": "Alder"}, "taped")


def test_a_fault_in_the_middle_ends_with_three_and_says_what_was_kept(call, tmp_path):
    probe = ("--probe", "practice://alder?seed=32&unplug_s=4", "--test", "switch-flip")
    called = call("record", *probe, "--yes-safe", "--out", tmp_path / "a.t2h")
    assert called.status == 3
    line = called.err.splitlines()[-1]
    assert "a.t2h" in line
    assert load(tmp_path / "a.t2h").runs[0].outcome is Outcome.CUT_SHORT


def test_without_a_terminal_and_without_yes_safe_nothing_runs(call, tmp_path, monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.StringIO("yes\n" * 50))
    called = call("record", *PROBE, "--out", tmp_path / "a.t2h")
    assert called.status == 2
    assert "--yes-safe" in called.err
    assert list(tmp_path.iterdir()) == []


INTERRUPTIBLE = """
import signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)  # whoever started the tests may have it ignored
for number in (signal.SIGTERM, signal.SIGHUP):
    signal.signal(number, signal.SIG_DFL)
from benchapp.__main__ import main
sys.exit(main())
"""


@pytest.mark.parametrize("inherited", [signal.SIG_DFL, signal.SIG_IGN])
@pytest.mark.parametrize("asked", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_an_interrupt_stops_and_keeps_with_status_zero(tmp_path, asked, inherited):
    out = tmp_path / "a.t2h"
    words = ("record", *PROBE, "--flips", "100000", "--yes-safe", "--out", str(out))
    before = signal.signal(asked, inherited)
    try:
        process = subprocess.Popen(
            [sys.executable, "-c", INTERRUPTIBLE, *words],
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
    finally:
        signal.signal(asked, before)
    with process:
        try:
            assert process.stderr is not None
            told = [process.stderr.readline(), process.stderr.readline()]  # the list, right before the run
            process.send_signal(asked)
            said, trouble = process.communicate(timeout=60)
        finally:
            process.kill()
    assert told[-1].strip() == PRACTICE_TOLD
    assert (process.returncode, trouble) == (0, "")
    assert "Stopped early and kept" in said
    assert load(out).kept == ""
    assert load(out).runs[0].outcome is Outcome.CUT_SHORT
    assert list(tmp_path.iterdir()) == [out]


# The safety list -------------------------------------------------------------------------------------------------


class Terminal(io.StringIO):
    """Somebody who types these lines."""

    def isatty(self) -> bool:
        return True


def answers(monkeypatch, *typed: str) -> None:
    monkeypatch.setattr(sys, "stdin", Terminal("".join(f"{line}\n" for line in typed)))


def test_each_line_is_asked_and_must_be_answered(monkeypatch, capsys):
    answers(monkeypatch, "1", *["y"] * 5)
    answered = confirmed_lines(Origin.PROBE, yes_safe=False)
    assert answered.on_bench is OnBench.SERVOS
    assert answered.lines[0] == SafetyLine.RECEIVER_ONLY
    assert not set(PROPELLER_LINES) & set(answered.lines)
    asked = [line for line in capsys.readouterr().err.splitlines() if line]
    assert "manuals" in asked[0]
    assert [line[:1] for line in asked[1:5]] == ["1", "2", "3", "4"]
    assert "What is on the bench?" in asked[5]


@pytest.mark.parametrize(("typed", "on_bench"), [("2", "no-propeller"), ("3", "motor"), ("4", "combustion")])
def test_each_answer_brings_its_own_lines(monkeypatch, typed, on_bench):
    answers(monkeypatch, "five", "0", typed, *["y"] * 20)
    answered = confirmed_lines(Origin.PROBE, yes_safe=False)
    assert answered.on_bench == on_bench
    assert answered.lines == tuple(needed_lines(Origin.PROBE, OnBench(on_bench)))
    answers(monkeypatch, *["y"] * 20)
    assert confirmed_lines(Origin.PROBE, yes_safe=False, on_bench=OnBench(on_bench)) == answered


def test_what_needs_no_yes_is_printed_all_the_same(monkeypatch, capsys):
    answers(monkeypatch, "1", *["y"] * 5)
    confirmed_lines(Origin.PROBE, yes_safe=False)
    printed = capsys.readouterr().err
    for line in offered_lines(Origin.PROBE):
        assert (SAFETY[line].text in printed) is (line not in GRAVE_LINES)


def test_each_line_is_noted_at_the_moment_it_is_confirmed(monkeypatch):
    answers(monkeypatch, "1", *["y"] * 20)
    noted = []
    lines = confirmed_lines(Origin.PROBE, yes_safe=False, note=noted.append).lines
    assert tuple(noted) == ("on-bench", *lines)
    confirmed_lines(Origin.PROBE, yes_safe=True, note=noted.append)
    assert len(noted) == len(lines) + 1  # nobody said anything at any moment


def test_a_run_is_told_when_each_line_was_answered(monkeypatch, call, tmp_path):
    answers(monkeypatch, "yes")
    orders = []

    def record(order, *_told, **_named):
        orders.append(order)
        raise SafetyRefused("No run in this test.")

    monkeypatch.setattr(record_command, "record", record)
    began_ns = time.monotonic_ns()
    assert call("record", *PROBE, "--out", tmp_path / "a.t2h").status == 2
    ((line, at_ns),) = orders[0].answered_ns.items()
    assert line == "practice"
    assert began_ns <= at_ns <= time.monotonic_ns()


def test_a_motor_on_the_bench_brings_the_propeller_lines(monkeypatch, capsys):
    answers(monkeypatch, "3", *["yes"] * 20)
    assert set(PROPELLER_LINES) <= set(confirmed_lines(Origin.PROBE, yes_safe=False).lines)
    assert "WARNING: Take the propeller" in capsys.readouterr().err


def test_an_answer_that_is_neither_is_asked_again(monkeypatch):
    answers(monkeypatch, "", "perhaps", "YES")
    assert confirmed_lines(Origin.PRACTICE, yes_safe=False).lines == ("practice",)


@pytest.mark.parametrize("typed", [("no",), ("1", "yes", "no"), ("1",), ("9",), ()])
def test_one_no_or_no_answer_means_no_run(monkeypatch, typed):
    answers(monkeypatch, *typed)
    with pytest.raises(SafetyRefused, match="No run was started"):
        confirmed_lines(Origin.PROBE, yes_safe=False)


def test_yes_safe_answers_every_line_but_that_no_motor_is_connected():
    answered = confirmed_lines(Origin.PROBE, yes_safe=True)
    assert not answered.bench_said
    every = {line.value for line in offered_lines(Origin.PROBE)} - {SafetyLine.RECEIVER_ONLY.value}
    assert set(answered.lines) == every
    assert gate(dict.fromkeys(answered.lines, 1), 2, origin=Origin.PROBE, on_bench=answered.on_bench) == ()


def test_yes_safe_answers_the_lines_of_the_bench_that_the_call_names():
    answered = confirmed_lines(Origin.PROBE, yes_safe=True, on_bench=OnBench.SERVOS)
    assert answered.bench_said
    assert answered.lines == tuple(needed_lines(Origin.PROBE, OnBench.SERVOS))


def test_a_bench_that_is_none_is_refused_on_one_line(call, tmp_path):
    called = call("record", *PROBE, "--on-bench", "hovercraft", "--yes-safe", "--out", tmp_path / "a.t2h")
    assert called.status == 2
    (line,) = called.err.splitlines()
    assert "servos, no-propeller, motor, combustion" in line


# The line that follows a run -------------------------------------------------------------------------------------


def status(**changes) -> Status:
    run = RunProgress(run=1, test="switch-flip", prompt=Prompt.FLIP_NOW, flips=7, answered=7, **changes)
    return Status(link=LinkState.RECORDING, probe="a probe", origin=Origin.PROBE, run=run)


def test_progress_says_count_last_value_figure_and_what_is_left():
    text = progress_text(status(wanted=60, last_ms=13.2, value_ms=12.0, half_width_ms=1.5, minutes_left=3.2))
    assert text.replace("\u00a0", " ") == (
        "Flip now · 7 of 60 flips · last 13.2 ms · 12.0 ms, give or take 1.5 ms · about 3 min left"
    )


def test_progress_says_what_the_figure_stands_for_and_any_switch_on_beside_it():
    facts = {"value_ms": 12.0, "half_width_ms": 1.5, "any_half_width_ms": 6.7}
    text = progress_text(status(**facts, stands_for="this-switch-on")).replace("\u00a0", " ")
    assert "12.0 ms, give or take 1.5 ms (this switch-on); any switch-on: 12.0 ms, give or take 6.7 ms" in text
    text = progress_text(status(**facts, stands_for="any-switch-on", seen_switch_ons=4)).replace("\u00a0", " ")
    assert "12.0 ms, give or take 1.5 ms (any switch-on)" in text
    assert "6.7" not in text


def test_progress_says_why_a_run_is_paused_and_why_a_flip_did_not_count():
    text = progress_text(status(paused="bad-signal", last_code="no-answer"))
    assert text.startswith("The servo pulses stopped.")
    assert "no answer in time" in text


def test_progress_is_silent_where_stderr_is_no_terminal(capsys):
    with ProgressLine() as line:
        line.show(status())
    assert capsys.readouterr().err == ""


def test_progress_rewrites_one_line_and_leaves_it_blank(monkeypatch):
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    with ProgressLine() as line:
        line.show(status(wanted=60))
        line.show(status(wanted=60))
    written = terminal.getvalue()
    assert "\n" not in written
    assert written.count("7 of 60") == 1
    assert written.endswith("\r")
