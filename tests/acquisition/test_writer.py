"""The thread that owns the only writing connection."""

import threading

import numpy as np
import pytest

from benchapp.acquisition.writer import COMMIT_BYTES, Writer
from benchapp.records.errors import DiskTrouble, OutputExists
from benchapp.records.events import Event, EventKind
from benchapp.records.stream import Edges
from tests.acquisition.fakes import LONG_S, MemoryStore, TestClocks, start_of


def edges(number: int, count: int = 1) -> Edges:
    return Edges(
        lead=0,
        times_ns=np.arange(number, number + count, dtype=np.int64),
        levels=np.zeros(count, np.uint8),
        flags=np.zeros(count, np.uint8),
    )


@pytest.fixture
def store():
    return MemoryStore()


def started(store: MemoryStore, **options) -> Writer:
    writer = Writer(lambda start: store, TestClocks(), **options)
    writer.start()
    writer.begin(start_of())
    return writer


def test_everything_given_is_written_in_order(store):
    writer = started(store)
    writer.add_event(Event(kind=EventKind.NOTE, at_ns=0))
    for number in range(500):
        writer.add_record(1, edges(number))
    writer.quit()
    assert [int(record.times_ns[0]) for _, record in store.records] == list(range(500))
    assert [event.kind for event in store.events] == [EventKind.NOTE]
    assert store.closed
    assert writer.evidence_hash == "sha256:memory"


def test_nothing_counts_as_saved_before_a_commit_acknowledged_it(store):
    writer = started(store)
    writer.add_record(1, edges(0))
    writer.commit()
    writer.add_record(1, edges(1))
    writer.close_session()
    assert store.commits == 2
    assert writer.saved.records == 2
    writer.quit()


def test_a_quarter_of_a_megabyte_is_committed_without_being_asked(store):
    writer = started(store)
    # 10 bytes an edge: 8 of time, 1 of level, 1 of flags.
    writer.add_record(1, edges(0, COMMIT_BYTES // 10 + 1))
    writer.add_record(1, edges(0))
    writer.begin(start_of())
    assert store.commits == 1
    writer.quit()


def test_after_the_first_trouble_nothing_more_is_written_and_what_was_acknowledged_stays():
    store = MemoryStore(fail_at_commit=2)
    writer = started(store)
    writer.add_record(1, edges(0))
    writer.commit()
    writer.add_record(1, edges(1))
    writer.commit()
    writer.close_session()
    writer.add_record(1, edges(2))
    writer.quit()
    assert isinstance(writer.trouble, DiskTrouble)
    assert writer.saved.records == 1
    assert store.abandoned
    assert not store.closed
    assert len(store.records) == 2


def test_a_disk_that_stalls_for_a_while_loses_nothing():
    gate = threading.Event()
    store = MemoryStore(blocked=gate)
    writer = started(store, items=1000)
    writer.commit()
    assert store.entered.wait(LONG_S)
    for number in range(900):
        writer.add_record(1, edges(number))
    assert writer.trouble is None
    gate.set()
    writer.quit()
    assert len(store.records) == 900


def test_the_queue_waits_and_never_drops():
    gate = threading.Event()
    store = MemoryStore(blocked=gate)
    writer = started(store, items=4, patience_s=LONG_S)
    writer.commit()
    assert store.entered.wait(LONG_S)
    giver = threading.Thread(target=lambda: [writer.add_record(1, edges(number)) for number in range(50)])
    giver.start()
    gate.set()
    giver.join()
    writer.quit()
    assert len(store.records) == 50


def test_a_disk_that_stops_for_good_is_said_and_given_up():
    gate = threading.Event()
    store = MemoryStore(blocked=gate)
    writer = started(store, items=2, patience_s=0.01)
    writer.commit()
    assert store.entered.wait(LONG_S)
    for number in range(5):
        writer.add_record(1, edges(number))
    assert isinstance(writer.trouble, DiskTrouble)
    assert "took nothing for 0.01 s" in writer.trouble.message
    gate.set()
    writer.quit()
    assert store.abandoned


def test_a_session_that_cannot_be_begun_raises_where_it_was_asked_for():
    def refuse(start):
        raise OutputExists("it is there")

    writer = Writer(refuse, TestClocks())
    writer.start()
    with pytest.raises(OutputExists):
        writer.begin(start_of())
    writer.quit()


def test_quitting_without_a_session_ends_the_thread():
    writer = Writer(lambda start: MemoryStore(), TestClocks())
    writer.start()
    writer.quit()
    assert writer.evidence_hash == ""


def test_a_run_counts_as_saved_once_a_commit_holds_its_end(store):
    writer = started(store)
    writer.commit()
    writer.add_event(Event(kind=EventKind.RUN_STOP, at_ns=5, run=1))
    writer.begin(start_of())  # everything before it has been written, the end not committed
    assert writer.saved.run == 0
    writer.add_event(Event(kind=EventKind.RUN_STOP, at_ns=5, run=1))
    writer.commit()
    writer.close_session()
    assert writer.saved.run == 1
    writer.quit()
