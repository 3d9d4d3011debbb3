"""A recording from its first byte to a closed session file."""

import threading
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from benchapp.acquisition.conductor import SLEPT_NS
from benchapp.acquisition.feed import Missed
from benchapp.acquisition.status import LinkState
from benchapp.acquisition.wishes import (
    AcknowledgeMissed,
    ClipTo,
    CloseSession,
    Confirm,
    Describe,
    Drop,
    Mark,
    NewSession,
    Note,
    PoweredUp,
    PulseIs,
    PutBack,
    Resume,
    StartRun,
    StopRun,
    SwitchOn,
)
from benchapp.probe.framing import FrameSplitter
from benchapp.probe.link import Arrival
from benchapp.probe.opening import open_link
from benchapp.probe.wire import Commands, unpack_command
from benchapp.procedures.gate import Why
from benchapp.records.errors import DiskTrouble, NotOurProbe, OutputExists, PortGone, SafetyRefused, WrongCall
from benchapp.records.events import SWITCH_ON, EventKind
from benchapp.records.leads import Stretch
from benchapp.records.photo import PHOTO
from benchapp.records.run import Outcome, PickUp, Polarity, RunSettings
from benchapp.reduction.recipes import reduce_run
from benchapp.sessions.opening import open_session, verify
from tests.acquisition.fakes import (
    LONG_S,
    OPENED,
    CommittedAtEachRead,
    MemoryStore,
    SilentLink,
    TestClocks,
    WatchedLink,
    ask_for_run,
    finish,
    opener,
    plugs,
    practice,
)

ALDER = "practice://alder?seed=11"


@pytest.fixture(autouse=True)
def no_thread_is_left():
    before = set(threading.enumerate())
    yield
    while OPENED:
        OPENED.pop().close()
    left = [thread for thread in threading.enumerate() if thread not in before and thread.is_alive()]
    assert left == []


def details(path, kind: EventKind):
    return [dict(event.detail) for event in open_session(path).events if event.kind is kind]


def wait_for(recording, met) -> None:
    """Look at the status until it meets a condition; the status itself is the only thing looked at."""
    pause = threading.Event()
    for _ in range(round(LONG_S / 0.01)):
        if met(recording.status()):
            return
        pause.wait(0.01)
    pytest.fail(f"never came: {recording.status()}")


# A run that is alone ---------------------------------------------------------------------------------------------


def test_a_run_is_recorded_whole_and_closed(tmp_path):
    recording = practice(ALDER)
    ask_for_run(recording, tmp_path / "a.t2h")
    finish(recording)
    assert recording.failure is None
    assert verify(tmp_path / "a.t2h").ok
    session = open_session(tmp_path / "a.t2h")
    assert session.kept == ""
    assert session.evidence_hash == recording.evidence_hash
    (run,) = session.runs()
    assert run.outcome is Outcome.COMPLETE
    assert session.gaps(1) == ()
    status = recording.status()
    assert status.link is LinkState.CLOSED
    assert status.missed == 0
    assert status.run.answered == 5


def test_the_live_figure_and_the_final_findings_are_the_same_numbers(tmp_path):
    recording = practice(ALDER)
    ask_for_run(recording, tmp_path / "a.t2h", flips=12)
    finish(recording)
    (run,) = open_session(tmp_path / "a.t2h").runs()
    latency = reduce_run(run).result
    assert latency.headline.value_ms == recording.status().run.value_ms
    assert latency.flips == recording.status().run.flips == 12


def test_the_same_bench_gives_the_same_evidence_every_time(tmp_path):
    hashes = set()
    for name in "abc":
        recording = practice(ALDER)
        ask_for_run(recording, tmp_path / f"{name}.t2h")
        finish(recording)
        hashes.add(recording.evidence_hash)
    assert len(hashes) == 1


