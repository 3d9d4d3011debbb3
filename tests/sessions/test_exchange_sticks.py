"""Sweeps and holds as captures: out and in again, and from a stranger's volts and edges."""

import numpy as np
import pytest

from benchapp.records.errors import WrongCall
from benchapp.records.leads import Lead, LeadKind
from benchapp.records.run import LeadEvidence, Origin, Outcome, Pause, PickUp, RunEvidence, RunSettings, Stop
from benchapp.records.stream import Edges, Gap, Levels
from benchapp.sessions.exchange.csv_columns import read_csv
from benchapp.sessions.exchange.from_session import runs_to_capture
from benchapp.sessions.exchange.to_session import capture_to_session
from benchapp.sessions.exchange.vcd import read_vcd
from benchapp.waveforms.volts import volts
from tests.sessions.test_exchange_session import stored, through_csv, through_vcd

S = 1_000_000_000
SECONDS = 12


def stick_lead(**facts) -> Lead:
    return Lead(
        index=3,
        label="A0",
        kind=LeadKind.LEVEL,
        role="stick",
        resolution_ns=62.5,
        full_scale_v=3.3,
        full_scale_counts=1023,
        nonlinearity_lsb=0.5,
        **facts,
    )


def sweep(**changes) -> RunEvidence:
    """A triangle on the stick, sampled 250 times a second, and pulses that follow it."""
    rng = np.random.default_rng(7)
    at_ns = np.arange(0, SECONDS * S, 4_000_000, dtype=np.int64)
    place = np.abs((at_ns / S / 3) % 2 - 1)
    counts = np.rint(155 + 713 * place + rng.normal(0, 0.4, at_ns.size)).astype(np.uint16)
    starts = np.arange(3_000_000, SECONDS * S - 3_000_000, 9_000_000, dtype=np.int64)
    lasts = (1_100_000 + 800_000 * np.abs((starts / S / 3) % 2 - 1)).astype(np.int64)
    times = np.stack([starts, starts + lasts], axis=1).ravel()
    output = Lead(index=0, label="D8", kind=LeadKind.EDGE, role="output", resolution_ns=62.5)
    facts = {
        "run": 1,
        "test": "stick-sweep",
        "origin": Origin.PRACTICE,
        "pick_up": PickUp.UNKNOWN,
        "outcome": Outcome.COMPLETE,
        "start_ns": 100_000_000,
        "stop_ns": SECONDS * S,
        "settings": RunSettings(cycles=2),
        "leads": {
            "stick": LeadEvidence(
                lead=stick_lead(), role="stick", levels=Levels(lead=3, times_ns=at_ns, values=counts)
            ),
            "output": LeadEvidence(
                lead=output,
                role="output",
                edges=Edges(
                    lead=0,
                    times_ns=times,
                    levels=np.tile(np.array([1, 0], np.uint8), starts.size),
                    flags=np.zeros(times.size, np.uint8),
                ),
            ),
        },
    }
    return RunEvidence(**{**facts, **changes})


TAKEN = tuple(
    Stop(position_deg=deg, from_ns=n * S, to_ns=n * S + 400_000_000)
    for n, deg in enumerate((-30.0, -12.5, 0.0, 15.0, 30.0), start=1)
)
RUNS = {
    "a sweep": sweep(),
    "a sweep by stops": sweep(
        settings=RunSettings(cycles=1, stops_deg=(-30.0, -12.5, 0.0, 15.0, 30.0), stop_half_width_deg=0.25), stops=TAKEN
    ),
    "a hold with two positions": sweep(
        test="hold-still",
        settings=RunSettings(seconds=5.0, positions=2),
        pauses=(Pause(from_ns=5 * S, to_ns=6 * S, reason="next-position"),),
    ),
}


@pytest.mark.parametrize("through", [through_vcd, through_csv])
@pytest.mark.parametrize("kind", RUNS)
def test_an_export_imported_again_is_the_same_evidence_to_the_bit(kind, through, tmp_path):
    run = RUNS[kind]
    session = capture_to_session(through(runs_to_capture([run], started=None)), {}, (), run.test)
    (again,) = stored(session, tmp_path)
    assert (again.test, again.start_ns, again.stop_ns) == (run.test, run.start_ns, run.stop_ns)
    assert (again.settings, again.stops, again.pauses) == (run.settings, run.stops, run.pauses)
    mine, theirs = run.leads["stick"], again.leads["stick"]
    assert theirs.levels.times_ns.tolist() == mine.levels.times_ns.tolist()
    assert volts(theirs.levels, theirs.lead).tolist() == volts(mine.levels, mine.lead).tolist()
    assert theirs.lead.nonlinearity_lsb == mine.lead.nonlinearity_lsb
    assert (theirs.lead.full_scale_v, theirs.lead.full_scale_counts) == (3.3, 1023)
    assert again.leads["output"].edges.times_ns.tolist() == run.leads["output"].edges.times_ns.tolist()
    assert again.origin is Origin.PRACTICE


