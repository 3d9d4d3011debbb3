"""Recording without a window, as the desk does it."""

import time
from dataclasses import replace
from pathlib import Path

import pytest

from benchapp.desk.bench import open_bench
from benchapp.desk.loading import load
from benchapp.desk.recording import RecordOrder, record
from benchapp.records.errors import (
    BenchError,
    OutputExists,
    PortGone,
    ProbeTrouble,
    SafetyRefused,
    WrongCall,
)
from benchapp.records.events import EventKind
from benchapp.records.run import Origin, Outcome, PickUp, RunSettings
from benchapp.sessions.opening import open_session

ALDER = "practice://alder?seed=22"


def order(out: Path, **changes) -> RecordOrder:
    usual = RecordOrder(
        probe=ALDER, test="switch-flip", out=out, settings=RunSettings(flips=3), confirmed=("practice",)
    )
    return replace(usual, **changes)


def ignore(status) -> None:
    pass


def test_a_run_is_recorded_with_its_name_its_bench_and_its_safety(session):
    facts = load(session).facts
    assert facts.name == "A bench"
    assert facts.bench == {"transmitter": "Alder"}
    assert facts.safety == (("practice", "yes"),)
    assert facts.origin is Origin.PRACTICE
    assert facts.pick_up is PickUp.CONTACT
    assert facts.started is not None


def test_a_line_is_kept_with_the_time_it_was_answered_at_the_terminal(tmp_path):
    answered_ns = {"practice": time.monotonic_ns() - 9_000_000_000}
    record(order(tmp_path / "a.t2h", answered_ns=answered_ns), ignore)
    events = open_session(tmp_path / "a.t2h").events
    (said,) = (event for event in events if event.kind is EventKind.SAFETY)
    began = next(event for event in events if event.kind is EventKind.RUN_START)
    assert 9_000_000_000 <= began.at_ns - said.at_ns < 60_000_000_000


def test_without_a_name_the_session_is_called_after_its_file(tmp_path):
    record(order(tmp_path / "alder-3.t2h"), ignore)
    assert load(tmp_path / "alder-3.t2h").facts.name == "alder-3"


def test_the_truth_is_a_file_of_its_own_and_not_in_the_session(tmp_path):
    recorded = record(order(tmp_path / "a.t2h", truth=tmp_path / "a.json"), ignore)
    assert recorded.trouble is None
    assert (tmp_path / "a.json").exists()
    assert b"mid_ms" not in (tmp_path / "a.t2h").read_bytes()


def test_an_interrupt_stops_the_run_and_keeps_it(tmp_path):
    def interrupt(status) -> None:
        if status.run is not None and status.run.flips >= 2 and not status.run.outcome:
            raise KeyboardInterrupt

    recorded = record(order(tmp_path / "a.t2h", settings=RunSettings(flips=5000)), interrupt)
    assert recorded.trouble is None
    assert recorded.run.outcome == "cut-short"
    (run,) = load(tmp_path / "a.t2h").runs
    assert run.outcome is Outcome.CUT_SHORT
    assert recorded.run.flips >= 2


def test_a_driven_switch_is_flipped_by_the_probe_at_stepped_phases(tmp_path):
    wanted = order(tmp_path / "a.t2h", probe="practice://birch?seed=3&flips=none", clips={"flip": "drive"})
    recorded = record(replace(wanted, settings=RunSettings(flips=22)), ignore)
    assert recorded.run.flips == 22
    loaded = load(tmp_path / "a.t2h")
    assert loaded.facts.pick_up is PickUp.DRIVEN
    assert "phase-stepped" in loaded.findings.runs[0].flags


def test_a_stick_can_be_the_control(tmp_path):
    recorded = record(order(tmp_path / "a.t2h", probe="practice://cedar?seed=4&control=stick"), ignore)
    assert recorded.run.answered == 3
    assert load(tmp_path / "a.t2h").findings.runs[0].control == "stick"