def test_safety_and_bench_are_kept_in_the_session(tmp_path):
    recording = practice(ALDER)
    recording.wish(Confirm(line="practice"))
    recording.wish(StartRun(settings=RunSettings(flips=2), alone=True))
    recording.wish(NewSession(path=tmp_path / "a.t2h", name="bench", bench={"transmitter": "Alder"}))
    finish(recording)
    facts = open_session(tmp_path / "a.t2h").facts
    assert facts.name == "bench"
    assert facts.bench == {"transmitter": "Alder"}
    assert facts.safety == (("practice", "yes"),)


def test_a_session_takes_the_name_it_was_given_last(tmp_path):
    recording = practice(f"{ALDER}&flips=none", patient=True)
    ask_for_run(recording, tmp_path / "a.t2h", alone=False)
    recording.start()
    wait_for(recording, lambda status: status.run is not None)
    recording.wish(Describe(bench={"name": "Loan set 7", "volts": "6"}))
    recording.close()
    facts = open_session(tmp_path / "a.t2h").facts
    assert facts.name == "Loan set 7"
    assert "name" not in facts.bench
    assert facts.bench["volts"] == "6"


def safety_log(path):
    events = [event for event in open_session(path).events if event.kind is EventKind.SAFETY]
    return [(event.detail["line"], event.detail["answer"], event.at_ns) for event in events]


def start_ns(path):
    return next(event.at_ns for event in open_session(path).events if event.kind is EventKind.RUN_START)


def test_a_confirmation_has_the_time_it_was_given_and_not_that_of_the_run(tmp_path):
    recording = practice(ALDER)
    recording.wish(Confirm(line="practice", ago_ns=7_000_000_000))
    recording.wish(StartRun(settings=RunSettings(flips=2), alone=True))
    recording.wish(NewSession(path=tmp_path / "a.t2h", name="bench"))
    finish(recording)
    ((line, answer, at_ns),) = safety_log(tmp_path / "a.t2h")
    assert (line, answer) == ("practice", "yes")
    assert 7_000_000_000 <= start_ns(tmp_path / "a.t2h") - at_ns < 9_000_000_000


def test_a_confirmation_given_again_after_a_switch_on_is_written_with_its_own_time(tmp_path):
    recording = practice(f"{ALDER}&flips=none", patient=True)
    ask_for_run(recording, tmp_path / "a.t2h", alone=False)
    recording.start()
    wait_for(recording, lambda status: status.run is not None)
    for wish in (SwitchOn(), PoweredUp()):
        recording.wish(wish)
    wait_for(recording, lambda status: [refusal.why for refusal in status.refusals] == [Why.POWERED_UP])
    recording.wish(Confirm(line="practice"))
    wait_for(recording, lambda status: status.refusals == ())
    recording.wish(Confirm(line="practice", yes=False))
    wait_for(recording, lambda status: status.refusals != ())
    recording.close()
    first, again, back = safety_log(tmp_path / "a.t2h")
    assert [said[:2] for said in (first, again, back)] == [("practice", "yes")] * 2 + [("practice", "no")]
    assert first[2] <= start_ns(tmp_path / "a.t2h") < again[2] < back[2]


def test_a_run_carries_on_after_a_switch_on_only_once_safety_was_confirmed_again(tmp_path):
    recording = practice(f"{ALDER}&flips=none", patient=True)
    ask_for_run(recording, tmp_path / "a.t2h", alone=False)
    recording.start()
    wait_for(recording, lambda status: status.run is not None)
    for wish in (SwitchOn(), PoweredUp()):
        recording.wish(wish)
    wait_for(recording, lambda status: status.run.paused == SWITCH_ON)
    recording.wish(Resume())
    wait_for(recording, lambda status: "Make it safe is asked again" in status.message)
    assert recording.status().run.paused == SWITCH_ON
    recording.wish(Confirm(line="practice"))
    recording.wish(Resume())
    wait_for(recording, lambda status: status.run.paused != SWITCH_ON)
    recording.close()