def test_a_gap_of_the_stick_s_samples_comes_back(tmp_path):
    run = sweep()
    gap = Gap(leads=(3,), from_ns=4 * S, to_ns=5 * S, cause="damaged frame", count=None)
    leads = {**run.leads}
    stick = leads["stick"]
    leads["stick"] = LeadEvidence(lead=stick.lead, role="stick", levels=stick.levels, gaps=(gap,))
    capture = through_vcd(runs_to_capture([sweep(leads=leads)], started=None))
    (again,) = stored(capture_to_session(capture, {}, (), "stick-sweep"), tmp_path)
    assert [(g.from_ns, g.to_ns) for g in again.leads["stick"].gaps] == [(4 * S, 5 * S)]


def test_a_sweep_by_stops_without_a_stick_lead_needs_none_at_import(tmp_path):
    run = RUNS["a sweep by stops"]
    run = sweep(settings=run.settings, stops=run.stops, leads={"output": run.leads["output"]})
    session = capture_to_session(through_csv(runs_to_capture([run], started=None)), {}, (), "stick-sweep")
    assert stored(session, tmp_path)[0].stops == TAKEN


# A stranger's capture ---------------------------------------------------------------------------------------------


def csv_sweep(header="time_s,x,y") -> bytes:
    rows = [header]
    for n in range(3000):
        place = abs(n / 500 % 2 - 1)
        rows.append(f"{n / 1000:.3f},{0.5 + 2.3 * place:.4f},{n // 2 % 2}")
    return "\n".join(rows).encode()


def vcd_sweep(kind="real 64") -> bytes:
    head = f"$timescale 1 us $end\n$var {kind} ! x $end\n$var wire 1 # y $end\n$enddefinitions $end\n"
    body = [f"#{n * 1000}\nr{0.5 + 2.3 * abs(n / 500 % 2 - 1):.5g} !\n{n // 2 % 2}#\n" for n in range(3000)]
    return (head + "".join(body)).encode()


@pytest.mark.parametrize(
    "capture", [read_csv(csv_sweep(), file="a.csv"), read_vcd(vcd_sweep(), file="a.vcd")], ids=["csv", "vcd"]
)
def test_volts_and_edges_of_a_stranger_become_a_sweep_over_the_whole_capture(capture, tmp_path):
    session = capture_to_session(capture, {"x": "stick", "y": "output"}, (), "stick-sweep")
    (run,) = stored(session, tmp_path)
    assert (run.test, run.start_ns, run.stop_ns, run.stops) == ("stick-sweep", 0, 2999 * 1_000_000, ())
    stick = run.leads["stick"]
    assert stick.levels.count == 3000
    assert stick.levels.values[:3].tolist() == pytest.approx([2.8, 2.7954, 2.7908])
    assert stick.lead.full_scale_v is None
    assert run.leads["output"].edges.count == 1499


def test_leads_named_like_their_roles_need_no_word():
    session = capture_to_session(read_csv(csv_sweep("time_s,stick,output"), file="a.csv"), {}, (), "stick-sweep")
    assert [lead.role for lead in session.stretch.leads] == ["stick", "output"]


def test_a_hold_needs_an_output_only():
    session = capture_to_session(read_csv(csv_sweep(), file="a.csv"), {"y": "output"}, (), "hold-still")
    assert [lead.role for lead in session.stretch.leads] == ["", "output"]


@pytest.mark.parametrize(
    ("roles", "test", "named"),
    [
        ({"y": "output"}, "stick-sweep", r"needs a lead clipped to stick; say --lead NAME=stick\. .*'x'.*'y'"),
        ({"x": "stick"}, "stick-sweep", "clipped to output"),
        ({}, "stick-sweep", "clipped to stick and output"),
        ({"x": "stick"}, "hold-still", "clipped to output"),
        ({"y": "stick", "x": "output"}, "stick-sweep", "wants a lead in volts"),
        ({"z": "stick", "y": "output"}, "stick-sweep", "'z'"),
    ],
)
def test_what_a_sweep_lacks_is_said(roles, test, named):
    with pytest.raises(WrongCall, match=named):
        capture_to_session(read_csv(csv_sweep(), file="a.csv"), roles, (), test)
