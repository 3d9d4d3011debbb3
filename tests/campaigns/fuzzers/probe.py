"""Hostile probes recorded by the real conductor and writer: what was acknowledged is in a session that opens whole."""

import random
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np

from benchapp.acquisition.recording import Recording, create_session
from benchapp.acquisition.wishes import Confirm, NewSession, StartRun
from benchapp.acquisition.writer import SessionStart
from benchapp.desk.findings import findings_document
from benchapp.probe.link import Link
from benchapp.probe.opening import open_link
from benchapp.procedures.gate import offered_lines
from benchapp.records.errors import BenchError
from benchapp.records.events import Event
from benchapp.records.leads import Stretch
from benchapp.records.run import Origin, RunSettings
from benchapp.records.stream import ClockPairs, Edges, Gap, Levels, Record
from benchapp.report.findings_json import document_text
from benchapp.sessions.opening import SessionReader, open_session
from tests.campaigns.fuzzers.bounds import bounded, clear
from tests.campaigns.fuzzers.chances import chance_of
from tests.campaigns.fuzzers.hostile_link import HostileLink
from tests.campaigns.telling import Tally

LONGEST_S = 120.0
"""How long one recording is waited for; a link lives through a bounded number of reads."""


class WatchedStore:
    """The real writer of a session; keeps what it was given, and how much of that was acknowledged."""

    def __init__(self, start: SessionStart) -> None:
        self._store = create_session(start)
        self.stretches: list[Stretch] = []
        self.events: list[Event] = []
        self.records: list[tuple[int, Record]] = []
        self.acknowledged = (0, 0, 0)

    @property
    def path(self) -> Path:
        return self._store.path

    def add_stretch(self, stretch: Stretch) -> None:
        self._store.add_stretch(stretch)
        self.stretches.append(stretch)

    def add_record(self, stretch_number: int, record: Record) -> None:
        self._store.add_record(stretch_number, record)
        self.records.append((stretch_number, record))

    def add_event(self, event: Event) -> None:
        self._store.add_event(event)
        self.events.append(event)

    def commit(self) -> int:
        count = self._store.commit()
        self.acknowledged = (len(self.stretches), len(self.records), len(self.events))
        return count

    def close(self) -> str:
        code = self._store.close()
        self.acknowledged = (len(self.stretches), len(self.records), len(self.events))
        return code

    def abandon(self) -> None:
        self._store.abandon()


def fuzz(tries: Iterable[int], seed: int, folder: Path, tally: Tally) -> None:
    """Record one hostile probe after the other."""
    for number in tries:
        chance = chance_of("probe", seed, number)
        with tally.counted(f"probe {number}"), bounded(tally):
            for what, count in record_one(chance, folder / "a.t2h").items():
                tally.note(what, count)
        for left in folder.iterdir():
            left.unlink()


def record_one(chance: random.Random, path: Path) -> dict[str, int]:
    """Record one hostile probe, hold the session against what was given to the disk; return what came of it."""
    stores: list[WatchedStore] = []
    links: list[HostileLink] = []

    def open_it() -> Link:
        links.append(HostileLink(open_link(f"practice://alder?seed={chance.randrange(1000)}"), chance))
        return links[-1]

    def create(start: SessionStart) -> WatchedStore:
        stores.append(WatchedStore(start))
        return stores[-1]

    recording = Recording(open_it, software="test", draw=chance.random, patient=False, watched=False, create=create)
    for line in offered_lines(Origin.PRACTICE):
        recording.wish(Confirm(line=line.value))
    recording.wish(StartRun(settings=RunSettings(flips=4), alone=True))
    recording.wish(NewSession(path=path, name="test"))
    recording.start()
    ended = recording.wait_until_finished(LONGEST_S)
    recording.close()
    assert ended, "the recording did not come to its end"
    return _judge(recording, stores, links, path)


def _judge(recording: Recording, stores: list[WatchedStore], links: list[HostileLink], path: Path) -> dict[str, int]:
    if recording.failure is not None:
        assert "did not expect" not in recording.failure.message, recording.failure.message
        assert type(recording.failure) is not BenchError
        clear(recording.failure.message)
    found = {f"ended as {type(recording.failure).__name__}": 1, "hostile frames": sum(link.frames for link in links)}
    if not stores:
        assert not path.exists()
        return found | {"never began": 1}
    (store,) = stores
    session = open_session(path)
    assert session.damage == (), session.damage
    assert session.kept == "", session.kept
    assert session.evidence_hash == recording.evidence_hash
    found["records read back"] = _hold(session, store)
    document_text(findings_document(path))
    return found | {"stretches": len(session.stretches), "runs": len(session.runs())}


def _hold(session: SessionReader, store: WatchedStore) -> int:
    """Hold a session against what its writer was given; return how many records are in it."""
    stretches, records, events = store.acknowledged
    assert session.stretches[:stretches] == tuple(store.stretches[:stretches])
    assert [event.kind for event in session.events][:events] == [event.kind for event in store.events[:events]]
    given: dict[tuple[int, type, int], list[Any]] = {}
    for number, record in store.records[:records]:
        lead = record.lead if isinstance(record, Edges | Levels) else -1
        given.setdefault((number, type(record), lead), []).append(record)
    return sum(_held(session, key, of_one) for key, of_one in given.items())


def _held(session: SessionReader, key: tuple[int, type, int], given: list[Any]) -> int:
    number, kind, lead = key
    if kind is Gap:
        kept = list(session.gaps(number))
        assert all(gap in kept for gap in given), "a gap that was acknowledged is not there"
        return len(given)
    if kind is ClockPairs:
        pairs = session.clock(number)
        assert pairs is not None
        _same(pairs.probe_ns, [record.probe_ns for record in given])
        return int(pairs.probe_ns.size)
    if kind is Edges:
        edges = session.edges(number, lead)
        _same(edges.levels, [record.levels for record in given])
        return _same(edges.times_ns, [record.times_ns for record in given])
    levels = session.levels(number, lead)
    _same(levels.values, [record.values for record in given])
    return _same(levels.times_ns, [record.times_ns for record in given])


def _same(kept: np.ndarray, given: list[np.ndarray]) -> int:
    wanted = np.concatenate(given)
    assert np.array_equal(kept[: wanted.size], wanted), "what was acknowledged is not what is read back"
    return int(kept.size)