def test_another_session_is_told_what_holds_and_nothing_of_what_was_said_before(tmp_path):
    recording = practice(f"{ALDER}&flips=none", patient=True)
    ask_for_run(recording, tmp_path / "a.t2h", alone=False)
    recording.start()
    wait_for(recording, lambda status: status.run is not None)
    recording.wish(Confirm(line="practice"))
    recording.wish(NewSession(path=tmp_path / "b.t2h", name="next"))
    recording.wish(StartRun())
    wait_for(recording, lambda status: status.session.endswith("b.t2h") and status.run is not None)
    recording.close()
    assert len(safety_log(tmp_path / "a.t2h")) == 2
    assert [said[:2] for said in safety_log(tmp_path / "b.t2h")] == [("practice", "yes")]


# What stands in the way of a run ---------------------------------------------------------------------------------


def test_no_run_and_no_file_before_the_bench_is_confirmed_safe(tmp_path):
    recording = practice(ALDER)
    recording.wish(StartRun(alone=True))
    recording.wish(NewSession(path=tmp_path / "a.t2h", name="test"))
    finish(recording)
    assert isinstance(recording.failure, SafetyRefused)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("clips", "said"), [({"D99": "output"}, "no lead 'D99'"), ({"receiver pack": "output"}, "no lead|voltage lead")]
)
def test_a_lead_that_does_not_fit_costs_no_file(tmp_path, clips, said):
    recording = practice(ALDER)
    ask_for_run(recording, tmp_path / "a.t2h", clips=clips)
    finish(recording)
    assert isinstance(recording.failure, WrongCall)
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_there_is_left_alone(tmp_path):
    path = tmp_path / "a.t2h"
    path.write_bytes(b"dear to somebody")
    recording = practice(ALDER)
    ask_for_run(recording, path)
    finish(recording)
    assert isinstance(recording.failure, OutputExists)
    assert path.read_bytes() == b"dear to somebody"


@pytest.mark.parametrize("noise", [b"", b"OK\r\nAT+CGMI\r\n", bytes(range(256)), b"x" * 4096])
def test_a_stranger_gets_nothing_but_three_identifies_and_costs_no_file(tmp_path, noise):
    link = SilentLink(noise)
    recording = practice(lambda: link)
    ask_for_run(recording, tmp_path / "a.t2h")
    finish(recording)
    assert isinstance(recording.failure, NotOurProbe)
    commands = [unpack_command(body[2:]) for data in link.written for body in FrameSplitter().feed(data)]
    assert [command.command for command in commands] == [Commands.IDENTIFY] * 3
    assert link.closed
    assert list(tmp_path.iterdir()) == []


# Faults in the middle of a run -----------------------------------------------------------------------------------


def test_a_pulled_cable_keeps_the_run_as_stopped_early(tmp_path):
    recording = practice(f"{ALDER}&unplug_s=6")
    ask_for_run(recording, tmp_path / "a.t2h", flips=50)
    finish(recording)
    assert isinstance(recording.failure, PortGone)
    assert "a.t2h" in recording.failure.kept
    assert verify(tmp_path / "a.t2h").ok
    (run,) = open_session(tmp_path / "a.t2h").runs()
    assert run.outcome is Outcome.CUT_SHORT
    assert details(tmp_path / "a.t2h", EventKind.RUN_STOP)[0]["reason"] == "probe-lost"
    assert recording.status().run.flips >= 3


def test_a_reset_ends_the_run_at_the_last_good_record_and_opens_a_new_stretch(tmp_path):
    recording = practice(f"{ALDER}&reset_s=6", patient=True)
    ask_for_run(recording, tmp_path / "a.t2h", flips=50, alone=False)
    recording.start()
    wait_for(recording, lambda status: status.run is not None and status.run.outcome == "cut-short")
    wait_for(recording, lambda status: status.link is LinkState.RECORDING)
    recording.close()
    session = open_session(tmp_path / "a.t2h")
    assert [stretch.number for stretch in session.stretches] == [1, 2]
    (run,) = session.runs()
    assert run.stop_ns <= session.stretches[1].origin_ns
    assert details(tmp_path / "a.t2h", EventKind.RUN_STOP)[0]["reason"] == "probe-reset"


