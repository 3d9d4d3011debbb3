"""What is written out reads back the same: VCD and CSV, with gaps, flags, negative times and names of any kind."""

import io
import json
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from vcd.reader import TokenKind, tokenize
from vcdvcd import VCDVCD

from benchapp.records.leads import Lead, LeadKind
from benchapp.records.run import Origin, Outcome, Pause, PickUp, RunSettings, Stop
from benchapp.records.stream import Edges, Gap, Levels, frozen_array
from benchapp.sessions.exchange.capture import Capture, CaptureLead, ExportNotes, RunNote
from benchapp.sessions.exchange.csv_columns import read_csv
from benchapp.sessions.exchange.csv_text import write_csv
from benchapp.sessions.exchange.notes import MARK
from benchapp.sessions.exchange.vcd import read_vcd
from benchapp.sessions.exchange.vcd_text import write_vcd
from tests.sessions.exchange_reading import edges_of, gaps_of, levels_of


def through_vcd(capture: Capture) -> Capture:
    return read_vcd(b"".join(write_vcd(capture)), file="t.vcd")


def through_csv(capture: Capture) -> Capture:
    return read_csv(b"".join(write_csv(capture)), file="t.csv")


BOTH = pytest.mark.parametrize("through", [through_vcd, through_csv])


def edge_lead(name, rows, *, flags=None, gaps=(), initial=None, place=0, described=None):
    return CaptureLead(
        name=name,
        scoped_name=name,
        source=name,
        edges=Edges(
            lead=place,
            times_ns=frozen_array(np.array([time for time, _ in rows], dtype=np.int64)),
            levels=frozen_array(np.array([level for _, level in rows], dtype=np.uint8)),
            flags=frozen_array(np.array(flags or [0] * len(rows), dtype=np.uint8)),
        ),
        initial=initial,
        gaps=tuple(Gap(leads=(place,), from_ns=a, to_ns=b, cause="records-missing", count=c) for a, b, c in gaps),
        described=described,
    )


def level_lead(name, rows, *, place=0, gaps=()):
    return CaptureLead(
        name=name,
        scoped_name=name,
        source=name,
        levels=Levels(
            lead=place,
            times_ns=frozen_array(np.array([time for time, _ in rows], dtype=np.int64)),
            values=frozen_array(np.array([volts for _, volts in rows], dtype=np.float64)),
        ),
        gaps=tuple(Gap(leads=(place,), from_ns=a, to_ns=b, cause="samples-lost", count=c) for a, b, c in gaps),
    )


def capture_of(*leads, start_ns=0, stop_ns=10_000, notes=None, started=None):
    return Capture(
        name_hint="t",
        tick_ns=62.5,
        started=started,
        leads=leads,
        start_ns=start_ns,
        stop_ns=stop_ns,
        notes=notes,
    )


def assert_same(one: Capture, other: Capture) -> None:
    assert [lead.name for lead in one.leads] == [lead.name for lead in other.leads]
    for a, b in zip(one.leads, other.leads, strict=True):
        assert a.gaps == b.gaps
        assert (a.described and a.described.label, a.described) == (b.described and b.described.label, b.described)
        if a.edges is not None:
            assert edges_of(a) == edges_of(b)
            assert b.edges is not None
            assert a.edges.flags.tolist() == b.edges.flags.tolist()
            assert a.edges.lead == b.edges.lead
        else:
            assert levels_of(a) == levels_of(b)
    assert (one.start_ns, one.stop_ns, one.tick_ns, one.started, one.notes) == (
        other.start_ns,
        other.stop_ns,
        other.tick_ns,
        other.started,
        other.notes,
    )
    assert other.remarks == ()


# -- whatever the evidence ---------------------------------------------------------------------------------------

_STAMP = st.integers(-2_000, 20_000)


@st.composite
def gap_spans(draw):
    spans = []
    for _ in range(draw(st.integers(0, 3))):
        begin, end = sorted((draw(_STAMP), draw(_STAMP)))
        spans.append((begin, end, draw(st.none() | st.integers(0, 99))))
    return spans


_NAMES = st.sampled_from(
    ["switch", "output-2", "a b", "=cmd|' /C calc'!A0", "$end", "<img src=x>", "\u202etxt", "", 'é\n,;"']
)


@st.composite
def captures(draw):
    leads = []
    for place in range(draw(st.integers(1, 4))):
        name = draw(_NAMES | st.text(max_size=8)) + f"#{place}"
        times = sorted(draw(st.lists(_STAMP, max_size=12)))
        if draw(st.booleans()):
            rows = [(time, draw(st.integers(0, 1))) for time in times]
            flags = [draw(st.sampled_from([0, 0, 0, 1, 2, 3])) for _ in rows]
            leads.append(edge_lead(name, rows, flags=flags, gaps=draw(gap_spans()), place=place))
        else:
            volts = st.floats(allow_nan=False, allow_infinity=False) | st.sampled_from([0.0, 1.0])
            rows = [(time, draw(volts)) for time in times]
            leads.append(level_lead(name, rows, place=place, gaps=draw(gap_spans())))
    shift = draw(st.sampled_from([0, 10**15, -(10**15)]))
    capture = capture_of(*leads, start_ns=-2_000, stop_ns=20_000, notes=ExportNotes(origin=Origin.PROBE))
    return moved(capture, shift)


