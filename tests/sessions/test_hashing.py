"""The evidence hash against a second computation written from its definition, a typed value, and every change."""

import json
import sqlite3
import struct
from hashlib import sha256

import numpy as np
import pytest

from benchapp.records.events import Event, EventKind
from benchapp.records.stream import COARSE, Edges, Gap, Levels
from benchapp.sessions.blocks import row_check
from benchapp.sessions.copying import save_copy
from benchapp.sessions.opening import open_session, verify
from tests.sessions.session_builder import OUTPUT, STICK, SWITCH, edges, new_writer, pairs, start, stop, stretch

VECTOR = "sha256:9dbbd44d5643a0976b7b1d0c783eb7b882cbeb37bd486ec71f3e722d53d6d8d0"


def tiny_parts():
    return {
        "edges": edges(SWITCH, [10, 20, 63]),
        "levels": Levels(
            lead=STICK, times_ns=np.array([0, 7], dtype=np.int64), values=np.array([513, 2], dtype=np.uint16)
        ),
        "pairs": pairs(0, 2),
        "gap": Gap(leads=(1, 2), from_ns=5, to_ns=9, cause="damaged frame", count=None),
    }


def tiny_events():
    return [
        start(at_ns=1),
        Event(kind=EventKind.MARK, at_ns=30, detail={"text": "private"}),
        Event(kind=EventKind.PAUSE, at_ns=40, run=1, detail={"reason": "bad-signal"}),
        Event(kind=EventKind.RESUME, at_ns=50, run=1),
        stop(at_ns=99),
    ]


def write_tiny(path, parts=None, events=None, the_stretch=None):
    writer = new_writer(path, force=True)
    writer.add_stretch(the_stretch or stretch())
    for record in (parts or tiny_parts()).values():
        writer.add_record(1, record)
    for event in events or tiny_events():
        writer.add_event(event)
    return writer.close()


def code_by_hand(path) -> str:
    """The definition in the module's text, followed with nothing but the standard library and the raw rows."""
    connection = sqlite3.connect(path)
    number, start_id, origin_tick, origin_ns, tick_hz, text, _ = connection.execute("SELECT * FROM stretch").fetchone()
    log = connection.execute("SELECT kind, run, at_ns, detail FROM event ORDER BY id").fetchall()
    connection.close()
    gap = b'[5,9,[1,2],"damaged frame",null]\n'
    clock = struct.pack("<2q", 0, 100_000_000)
    host = struct.pack("<2q", 3_000_000, 103_007_919)
    records = [
        ("clock", -1, 2, clock, host),
        ("edges", SWITCH, 3, struct.pack("<3q", 10, 20, 63), bytes([1, 0, 1])),
        ("gaps", -1, 1, gap, b""),
        ("levels", STICK, 2, struct.pack("<2q", 0, 7), struct.pack("<2H", 513, 2)),
    ]
    items = [f"stretch\n{number}\n{start_id}\n{origin_tick}\n{origin_ns}\n{tick_hz}\n{text}"]
    for kind, lead, count, stamps, values in records:
        digests = f"{sha256(stamps).hexdigest()}\n{sha256(values).hexdigest()}"
        items.append(f"records\n1\n{kind}\n{lead}\n{count}\n{digests}")
    for kind, run, at_ns, detail in log:
        items.append(f"event\n{kind}\n{'' if run is None else run}\n{at_ns}\n{'' if kind == 'mark' else detail}")
    chain = sha256(b"thumb-to-horn evidence 1").digest()
    for item in items:
        chain = sha256(chain + item.encode()).digest()
    return "sha256:" + chain.hex()


def test_the_code_is_what_its_definition_says(tmp_path):
    code = write_tiny(tmp_path / "a.t2h")
    assert code == code_by_hand(tmp_path / "a.t2h")


def test_a_fixed_small_session_has_a_fixed_code(tmp_path):
    # Typed from the first version: evidence written today must have the same code in ten years.
    assert write_tiny(tmp_path / "a.t2h") == VECTOR


def test_the_code_says_nothing_of_names_dates_or_software(tmp_path):
    codes = []
    for words in ({"name": "a", "started": None}, {"name": "b", "started": "2026-01-01T00:00:00Z", "software": "x"}):
        writer = new_writer(tmp_path / "a.t2h", force=True, **words)
        writer.add_stretch(stretch())
        writer.add_record(1, edges(SWITCH, [1]))
        codes.append(writer.close())
    assert codes[0] == codes[1]


@pytest.mark.parametrize("kind", ["drop", "undrop", "note", "bench", "safety", "put-back"])
def test_entries_outside_the_evidence_leave_the_code_as_it_is(tmp_path, kind):
    plain = write_tiny(tmp_path / "a.t2h")
    extra = Event(
        kind=EventKind(kind), at_ns=44, run=1, detail={"flip_ns": 20, "text": "x", "line": "l", "answer": "a"}
    )
    assert write_tiny(tmp_path / "b.t2h", events=[*tiny_events(), extra]) == plain


