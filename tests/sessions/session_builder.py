"""Builds small sessions for the tests of this room: a board, three leads, one run."""

from collections.abc import Iterable
from pathlib import Path

import numpy as np

from benchapp.records.events import Event, EventKind
from benchapp.records.leads import Board, ClockKind, Lead, LeadKind, Stretch
from benchapp.records.run import Origin, Outcome, PickUp
from benchapp.records.stream import ClockPairs, Edges, Gap, Levels
from benchapp.sessions.runs import run_start_event, run_stop_event
from benchapp.sessions.store import SessionWriter

OUTPUT, SWITCH, STICK = 0, 1, 2
HZ = 16_000_000


def board(start_id: int = 7) -> Board:
    return Board(
        wire_version=1,
        start_id=start_id,
        tick_hz=HZ,
        tick_bits=32,
        clock_kind=ClockKind.RESONATOR,
        tolerance_ppm=5000.0,
        serial="T-1",
    )


def leads() -> tuple[Lead, ...]:
    return (
        Lead(index=OUTPUT, label="D8", kind=LeadKind.EDGE, role="output", resolution_ns=62.5),
        Lead(index=SWITCH, label="D2", kind=LeadKind.EDGE, role="switch", resolution_ns=62.5, bias_ns=1190.0),
        Lead(
            index=STICK, label="A0", kind=LeadKind.LEVEL, role="stick", resolution_ns=62.5, full_scale_v=5.0,
            full_scale_counts=1023,
        ),
    )  # fmt: skip


def stretch(number: int = 1, *, origin_ns: int = 0) -> Stretch:
    return Stretch(number=number, board=board(6 + number), leads=leads(), origin_tick=1234, origin_ns=origin_ns)


def edges(lead: int, times_ns: Iterable[int], *, first_level: int = 1) -> Edges:
    times = np.array(list(times_ns), dtype=np.int64)
    levels = ((np.arange(times.size) + first_level) & 1).astype(np.uint8)
    return Edges(lead=lead, times_ns=times, levels=levels, flags=np.zeros(times.size, dtype=np.uint8))


def pulses(start_ns: int, stop_ns: int, *, frame_ns: int = 22_500_000, width_ns: int = 1_500_000) -> Edges:
    """Servo pulses of the output lead."""
    begins = np.arange(start_ns, stop_ns, frame_ns, dtype=np.int64)
    return edges(OUTPUT, np.column_stack([begins, begins + width_ns]).ravel())


def samples(start_ns: int, count: int, *, step_ns: int = 1_000_000) -> Levels:
    times = start_ns + np.arange(count, dtype=np.int64) * step_ns
    return Levels(lead=STICK, times_ns=times, values=(500 + np.arange(count) % 7).astype(np.uint16))


def pairs(start_ns: int, count: int) -> ClockPairs:
    probe = start_ns + np.arange(count, dtype=np.int64) * 100_000_000
    return ClockPairs(probe_ns=probe, host_ns=probe + 3_000_000 + (np.arange(count) * 7919) % 900_000)


def start(run: int = 1, *, at_ns: int, number: int = 1) -> Event:
    return run_start_event(
        run=run,
        at_ns=at_ns,
        test="switch-flip",
        roles={OUTPUT: "output", SWITCH: "switch"},
        pick_up=PickUp.CONTACT,
        stretch=number,
    )


def stop(run: int = 1, *, at_ns: int) -> Event:
    return run_stop_event(run=run, at_ns=at_ns, outcome=Outcome.COMPLETE, reason="enough")


def new_writer(path: Path, **words: object) -> SessionWriter:
    told = {"origin": Origin.PROBE, "software": "benchapp 0", "started": None, "name": "bench one", **words}
    return SessionWriter.create(path, **told)  # type: ignore[arg-type]


def fill(writer: SessionWriter, *, seconds: int = 20, extra: Iterable[Event] = ()) -> None:
    """Put one stretch with one run into a writer, committed in quarter seconds."""
    writer.add_stretch(stretch())
    writer.add_event(start(at_ns=1_000_000_000))
    quarter = 250_000_000
    for step in range(seconds * 4):
        at = step * quarter
        writer.add_record(1, pulses(at, at + quarter - 22_500_000))
        writer.add_record(1, samples(at, 250))
        writer.add_record(1, pairs(at, 2))
        if step % 4 == 3:
            writer.add_record(1, edges(SWITCH, [at + 1_000_063], first_level=(step // 4) & 1))
        if step == 9:
            writer.add_record(1, Gap(leads=(SWITCH,), from_ns=at, to_ns=at + 5_000_000, cause="damaged frame", count=3))
        writer.commit()
    writer.add_event(Event(kind=EventKind.MARK, at_ns=2_000_000_000, detail={"text": "here"}))
    for event in extra:
        writer.add_event(event)
    writer.add_event(stop(at_ns=seconds * 1_000_000_000))
    writer.commit()


def small_session(path: Path, *, seconds: int = 20, extra: Iterable[Event] = (), **words: object) -> str:
    """Write a closed session of one run and return its evidence hash."""
    writer = new_writer(path, **words)
    fill(writer, seconds=seconds, extra=extra)
    return writer.close()