def moved(capture: Capture, by_ns: int) -> Capture:
    leads = []
    for lead in capture.leads:
        gaps = tuple(replace(gap, from_ns=gap.from_ns + by_ns, to_ns=gap.to_ns + by_ns) for gap in lead.gaps)
        if lead.edges is not None:
            edges = replace(lead.edges, times_ns=frozen_array(lead.edges.times_ns + by_ns))
            leads.append(replace(lead, edges=edges, gaps=gaps))
        elif lead.levels is not None:
            levels = replace(lead.levels, times_ns=frozen_array(lead.levels.times_ns + by_ns))
            leads.append(replace(lead, levels=levels, gaps=gaps))
    return replace(capture, leads=tuple(leads), start_ns=capture.start_ns + by_ns, stop_ns=capture.stop_ns + by_ns)


@BOTH
@settings(max_examples=250, deadline=None)
@given(capture=captures())
def test_any_evidence_reads_back_the_same(through, capture):
    assert_same(capture, through(capture))


@settings(max_examples=100, deadline=None)
@given(capture=captures())
def test_another_strict_reader_takes_what_we_write(capture):
    data = b"".join(write_vcd(capture))
    times = [token.time_change for token in tokenize(io.BytesIO(data)) if token.kind is TokenKind.CHANGE_TIME]
    assert times == sorted(set(times))
    assert times[0] >= 0


# -- what a stranger's reader makes of it ------------------------------------------------------------------------


def without_notes(data: bytes) -> bytes:
    """The file as a tool would write it again that knows nothing of our notes."""
    lines = [line for line in data.decode().split("\n") if MARK not in line or line.startswith("time_s")]
    return "\n".join(lines).encode()


def test_an_export_holds_the_evidence_without_its_notes_as_well():
    capture = capture_of(
        edge_lead("switch", [(100, 1), (900, 0), (5_000, 1)], gaps=[(1_000, 2_000, None)]),
        level_lead("stick", [(0, 1.5), (10, 1.5), (20, 0.1)], place=1),
    )
    read_back = read_vcd(without_notes(b"".join(write_vcd(capture))), file="t.vcd")
    assert edges_of(read_back.leads[0]) == edges_of(capture.leads[0])
    assert gaps_of(read_back.leads[0]) == [(1_000, 2_000)]
    assert levels_of(read_back.leads[1]) == levels_of(capture.leads[1])
    assert read_back.notes is None


def test_two_other_readers_find_the_edges_of_an_export(tmp_path):
    capture = capture_of(
        edge_lead("switch", [(100, 1), (900, 0)]), edge_lead("output-2", [(150, 0), (151, 1)], place=1)
    )
    path = tmp_path / "out.vcd"
    path.write_bytes(b"".join(write_vcd(capture)))
    signals = VCDVCD(str(path))
    assert signals["bench.switch"].tv == [(0, "0"), (100, "1"), (900, "0")]
    assert signals["bench.output-2"].tv == [(0, "1"), (150, "0"), (151, "1")]
    assert signals.endtime == 10_000
    scalars = [
        token.scalar_change.value
        for token in tokenize(io.BytesIO(path.read_bytes()))
        if token.kind is TokenKind.CHANGE_SCALAR
    ]
    assert scalars == ["0", "1", "1", "0", "1", "0"]


def test_a_csv_export_begins_with_its_header_and_has_nine_decimals():
    capture = capture_of(
        edge_lead("switch", [(-7, 1), (1_500_000_000, 0)]),
        level_lead("stick", [(-7, 2.5)], place=1),
        start_ns=-5_000_000_000,
        stop_ns=2_000_000_000,
    )
    lines = b"".join(write_csv(capture)).decode().splitlines()
    assert lines[0] == f"time_s,switch,stick,{MARK}"
    assert lines[1].startswith("-5.000000000,,,")
    assert lines[2:] == ["-5.000000000,0,,", "-0.000000007,1,2.5,", "1.500000000,0,,", "2.000000000,,,"]


def test_hostile_names_are_written_inert_and_come_back_as_they_were():
    names = ["=HYPERLINK(1)", "@a", "+1", "-1", "$end", "a b", "<b>x</b>", "\t=1", "'=x", "x" * 10_000, "\u202egnp.exe"]
    leads = [edge_lead(name, [(1 + place, 1)], place=place) for place, name in enumerate(names)]
    capture = capture_of(*leads, notes=ExportNotes(origin=Origin.PROBE))
    header = b"".join(write_csv(capture)).decode().splitlines()[0].split(",")
    assert not any(cell.startswith(("=", "+", "-", "@", "\t")) for cell in header)
    assert "\u202e" not in "".join(header)
    data = b"".join(write_vcd(capture))
    assert data.isascii()
    assert [lead.name for lead in read_vcd(data, file="t.vcd").leads] == names
    assert [lead.name for lead in read_csv(b"".join(write_csv(capture)), file="t.csv").leads] == names