def test_a_probe_plugged_in_again_opens_a_new_stretch_and_runs_go_on(tmp_path):
    recording = practice(plugs(opener(f"{ALDER}&unplug_s=6"), opener("practice://alder?seed=12")), patient=True)
    ask_for_run(recording, tmp_path / "a.t2h", flips=50, alone=False)
    recording.start()
    wait_for(recording, lambda status: status.link is LinkState.LOST)
    assert recording.status().run.stop_reason == "probe-lost"
    assert recording.status().message
    wait_for(recording, lambda status: status.link is LinkState.RECORDING)
    assert recording.status().message == ""
    recording.wish(StartRun(settings=RunSettings(flips=2)))
    wait_for(recording, lambda status: status.run.run == 2 and status.run.outcome == "complete")
    recording.close()
    session = open_session(tmp_path / "a.t2h")
    assert [stretch.number for stretch in session.stretches] == [1, 2]
    assert [run.outcome for run in session.runs()] == [Outcome.CUT_SHORT, Outcome.COMPLETE]
    assert session.stretches[1].origin_ns >= session.last_ns(1)


def test_while_the_probe_is_lost_no_run_starts_and_a_new_session_waits_for_it(tmp_path):
    gone, back = iter([opener(f"{ALDER}&unplug_s=6")]), threading.Event()

    def plug_in():
        first = next(gone, None)
        if first is None and not back.is_set():
            raise PortGone("no port")
        return first() if first else open_link("practice://alder?seed=12")

    recording = practice(plug_in, patient=True)
    ask_for_run(recording, tmp_path / "a.t2h", flips=50, alone=False)
    recording.start()
    wait_for(recording, lambda status: status.link is LinkState.LOST)
    recording.wish(NewSession(path=tmp_path / "b.t2h", name="b"))
    wait_for(recording, lambda status: status.session.endswith("b.t2h"))
    recording.wish(StartRun())
    wait_for(recording, lambda status: "no run can start" in status.message)
    back.set()
    wait_for(recording, lambda status: status.link is LinkState.RECORDING)
    assert recording.status().run is None
    recording.wish(StartRun(settings=RunSettings(flips=2)))
    wait_for(recording, lambda status: status.run is not None and status.run.outcome == "complete")
    recording.close()
    (stretch,) = open_session(tmp_path / "b.t2h").stretches
    assert (stretch.number, stretch.origin_ns) == (1, 0)


def test_a_probe_that_falls_silent_is_lost_after_three_seconds(tmp_path):
    class Falling(WatchedLink):
        """A link whose far end stops in mid-sentence; the host clock goes on."""

        quiet_ns = 0

        def read(self):
            if self.reads > 300:
                self.quiet_ns += 20_000_000
                return type(self._link.read())(data=b"", host_ns=self.host_ns())
            return super().read()

        def host_ns(self):
            return self._link.host_ns()

    recording = practice(lambda: Falling(open_link(ALDER), lambda reads: None))
    ask_for_run(recording, tmp_path / "a.t2h", flips=50)
    finish(recording)
    assert isinstance(recording.failure, PortGone)
    assert "3 s" in recording.failure.message
    assert verify(tmp_path / "a.t2h").ok


def test_a_computer_that_slept_ends_the_run(tmp_path):
    clocks = TestClocks()

    def sleep_once(reads: int) -> None:
        if reads == 300:
            clocks.slept_ns += SLEPT_NS + 1

    recording = practice(opener(ALDER, sleep_once), clocks=clocks)
    ask_for_run(recording, tmp_path / "a.t2h", flips=50)
    finish(recording)
    assert recording.status().run.stop_reason == "computer-slept"
    assert recording.status().run.outcome == "cut-short"
    assert verify(tmp_path / "a.t2h").ok


