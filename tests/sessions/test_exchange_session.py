"""From a capture to a session and from a session's runs to a capture: the numbers stay, the names are told apart."""

from dataclasses import asdict, replace

import numpy as np
import pytest

from benchapp.records.errors import NotEnoughData, WrongCall
from benchapp.records.events import SWITCH_ON, EventKind
from benchapp.records.leads import ClockKind, Lead, LeadKind
from benchapp.records.run import LeadEvidence, Origin, Outcome, Pause, PickUp, Polarity, RunEvidence, RunSettings
from benchapp.records.stream import ClockPairs, Edges, Gap, Levels
from benchapp.reduction.recipes import reduce_run
from benchapp.sessions.exchange.capture import Capture
from benchapp.sessions.exchange.choose import find_lead, inverted
from benchapp.sessions.exchange.csv_columns import read_csv
from benchapp.sessions.exchange.csv_text import write_csv
from benchapp.sessions.exchange.from_session import runs_to_capture
from benchapp.sessions.exchange.to_session import ImportedSession, capture_to_session
from benchapp.sessions.exchange.vcd import read_vcd
from benchapp.sessions.exchange.vcd_text import write_vcd
from benchapp.sessions.opening import open_session
from benchapp.sessions.store import SessionWriter
from tests.reduction.made_runs import MS, Made, random_flips
from tests.sessions.exchange_reading import edges_of


def through_vcd(capture: Capture) -> Capture:
    return read_vcd(b"".join(write_vcd(capture)), file="t.vcd")


def through_csv(capture: Capture) -> Capture:
    return read_csv(b"".join(write_csv(capture)), file="t.csv")


def stored(session: ImportedSession, folder) -> tuple[RunEvidence, ...]:
    path = folder / "imported.t2h"
    writer = SessionWriter.create(path, origin=session.origin, software="test 1", started=session.started, name="t")
    writer.add_stretch(session.stretch)
    for record in session.records:
        writer.add_record(session.stretch.number, record)
    for event in session.events:
        writer.add_event(event)
    writer.close()
    with open_session(path) as opened:
        assert opened.damage == ()
        return opened.runs()


def later(run: RunEvidence, by_ns: int) -> RunEvidence:
    leads = {}
    for role, lead in run.leads.items():
        edges = replace(lead.edges, times_ns=lead.edges.times_ns + by_ns)
        gaps = tuple(replace(gap, from_ns=gap.from_ns + by_ns, to_ns=gap.to_ns + by_ns) for gap in lead.gaps)
        leads[role] = replace(lead, edges=edges, gaps=gaps)
    return replace(run, leads=leads, start_ns=run.start_ns + by_ns, stop_ns=run.stop_ns + by_ns)


def described(run: RunEvidence, **facts: float) -> RunEvidence:
    """The run with leads as a probe describes them, some stamps of them coarse."""
    leads = {}
    for place, (role, lead) in enumerate(run.leads.items()):
        flags = np.zeros(lead.edges.count, dtype=np.uint8)
        flags[place + 10 :: 97] = 1
        leads[role] = replace(
            lead,
            lead=replace(lead.lead, **facts, lateness_typical_ns=700.0 + place),
            edges=replace(lead.edges, flags=flags),
        )
    return replace(run, leads=leads)


PLAIN = Made(flips_s=random_flips(40), jitter_us=30, noise_us=1.0, dead=frozenset({7, 21}))
RUNS = {
    "plain": PLAIN.run(),
    "bounce and spikes": Made(
        flips_s=random_flips(30), bounce_us=(300, 900, 1500, 2100), switch_spikes_s=(0.5,), spikes_s=(2.0, 2.5)
    ).run(),
    "reversed and inverted": Made(flips_s=random_flips(25), low_us=1900, high_us=1100, high=False).run(
        polarity=Polarity.LOW
    ),
    "a gap": PLAIN.run(output_gaps=(Gap(leads=(), from_ns=9_000 * MS, to_ns=9_400 * MS, cause="records-missing"),)),
    "before zero": later(PLAIN.run(), -17_000_000_001),
    "as a probe describes it": described(PLAIN.run(), resolution_ns=62.5, lateness_worst_ns=9000.0, bias_ns=1200.0),
    "paused, dropped, cut short and stopped by itself": PLAIN.run(
        outcome=Outcome.CUT_SHORT,
        stopped_itself=True,
        pick_up=PickUp.TAPED,
        settings=RunSettings(hold_off_ns=30 * MS, flips=60, target_ms=0.5),
        pauses=(Pause(from_ns=6_000 * MS, to_ns=8_000 * MS, reason=SWITCH_ON),),
        drops_ns=(PLAIN.flip_times_ns()[3],),
    ),
    "only part of the evidence is the run": PLAIN.run(start_ns=3_000 * MS, stop_ns=33_333 * MS),
}