@pytest.mark.parametrize(
    ("changes", "kind"),
    [
        ({"test": "no-such-test"}, WrongCall),
        ({"test": "no\nsuch\u202etest" + "x" * 10_000}, WrongCall),
        ({"probe": "practice://eagle"}, WrongCall),
        ({"probe": "practice://alder?sped=1"}, WrongCall),
        ({"probe": "ftp://somewhere"}, WrongCall),
        ({"probe": "/dev/no-such-port"}, ProbeTrouble),
        ({"probe": ""}, WrongCall),
        ({"confirmed": ()}, SafetyRefused),
        ({"clips": {"D9": "output"}}, WrongCall),
        ({"clips": {"output": "wing"}}, WrongCall),
        ({"clips": {"pack": "output"}}, WrongCall),
        ({"probe": "/dev/null", "truth": Path("truth.json")}, WrongCall),
    ],
)
def test_an_order_that_cannot_be_carried_out_costs_no_file(tmp_path, monkeypatch, changes, kind):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(kind) as refusal:
        record(order(tmp_path / "a.t2h", **changes), ignore)
    assert "\n" not in refusal.value.message
    assert len(refusal.value.message) < 1000
    assert list(tmp_path.iterdir()) == []


def test_an_output_that_is_there_stays_as_it_is(tmp_path):
    out, truth = tmp_path / "a.t2h", tmp_path / "a.json"
    for there, changes in ((out, {}), (truth, {"truth": truth})):
        there.write_text("mine")
        with pytest.raises(OutputExists):
            record(order(out, **changes), ignore)
        assert there.read_text() == "mine"
        there.unlink()


def test_a_wrong_port_costs_no_old_session_even_with_force(tmp_path):
    out = tmp_path / "a.t2h"
    out.write_text("mine")
    with pytest.raises(PortGone):
        record(order(out, probe="/dev/no-such-port", force=True), ignore)
    assert out.read_text() == "mine"


def test_the_file_the_bench_was_read_from_is_never_written_over(tmp_path):
    bench = tmp_path / "bench.toml"
    bench.write_text('name = "Birch"')
    for words in ({"out": bench}, {"truth": bench}):
        wanted = replace(order(tmp_path / "a.t2h", force=True), bench_file=bench, **words)
        with pytest.raises(WrongCall, match="read by this call"):
            record(wanted, ignore)
    assert bench.read_text() == 'name = "Birch"'


def test_a_folder_that_is_not_there_is_said(tmp_path):
    with pytest.raises(WrongCall, match="no folder"):
        record(order(tmp_path / "no" / "a.t2h"), ignore)


def test_truth_and_session_cannot_be_one_file(tmp_path):
    with pytest.raises(WrongCall, match="same file"):
        record(order(tmp_path / "a.t2h", truth=tmp_path / "a.t2h"), ignore)


@pytest.mark.parametrize(("fault", "said"), [("unplug_s=5", "unplugged"), ("reset_s=5", "started anew")])
def test_a_fault_in_the_middle_is_told_and_the_run_kept(tmp_path, fault, said):
    recorded = record(order(tmp_path / "a.t2h", probe=f"{ALDER}&{fault}", settings=RunSettings(flips=50)), ignore)
    assert recorded.trouble is not None
    assert recorded.trouble.status == 3
    assert said in recorded.trouble.message
    assert "a.t2h" in recorded.trouble.kept
    assert load(tmp_path / "a.t2h").runs[0].outcome is Outcome.CUT_SHORT


def test_a_bench_for_the_window_answers_or_says_why_not():
    bench = open_bench("practice://alder?pace=flat")
    assert bench.status().leads
    bench.close()
    for wrong in ("practice://eagle", "/dev/no-such-port"):
        with pytest.raises(BenchError):
            open_bench(wrong)


@pytest.mark.parametrize("changes", [{}, {"pick_up": PickUp.TAPED}, {"switch_ons": 4}, {"target_ms": 4.0}])
def test_the_last_live_figure_is_the_one_of_the_findings(tmp_path, changes):
    told = RunSettings(flips=60, target_ms=changes.get("target_ms"), switch_ons=changes.get("switch_ons"))
    out = tmp_path / "a.t2h"
    live = record(order(out, settings=told, pick_up=changes.get("pick_up")), ignore).run
    latency = load(out).findings.runs[0].result
    headline, any_one = latency.headline, latency.any_switch_on
    assert (live.value_ms, live.half_width_ms) == pytest.approx((headline.value_ms, headline.expanded_uncertainty_ms))
    assert live.any_half_width_ms == pytest.approx(any_one.expanded_uncertainty_ms)
    assert (live.stands_for, live.seen_switch_ons) == (headline.stands_for, latency.switch_ons)
    assert headline.stopped_itself is ("target_ms" in changes)