def test_a_probe_is_greeted_again_after_the_computer_slept(tmp_path):
    """It may have been without power meanwhile, or reset, or another one may stand in its place."""
    clocks, links, asked_before = TestClocks(), [], []

    def watched() -> WatchedLink:
        links.append(WatchedLink(open_link(ALDER), sleep_once))
        return links[-1]

    def sleep_once(reads: int) -> None:
        if reads == 300:
            asked_before.append(identifies(links[0].written))
            clocks.slept_ns += SLEPT_NS + 1

    recording = practice(watched, clocks=clocks)
    ask_for_run(recording, tmp_path / "a.t2h", flips=50)
    finish(recording)
    assert asked_before[0] >= 1
    assert identifies(links[0].written) == asked_before[0] + 1


def identifies(written: list[bytes]) -> int:
    """Count how often the probe was asked what it is."""
    bodies = FrameSplitter().feed(b"".join(written))
    return sum(unpack_command(body[2:]).command is Commands.IDENTIFY for body in bodies)


def test_a_wall_clock_set_back_changes_nothing_because_nobody_reads_it(tmp_path, monkeypatch):
    def refuse(*_):
        raise AssertionError("the wall clock was read")

    monkeypatch.setattr("time.time", refuse)
    monkeypatch.setattr("time.time_ns", refuse)
    recording = practice(ALDER)
    ask_for_run(recording, tmp_path / "a.t2h", flips=2)
    finish(recording)
    assert recording.status().run.outcome == "complete"


def test_a_full_disk_ends_the_run_and_says_what_is_safe(tmp_path):
    store = MemoryStore(fail_at_commit=8)
    before_read = CommittedAtEachRead(lambda: store.commits >= 8)
    recording = practice(opener(ALDER, before_read), create=lambda start: store, clocks=before_read.clocks)
    ask_for_run(recording, tmp_path / "a.t2h", flips=50)
    finish(recording)
    assert isinstance(recording.failure, DiskTrouble)
    assert f"{store.acknowledged} records are safe" in recording.failure.kept
    assert store.acknowledged > 0
    assert store.abandoned
    assert recording.status().run.stop_reason == "disk-trouble"


def commits_in(tmp_path, *, read_takes_ns: int) -> tuple[int, int]:
    """Record 20 s of the practice bench where a read takes so long; return how many reads and commits there were."""
    store, clocks, links = MemoryStore(), TestClocks(), []

    def before_read(reads: int) -> None:
        clocks.now_ns += read_takes_ns

    def open_it():
        links.append(WatchedLink(open_link(ALDER), before_read))
        return links[0]

    recording = practice(open_it, create=lambda start: store, clocks=clocks)
    recording.wish(Confirm(line="practice"))
    recording.wish(StartRun(settings=RunSettings(seconds=20.0), alone=True))
    recording.wish(NewSession(path=tmp_path / "a.t2h", name="test"))
    finish(recording)
    return links[0].reads, store.commits


def test_everything_is_committed_four_times_a_second(tmp_path):
    reads, commits = commits_in(tmp_path, read_takes_ns=20_000_000)
    # A read takes 20 ms, so that a commit is due at every 13th, after 0.26 s.
    assert commits >= reads // 13


def test_a_bench_at_a_flat_pace_is_committed_by_the_computers_clock(tmp_path):
    reads, commits = commits_in(tmp_path, read_takes_ns=1_000_000)
    # A thousand reads of 1 ms are 1 s of work: four commits, the first one at once, and those of the end.
    assert reads >= 1000
    assert commits <= reads // 250 + 4