@pytest.mark.parametrize("through", [through_vcd, through_csv])
@pytest.mark.parametrize("kind", RUNS)
def test_an_export_imported_again_gives_the_same_findings(kind, through, tmp_path):
    run = RUNS[kind]
    session = capture_to_session(through(runs_to_capture([run], started=None)), {}, (), "switch-flip")
    (again,) = stored(session, tmp_path)
    one, other = asdict(reduce_run(run)), asdict(reduce_run(again))
    assert one["result"]["flips"] >= 20
    assert one.pop("clock")["standard_ppm"] == pytest.approx(other.pop("clock")["standard_ppm"], rel=1e-12)
    budgets = (one.pop("uncertainty"), other.pop("uncertainty"))
    for mine, theirs in zip(*budgets, strict=True):
        assert mine["standard_ms"] == pytest.approx(theirs["standard_ms"], rel=1e-9)
    for key in ("expanded_uncertainty_ms", "combined_standard_ms", "k"):
        assert one["result"]["headline"].pop(key) == pytest.approx(other["result"]["headline"].pop(key), rel=1e-9)
    assert one == other
    assert session.pick_up is run.pick_up


def test_heartbeats_stand_in_an_export_as_the_tolerance_they_showed(tmp_path):
    probe = np.arange(400, dtype=np.int64) * 100_000_000
    host = probe + (np.arange(400) * 7919) % 900_000
    run = replace(PLAIN.run(), clock=ClockPairs(probe_ns=probe, host_ns=host), clock_tolerance_ppm=5000.0)
    session = capture_to_session(through_vcd(runs_to_capture([run], started=None)), {}, (), "switch-flip")
    (again,) = stored(session, tmp_path)
    one, other = reduce_run(run), reduce_run(again)
    assert one.clock.error_ppm is not None
    assert not one.clock.applied
    assert other.clock.standard_ppm == pytest.approx(one.clock.standard_ppm, rel=1e-9)
    assert other.result.headline.expanded_uncertainty_ms == pytest.approx(
        one.result.headline.expanded_uncertainty_ms, rel=1e-9
    )


def test_counts_of_a_level_lead_are_exported_in_volts():
    stick = LeadEvidence(
        lead=Lead(
            index=5, label="A0", kind=LeadKind.LEVEL, resolution_ns=62.5, full_scale_v=5.0, full_scale_counts=1023
        ),
        role="stick",
        levels=Levels(lead=5, times_ns=np.array([0, 10, 20]), values=np.array([0, 511, 1023], dtype=np.uint16)),
    )
    run = PLAIN.run(leads={"stick": stick})
    lead = through_csv(runs_to_capture([run], started=None)).leads[2]
    assert lead.levels.values.tolist() == [0.0, 511 * 5.0 / 1023, 5.0]
    assert (lead.described.full_scale_v, lead.described.full_scale_counts) == (5.0, 1023)


def test_two_runs_are_exported_with_a_gap_between_them_and_come_back_as_two(tmp_path):
    first, second = PLAIN.run(), later(PLAIN.run(run=2), 90_000 * MS)
    capture = through_vcd(runs_to_capture([second, first], started="2026-11-25"))
    assert all((gap.from_ns, gap.to_ns) == (60_000 * MS, 90_000 * MS) for lead in capture.leads for gap in lead.gaps)
    session = capture_to_session(capture, {}, (), "switch-flip")
    runs = stored(session, tmp_path)
    assert [(run.run, run.start_ns, run.stop_ns) for run in runs] == [
        (1, 0, 60_000 * MS),
        (2, 90_000 * MS, 150_000 * MS),
    ]
    assert reduce_run(runs[1]).result.headline.value_ms == reduce_run(second).result.headline.value_ms
    assert session.started == "2026-11-25"