def changed_evidence():
    parts, events = tiny_parts(), tiny_events()
    late = edges(SWITCH, [10, 20, 64])
    turned = edges(SWITCH, [10, 20, 63], first_level=0)
    flags = np.array([0, 0, COARSE], dtype=np.uint8)
    flagged = Edges(lead=SWITCH, times_ns=late.times_ns - [0, 0, 1], levels=parts["edges"].levels, flags=flags)
    louder = Levels(lead=STICK, times_ns=parts["levels"].times_ns, values=parts["levels"].values + np.uint16(1))
    yield "a stamp", {"parts": {**parts, "edges": late}}
    yield "a level", {"parts": {**parts, "edges": turned}}
    yield "a flag", {"parts": {**parts, "edges": flagged}}
    yield "a lead", {"parts": {**parts, "edges": edges(OUTPUT, [10, 20, 63])}}
    yield "an edge more", {"parts": {**parts, "edges": edges(SWITCH, [10, 20, 63, 70])}}
    yield "no edges", {"parts": {key: parts[key] for key in ("levels", "pairs", "gap")}}
    yield "a sample", {"parts": {**parts, "levels": louder}}
    yield "a clock pair", {"parts": {**parts, "pairs": pairs(1, 2)}}
    yield (
        "a gap's count",
        {"parts": {**parts, "gap": Gap(leads=(1, 2), from_ns=5, to_ns=9, cause="damaged frame", count=1)}},
    )
    yield "no gap", {"parts": {key: parts[key] for key in ("edges", "levels", "pairs")}}
    yield "the stretch's origin", {"the_stretch": stretch(origin_ns=1)}
    yield "a run's start", {"events": [start(at_ns=2), *events[1:]]}
    yield "a run's stop", {"events": [*events[:-1], stop(at_ns=98)]}
    yield "no stop", {"events": events[:-1]}
    yield "a pause", {"events": [*events[:2], *events[4:]]}
    taken = Event(kind=EventKind.STOP_TAKEN, at_ns=60, run=1, detail={"position_deg": 1.5, "from_ns": 52, "to_ns": 60})
    yield "a stop", {"events": [*events[:-1], taken, events[-1]]}
    yield "a mark's time", {"events": [events[0], Event(kind=EventKind.MARK, at_ns=31), *events[2:]]}


@pytest.mark.parametrize(
    ("name", "change"), list(changed_evidence()), ids=lambda value: value if type(value) is str else ""
)
def test_any_change_of_the_evidence_changes_the_code(tmp_path, name, change):
    assert write_tiny(tmp_path / "b.t2h", **change) != write_tiny(tmp_path / "a.t2h"), name


def test_a_mark_s_text_may_be_taken_out_of_a_shared_copy(tmp_path):
    events = [*tiny_events(), Event(kind=EventKind.BENCH, at_ns=0, detail={"customer": "private"})]
    code = write_tiny(
        tmp_path / "a.t2h", events=[*events, Event(kind=EventKind.NOTE, at_ns=0, detail={"text": "private"})]
    )
    assert save_copy(tmp_path / "a.t2h", tmp_path / "b.t2h", without_private=True) == code
    assert b"private" in (tmp_path / "a.t2h").read_bytes()
    assert b"private" not in (tmp_path / "b.t2h").read_bytes()
    checked = verify(tmp_path / "b.t2h")
    assert (checked.ok, checked.evidence_hash) == (True, code)


def test_evidence_changed_with_every_check_made_right_again_is_still_found(tmp_path):
    path = tmp_path / "a.t2h"
    code = write_tiny(path)
    connection = sqlite3.connect(path)
    row = connection.execute("SELECT id, at_ns, run, kind, detail FROM event WHERE kind = 'run-stop'").fetchone()
    moved = (row[1] + 1, *row[2:])
    connection.execute("UPDATE event SET at_ns = ?, crc = ? WHERE id = ?", (moved[0], row_check(*moved), row[0]))
    connection.commit()
    connection.close()
    checked = verify(path)
    assert not checked.ok
    assert code in checked.damaged[-1]
    assert checked.evidence_hash != code
    assert open_session(path).runs()[0].damaged


def test_descriptors_are_written_with_keys_in_order_and_without_blanks(tmp_path):
    write_tiny(tmp_path / "a.t2h")
    connection = sqlite3.connect(tmp_path / "a.t2h")
    text = connection.execute("SELECT descriptors FROM stretch").fetchone()[0]
    connection.close()
    assert text == json.dumps(json.loads(text), sort_keys=True, separators=(",", ":"))