def test_with_a_window_a_full_disk_leaves_the_live_view_going(tmp_path):
    store = MemoryStore(fail_at_commit=8)
    before_read = CommittedAtEachRead(lambda: store.commits >= 8)
    recording = practice(
        opener(ALDER, before_read), create=lambda start: store, clocks=before_read.clocks, patient=True
    )
    ask_for_run(recording, tmp_path / "a.t2h", flips=50, alone=False)
    recording.start()
    wait_for(recording, lambda status: status.message == "the disk is full")
    wait_for(recording, lambda status: status.link is LinkState.READY)
    assert recording.status().session == ""
    recording.close()


# Closing at any moment -------------------------------------------------------------------------------------------


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(at_read=st.integers(0, 600))
def test_closing_at_any_moment_loses_nothing(tmp_path_factory, at_read):
    path = tmp_path_factory.mktemp("closing") / "a.t2h"
    seen: list[int] = []

    def close_at(reads: int) -> None:
        if reads == at_read:
            recording._conductor.stopping.set()

    recording = practice(opener(ALDER, close_at))
    counted = recording._writer.add_record
    recording._writer.add_record = lambda number, record: (seen.append(_count(record)), counted(number, record))
    ask_for_run(recording, path, flips=3)
    finish(recording)
    assert recording.failure is None
    if path.exists():
        session = open_session(path)
        assert session.kept == ""
        assert not session.damage
        assert recording.status().saved_records == sum(seen)


def _count(record) -> int:
    stamps = getattr(record, "times_ns", getattr(record, "probe_ns", None))
    return 1 if stamps is None else int(stamps.size)


def test_closing_twice_and_closing_unstarted_are_harmless():
    recording = practice(ALDER)
    recording.close()
    started = practice(ALDER, patient=True)
    started.start()
    assert started.wait_until_open(LONG_S)
    started.close()
    started.close()


# With a window ---------------------------------------------------------------------------------------------------


def test_the_live_view_needs_no_file_and_a_session_begins_at_its_own_zero(tmp_path):
    recording = practice(ALDER, patient=True, watched=True)
    recording.start()
    wait_for(recording, lambda status: status.link is LinkState.READY and (status.now_ns or 0) > 10**9)
    assert list(tmp_path.iterdir()) == []
    for name in "ab":
        # At a flat pace half an hour, after which it is asked again, is soon over.
        recording.wish(Confirm(line="practice"))
        recording.wish(NewSession(path=tmp_path / f"{name}.t2h", name=name))
        recording.wish(StartRun(settings=RunSettings(flips=2)))
        wait_for(recording, lambda status, file=f"{name}.t2h": status.session.endswith(file))
        wait_for(recording, lambda status: status.run is not None and status.run.outcome == "complete")
        recording.wish(CloseSession())
        wait_for(recording, lambda status: status.session == "")
    recording.close()
    for name in "ab":
        (stretch,) = open_session(tmp_path / f"{name}.t2h").stretches
        assert (stretch.number, stretch.origin_ns) == (1, 0)
        assert [run.run for run in open_session(tmp_path / f"{name}.t2h").runs()] == [1]


def test_a_driven_lead_clipped_to_the_switch_flips_by_itself_and_tells_its_own_flips(tmp_path):
    """No tap lies on the contact then, so that nothing but light crosses to a transmitter."""
    recording = practice(f"{ALDER}&flips=none")
    ask_for_run(recording, tmp_path / "a.t2h", flips=12, clips={"flip": "switch"}, pick_up=PickUp.UNKNOWN)
    finish(recording)
    assert recording.failure is None
    (run,) = open_session(tmp_path / "a.t2h").runs()
    assert (run.outcome, run.pick_up) == (Outcome.COMPLETE, PickUp.DRIVEN)
    assert "drive" not in run.leads
    findings = reduce_run(run)
    assert len(findings.result.trials) == 12
    assert "driven opening" in {line.source for line in findings.uncertainty}