def test_runs_that_share_evidence_are_exported_once():
    whole = PLAIN.run()
    parts = [replace(whole, stop_ns=30_000 * MS), replace(whole, run=2, start_ns=30_000 * MS)]
    capture = runs_to_capture(parts, started=None)
    assert edges_of(capture.leads[1]) == list(
        zip(whole.leads["output"].edges.times_ns.tolist(), whole.leads["output"].edges.levels.tolist(), strict=True)
    )
    assert all(lead.gaps == () for lead in capture.leads)


def test_a_session_without_a_run_has_nothing_to_export():
    with pytest.raises(NotEnoughData, match="no run"):
        runs_to_capture([], started=None)


def test_practice_stays_practice_and_a_stranger_s_file_is_a_capture():
    own = through_vcd(runs_to_capture([PLAIN.run(origin=Origin.PRACTICE)], started=None))
    assert capture_to_session(own, {}, (), "switch-flip").origin is Origin.PRACTICE
    assert capture_to_session(small(), {"contact": "switch"}, (), "switch-flip").origin is Origin.CAPTURE


# -- a stranger's capture ----------------------------------------------------------------------------------------


def small(*, leads: str = "contact output", tick: str = "1 us") -> Capture:
    variables = "".join(f"$var wire 1 {chr(40 + place)} {name} $end\n" for place, name in enumerate(leads.split()))
    values = "".join(f"{place % 2}{chr(40 + place)}\n" for place in range(len(leads.split())))
    text = f"$timescale {tick} $end\n$scope module top $end\n{variables}$upscope $end\n$enddefinitions $end\n"
    return read_vcd(f"{text}#5\n{values}#100\n1(\n#130\n0)\nx(\n#250\n".encode(), file="small.vcd")


def test_a_capture_becomes_one_stretch_and_a_run_over_the_whole_of_it():
    session = capture_to_session(small(), {"contact": "switch"}, (), "switch-flip")
    assert session.stretch.number == 1
    assert (session.stretch.board.clock_kind, session.stretch.board.tick_hz) == (ClockKind.CAPTURE, 1_000_000)
    assert session.stretch.board.tolerance_ppm is None
    assert [(lead.index, lead.label, lead.role, lead.resolution_ns) for lead in session.stretch.leads] == [
        (0, "contact", "switch", 1000.0),
        (1, "output", "output", 1000.0),
    ]
    start, stop = session.events
    assert (start.kind, start.at_ns, stop.kind, stop.at_ns) == (EventKind.RUN_START, 5_000, EventKind.RUN_STOP, 250_000)
    assert start.detail["roles"] == {"0": "switch", "1": "output"}
    assert stop.detail["outcome"] == "complete"
    assert session.started is None
    edges = [record for record in session.records if isinstance(record, Edges)]
    gaps = [record for record in session.records if isinstance(record, Gap)]
    assert [record.times_ns.tolist() for record in edges] == [[100_000], [130_000]]
    assert [(gap.leads, gap.from_ns, gap.to_ns) for gap in gaps] == [((0,), 130_000, 250_000)]


@pytest.mark.parametrize(("tick", "hertz"), [("100 fs", 10**13), ("1 ns", 10**9), ("10 ms", 100), ("100 s", 1)])
def test_the_timescale_is_the_stretch_s_tick(tick, hertz):
    session = capture_to_session(small(tick=tick), {"contact": "switch"}, (), "switch-flip")
    assert session.stretch.board.tick_hz == hertz


def test_an_inverted_lead_has_the_same_stamps_and_the_other_levels():
    session = capture_to_session(small(), {"contact": "switch"}, ("output",), "switch-flip")
    edges = [record for record in session.records if isinstance(record, Edges)]
    assert [record.levels.tolist() for record in edges] == [[1], [1]]
    assert inverted(small(), ("contact",)).leads[0].initial == 1


def test_turning_over_a_lead_turns_its_stated_polarity():
    run = PLAIN.run(polarity=Polarity.HIGH)
    session = capture_to_session(runs_to_capture([run], started=None), {}, ("output",), "switch-flip")
    assert session.events[0].detail["polarity"] == {"output": "low"}


def test_a_lead_that_was_given_another_s_role_takes_it_and_that_is_said():
    capture = small(leads="contact output switch")
    session = capture_to_session(capture, {"contact": "switch"}, (), "switch-flip")
    assert [lead.role for lead in session.stretch.leads] == ["switch", "output", ""]
    assert any("'switch'" in remark for remark in session.remarks)


