"""`benchapp record` on a port: what it asks, what it prints, and what the session keeps of the safety list."""

import io
import sys

import pytest

from benchapp.desk.loading import load
from benchapp.desk.seen_ports import is_seen
from benchapp.presentation.ground.safety import BY_YES_SAFE, SAFETY
from benchapp.procedures.gate import OnBench, SafetyLine, needed_lines
from benchapp.records.run import Origin
from tests.desk.test_real_port import FarBoard
from tests.probe.pty_peer import peer

ASKED = [line.value for line in needed_lines(Origin.PROBE, OnBench.COMBUSTION)]
RUN = ("--test", "switch-flip", "--seconds", "1", "--yes-safe")


class Terminal(io.StringIO):
    """Somebody who types these lines."""

    def isatty(self) -> bool:
        return True


@pytest.fixture(autouse=True)
def nothing_remembered(monkeypatch, tmp_path_factory):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("data")))


@pytest.fixture
def port():
    far = FarBoard("practice://alder?seed=41&dwell_s=0.8")
    with peer(far.hear, far.play) as played:
        yield played


def test_yes_safe_prints_the_list_it_answers_and_the_session_says_who_answered(call, port, tmp_path):
    called = call("record", "--probe", port.port, *RUN, "--out", tmp_path / "a.t2h")
    assert called.status == 0
    for line in ASKED:
        assert SAFETY[SafetyLine(line)].text in called.err
    assert "WARNING: Take the propeller" in called.err
    assert SAFETY[SafetyLine.RECEIVER_ONLY].text not in called.err
    assert "answered by --yes-safe" in called.err.splitlines()[-1]
    assert dict(load(tmp_path / "a.t2h").facts.safety) == dict.fromkeys(("on-bench", *ASKED), BY_YES_SAFE)
    assert "PRACTICE" not in called.out


def test_a_call_that_names_its_bench_is_asked_about_that_bench_and_the_session_says_so(call, port, tmp_path):
    words = ("--on-bench", "servos", "--out", tmp_path / "a.t2h")
    called = call("record", "--probe", port.port, *RUN, *words)
    assert called.status == 0
    assert SAFETY[SafetyLine.RECEIVER_ONLY].text in called.err
    assert SAFETY[SafetyLine.PROPELLER_OFF].text not in called.err
    assert "said by --on-bench" in called.err.splitlines()[-1]
    servos = dict.fromkeys(needed_lines(Origin.PROBE, OnBench.SERVOS), BY_YES_SAFE)
    assert dict(load(tmp_path / "a.t2h").facts.safety) == {"on-bench": "servos", **servos}


def test_the_report_of_a_run_that_yes_safe_let_through_claims_no_bench_without_a_motor(call, port, tmp_path):
    assert call("record", "--probe", port.port, *RUN, "--out", tmp_path / "a.t2h").status == 0
    assert call("report", tmp_path / "a.t2h", "--out", tmp_path / "r", "--no-pdf").status == 0
    html = (tmp_path / "r" / "report.html").read_text(encoding="utf-8")
    assert "answered by --yes-safe" in html
    assert "nothing that drives a motor was connected" not in html


def test_without_a_terminal_the_call_is_the_yes_and_says_what_opening_may_do(call, port, tmp_path, monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    first = call("record", "--probe", port.port, *RUN, "--out", tmp_path / "a.t2h")
    assert first.status == 0
    assert "can reset the board" in first.err.splitlines()[0]
    assert "this call is taken as the yes" in first.err.splitlines()[0]
    assert is_seen(port.port)
    again = call("record", "--probe", port.port, *RUN, "--out", tmp_path / "b.t2h")
    assert (again.status, "this call is taken" in again.err) == (0, False)


def test_at_a_terminal_a_port_never_seen_is_opened_only_after_a_yes(call, port, tmp_path, monkeypatch):
    monkeypatch.setattr(sys, "stdin", Terminal("no\n"))
    refused = call("record", "--probe", port.port, *RUN, "--out", tmp_path / "a.t2h")
    assert refused.status == 2
    assert "No probe has been seen on" in refused.err
    assert port.heard == b""
    assert not (tmp_path / "a.t2h").exists()
    monkeypatch.setattr(sys, "stdin", Terminal("yes\n"))
    assert call("record", "--probe", port.port, *RUN, "--out", tmp_path / "a.t2h").status == 0


def test_a_call_that_is_refused_before_the_run_prints_no_list(call, port, tmp_path):
    called = call("record", "--probe", port.port, *RUN, "--lead", "nowhere=switch", "--out", tmp_path / "a.t2h")
    assert called.status == 2
    assert SAFETY[SafetyLine.LITHIUM].text not in called.err