def test_several_runs_fit_in_one_session(tmp_path):
    recording = practice(ALDER, patient=True)
    ask_for_run(recording, tmp_path / "a.t2h", flips=2, alone=False)
    recording.start()
    wait_for(recording, lambda status: status.run is not None and status.run.outcome == "complete")
    recording.wish(StartRun(settings=RunSettings(flips=3)))
    wait_for(recording, lambda status: status.run.run == 2 and status.run.outcome == "complete")
    recording.close()
    assert [run.settings.flips for run in open_session(tmp_path / "a.t2h").runs()] == [2, 3]


def test_what_a_person_says_is_kept(tmp_path):
    recording = practice(ALDER, patient=True)
    ask_for_run(recording, tmp_path / "a.t2h", flips=3, alone=False)
    recording.start()
    wait_for(recording, lambda status: status.run is not None and status.run.outcome == "complete")
    hostile = "<b>x</b>\n=cmd|' /C calc'!A0 \u202e" + "y" * 10_000
    for wish in (Note(text=hostile), Mark(text="here"), PutBack(line="range-check"), Drop()):
        recording.wish(wish)
    recording.close()
    path = tmp_path / "a.t2h"
    assert details(path, EventKind.NOTE) == [{"text": hostile}]
    assert details(path, EventKind.MARK) == [{"text": "here"}]
    assert details(path, EventKind.PUT_BACK) == [{"line": "range-check", "answer": "yes"}]
    (run,) = open_session(path).runs()
    assert len(run.drops_ns) == 1


def test_stopping_by_hand_keeps_the_run(tmp_path):
    recording = practice(ALDER, patient=True)
    ask_for_run(recording, tmp_path / "a.t2h", flips=100_000, alone=False)
    recording.start()
    wait_for(recording, lambda status: status.run is not None and status.run.flips >= 3)
    recording.wish(StopRun())
    wait_for(recording, lambda status: status.run.outcome == "cut-short")
    recording.close()
    assert details(tmp_path / "a.t2h", EventKind.RUN_STOP)[0]["reason"] == "by-hand"


def test_a_stop_asked_for_just_before_the_end_is_a_stop_by_hand(tmp_path):
    def stop_at(reads: int) -> None:
        if reads == 200:
            recording.wish(StopRun())
            recording._conductor.stopping.set()

    recording = practice(opener(ALDER, stop_at))
    ask_for_run(recording, tmp_path / "a.t2h", flips=50)
    finish(recording)
    assert details(tmp_path / "a.t2h", EventKind.RUN_STOP)[0]["reason"] == "by-hand"


@pytest.mark.parametrize(("said", "kept"), [(Polarity.LOW, {"output": "low"}), (Polarity.FIND, {})])
def test_which_state_is_the_pulse_is_kept_with_the_run_and_the_live_figure_uses_it(tmp_path, said, kept):
    recording = practice(ALDER)
    recording.wish(PulseIs(lead=0, polarity=Polarity.LOW))
    recording.wish(PulseIs(lead=0, polarity=said))
    ask_for_run(recording, tmp_path / "a.t2h", flips=5)
    finish(recording)
    assert [start["polarity"] for start in details(tmp_path / "a.t2h", EventKind.RUN_START)] == [kept]
    run = open_session(tmp_path / "a.t2h").runs()[0]
    assert run.leads["output"].polarity is said
    assert reduce_run(run).frame.polarity == (said.value if said is not Polarity.FIND else "high")
    assert verify(tmp_path / "a.t2h").ok


def test_what_is_described_while_recording_is_added_and_the_evidence_stays_the_same(tmp_path):
    codes = set()
    for name, more in (("plain", ()), ("described", ({"servo": "standard"}, {"servo": "digital", PHOTO: "none"}))):
        recording = practice(ALDER)
        ask_for_run(recording, tmp_path / f"{name}.t2h", flips=5)
        for bench in more:
            recording.wish(Describe(bench=bench))
        finish(recording)
        session = open_session(tmp_path / f"{name}.t2h")
        codes.add(session.evidence_hash)
    assert session.facts.bench["servo"] == "digital"
    assert PHOTO not in session.facts.bench
    assert session.facts.photo is None
    assert [detail["servo"] for detail in details(tmp_path / "described.t2h", EventKind.BENCH)] == [
        "standard",
        "digital",
    ]
    assert len(codes) == 1