def test_what_comes_from_practice_says_so_in_the_file():
    capture = capture_of(edge_lead("switch", [(1, 1)]), notes=ExportNotes(origin=Origin.PRACTICE))
    for data in (b"".join(write_vcd(capture)), b"".join(write_csv(capture))):
        assert b"PRACTICE,\\u0020SIMULATED" in data


# -- notes -------------------------------------------------------------------------------------------------------

NOTES = ExportNotes(
    origin=Origin.PRACTICE,
    clock_tolerance_ppm=34.64,
    runs=(
        RunNote(
            test="switch-flip",
            start_ns=-100,
            stop_ns=9_000,
            outcome=Outcome.CUT_SHORT,
            pick_up=PickUp.LIGHT_GATE,
            stopped_itself=True,
            settings=RunSettings(
                hold_off_ns=3, flips=60, seconds=1.5, target_ms=0.3, cycles=3, stops_deg=(-1.5, 2.0), positions=2
            ),
            polarity={"switch": "low"},
            pauses=(Pause(from_ns=5, to_ns=9, reason="switch-on"),),
            drops_ns=(77,),
            stops=(Stop(position_deg=-1.5, from_ns=200, to_ns=600), Stop(position_deg=2.0, from_ns=700, to_ns=900)),
        ),
    ),
)
DESCRIPTOR = Lead(
    index=0,
    label="switch",
    kind=LeadKind.EDGE,
    resolution_ns=62.5,
    bias_ns=12.0,
    lateness_typical_ns=500.0,
    lateness_worst_ns=4_000.0,
    shortest_pulse_ns=2_000.0,
    highest_safe_v=5.5,
)


@BOTH
def test_descriptors_runs_and_the_start_come_back(through):
    lead = edge_lead("switch", [(100, 1)], described=DESCRIPTOR)
    capture = capture_of(lead, notes=NOTES, started="2026-11-25T09:10:00+00:00")
    assert_same(capture, through(capture))


@pytest.mark.parametrize("text", ["{}", "[]", "null", "nonsense", "[" * 100_000, '{"format":"benchapp-export-1"}'])
def test_notes_that_are_none_are_left_out_and_said(text):
    data = b"".join(write_vcd(capture_of(edge_lead("switch", [(100, 1)]), notes=NOTES)))
    lines = [f"$comment {MARK} {text} $end".encode() if MARK.encode() in line else line for line in data.split(b"\n")]
    capture = read_vcd(b"\n".join(lines), file="t.vcd")
    assert edges_of(capture.leads[0]) == [(100, 1)]
    assert capture.notes is None
    assert len(capture.remarks) == 1


_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=3),
    max_leaves=5,
)


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_no_notes_give_a_traceback(data):
    lead = edge_lead("switch", [(100, 1)], gaps=[(1, 2, None)], flags=[1], described=DESCRIPTOR)
    text = b"".join(write_vcd(capture_of(lead, notes=NOTES))).decode()
    head, _, rest = text.partition(f"{MARK} ")
    notes, _, tail = rest.partition(" $end")
    document = json.loads(notes)
    spot = document
    for _ in range(data.draw(st.integers(0, 3))):
        keys = list(spot) if isinstance(spot, dict) else list(range(len(spot))) if isinstance(spot, list) else []
        if not keys:
            break
        key = data.draw(st.sampled_from(keys))
        if not isinstance(spot[key], dict | list) or data.draw(st.booleans()):
            spot[key] = data.draw(_JSON)
            break
        spot = spot[key]
    changed = json.dumps(document).replace(" ", "\\u0020") if isinstance(document, dict) else "{}"
    capture = read_vcd(f"{head}{MARK} {changed} $end{tail}".encode(), file="t.vcd")
    assert capture.leads[0].edges is not None


def test_notes_of_a_file_that_was_edited_are_left_out_and_said():
    data = b"".join(write_vcd(capture_of(edge_lead("switch", [(100, 1), (200, 0)], flags=[1, 1]), notes=NOTES)))
    capture = read_vcd(data.replace(b"#200\n0!\n", b""), file="t.vcd")
    assert edges_of(capture.leads[0]) == [(100, 1)]
    assert capture.leads[0].edges.flags.tolist() == [0]
    assert any("switch" in remark for remark in capture.remarks)


def test_pieces_of_a_file_end_on_whole_lines():
    rows = [(time, time % 2) for time in range(200_000)]
    for writer in (write_vcd, write_csv):
        pieces = list(writer(capture_of(edge_lead("switch", rows), stop_ns=200_000)))
        assert len(pieces) > 3
        assert all(piece.endswith(b"\n") for piece in pieces)
        assert all(len(one) < 4_000_000 for one, _ in pairwise(pieces))