def test_a_scope_tells_leads_of_one_name_apart():
    text = (
        b"$timescale 1 us $end\n$scope module a $end\n$var wire 1 ! s $end\n$var wire 1 # out $end\n$upscope $end\n"
        b"$scope module b $end\n$var wire 1 % s $end\n$var wire 1 # out $end\n$upscope $end\n$enddefinitions $end\n"
        b"#0\n0!\n0#\n0%\n#5\n1!\n#9\n1%\n"
    )
    capture = read_vcd(text, file="two.vcd")
    assert (find_lead(capture, "a.s"), find_lead(capture, "b.s")) == (0, 2)
    assert find_lead(capture, "out") == 1  # two names of one wire are no question
    with pytest.raises(WrongCall, match=r"2 leads called 's': 'a\.s', 'b\.s'"):
        find_lead(capture, "s")
    session = capture_to_session(capture, {"b.s": "switch", "a.out": "output"}, (), "switch-flip")
    assert [lead.role for lead in session.stretch.leads] == ["", "output", "switch", ""]


@pytest.mark.parametrize(
    ("roles", "invert", "words"),
    [
        ({}, (), ["switch-flip", "switch", "'contact', 'output'"]),
        ({"nothing": "switch"}, (), ["'nothing'", "'contact', 'output'"]),
        ({"Contact": "switch"}, (), ["'Contact'"]),
        ({"contact": "button"}, (), ["'button'", "switch, stick"]),
        ({"contact": "output-1"}, (), ["'output-1'"]),
        ({"contact": "output"}, (), ["needs a lead clipped to switch"]),
        ({"contact": "switch", "output": "switch"}, (), ["Two leads", "switch"]),
        ({"contact": "switch", "top.contact": "output"}, (), ["two roles"]),
        ({"contact": "stick"}, (), ["volts", "'contact'"]),
        ({"contact": "switch"}, ("rxpin",), ["'rxpin'", "'contact', 'output'"]),
    ],
)
def test_names_and_roles_that_do_not_fit_are_a_wrong_call(roles, invert, words):
    with pytest.raises(WrongCall) as caught:
        capture_to_session(small(), roles, invert, "switch-flip")
    assert all(word in caught.value.message for word in words), caught.value.message


def test_volts_are_no_switch_until_a_threshold_is_said():
    capture = read_csv(b"time_s,switch,output,stick\n0,0.5,0,1.5\n1,3.3,1,1.6\n", file="t.csv")
    with pytest.raises(WrongCall, match="--threshold"):
        capture_to_session(capture, {}, (), "switch-flip")
    with pytest.raises(WrongCall, match="only an on-off lead can be inverted"):
        capture_to_session(capture, {"switch": "voltage", "stick": "stick"}, ("stick",), "hold-still")


def test_a_bus_that_is_asked_for_says_why_it_is_no_lead():
    text = b"$timescale 1 us $end\n$var wire 8 ! bus $end\n$var wire 1 # output $end\n$enddefinitions $end\n#0\n0#\n"
    with pytest.raises(WrongCall, match=r"'bus'.*8 bits wide"):
        capture_to_session(read_vcd(text, file="t.vcd"), {"bus": "switch"}, (), "switch-flip")


def test_a_bus_that_nobody_asks_for_is_left_out_and_that_is_said():
    text = b"$timescale 1 us $end\n$var wire 8 ! bus $end\n$var wire 1 # switch $end\n$var wire 1 % output $end\n"
    capture = read_vcd(text + b"$enddefinitions $end\n#0\nb101 !\n0#\n0%\n#9\n1%\n", file="t.vcd")
    session = capture_to_session(capture, {}, (), "switch-flip")
    assert [lead.label for lead in session.stretch.leads] == ["switch", "output"]
    assert session.remarks == ("'bus' was left out: it is 8 bits wide; a lead is one wire, or a real in volts.",)


@pytest.mark.parametrize(("hours", "asked"), [(5.9, False), (166.7, True)])
def test_a_capture_that_lasts_for_days_is_asked_about_its_unit(hours, asked):
    rows = "".join(f"{at * hours * 3600 / 9:.3f},{at % 2},{at % 2}\n" for at in range(10))
    capture = read_csv(f"time_s,switch,output\n{rows}".encode(), file="long.csv")
    remarks = capture_to_session(capture, {}, (), "switch-flip").remarks
    questions = [remark for remark in remarks if "Are its times in another unit?" in remark]
    assert bool(questions) is asked
    if asked:
        assert questions[0].startswith("This capture lasts 166 h 42 min.")
        assert "--time time_s:ms" in questions[0]