def test_a_changed_lead_asks_for_safety_again(tmp_path):
    recording = practice(ALDER, patient=True)
    recording.start()
    assert recording.wait_until_open(LONG_S)
    recording.wish(Confirm(line="practice"))
    wait_for(recording, lambda status: status.refusals == ())
    recording.wish(ClipTo(lead=0, role="output"))
    wait_for(recording, lambda status: [refusal.why for refusal in status.refusals] == [Why.LEAD_CHANGED])
    recording.wish(NewSession(path=tmp_path / "a.t2h", name="test"))
    recording.wish(StartRun())
    wait_for(recording, lambda status: "safe" in status.message)
    assert recording.status().run is None
    recording.close()


def test_a_wish_that_cannot_be_granted_is_said_and_the_recording_goes_on(tmp_path):
    recording = practice(ALDER, patient=True)
    recording.start()
    assert recording.wait_until_open(LONG_S)
    recording.wish(Confirm(line="practice"))
    recording.wish(StartRun())
    wait_for(recording, lambda status: "session" in status.message)
    recording.wish(Confirm(line="no such line"))
    wait_for(recording, lambda status: "no such line" in status.message)
    assert recording.status().link is LinkState.READY
    recording.close()


def test_the_feed_of_a_window_that_does_not_look_stays_bounded_and_the_file_has_everything(tmp_path):
    recording = practice(ALDER, patient=True, watched=True)
    ask_for_run(recording, tmp_path / "a.t2h", flips=40, alone=False)
    recording.start()
    wait_for(recording, lambda status: status.run is not None and status.run.outcome == "complete")
    recording.close()
    items = recording.feed.drain()
    assert len(items) <= 4097
    assert isinstance(items[0], Missed | Stretch)
    assert open_session(tmp_path / "a.t2h").gaps(1) == ()


class SpoiltOnce(WatchedLink):
    """A link that turns one bit over in one read, the 50th."""

    def read(self) -> Arrival:
        arrival = super().read()
        if self.reads != 50:
            return arrival
        return replace(arrival, data=arrival.data[:20] + bytes([arrival.data[20] ^ 0x10]) + arrival.data[21:])


def test_missed_records_stay_on_show_until_they_are_acknowledged():
    links = []

    def open_it() -> SpoiltOnce:
        links.append(SpoiltOnce(open_link(ALDER), lambda reads: None))
        return links[0]

    recording = practice(open_it, patient=True)
    recording.start()
    wait_for(recording, lambda status: status.missed > 0)
    missed, reads = recording.status().missed, links[0].reads
    wait_for(recording, lambda status: links[0].reads > reads + 200)
    assert recording.status().missed == missed
    recording.wish(AcknowledgeMissed())
    wait_for(recording, lambda status: status.missed == 0)
    reads = links[0].reads
    wait_for(recording, lambda status: links[0].reads > reads + 200)
    assert recording.status().missed == 0
    recording.close()


def test_the_port_is_let_go_before_the_writer_is_told_to_close(tmp_path):
    order = []
    link = WatchedLink(open_link(ALDER), lambda reads: None)
    store = MemoryStore()
    link_close, store_close = link.close, store.close
    link.close = lambda: (order.append("port"), link_close())
    store.close = lambda: (order.append("file"), store_close())[1]
    recording = practice(lambda: link, create=lambda start: store)
    ask_for_run(recording, tmp_path / "a.t2h", flips=2)
    finish(recording)
    assert order == ["port", "file"]
