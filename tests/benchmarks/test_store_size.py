"""What an edge takes on the disk, and what opening a session costs, against one numpy.diff over its stamps.

The promises: at most 1.5 B an edge at 20,000 edges a second, at most 2.5 B in an hour of switch, module and output.
Sizes do not depend on the machine, so they are asserted; times are only printed.
"""

import time
from pathlib import Path

import numpy as np
import pytest

from benchapp.records.leads import Lead, LeadKind, Stretch
from benchapp.records.stream import Edges
from benchapp.sessions.opening import open_session
from tests.sessions.session_builder import HZ, OUTPUT, SWITCH, board, new_writer

MODULE = 2
COMMIT_NS = 250_000_000
FRAME_TICKS = HZ * 225 // 10_000


def to_ns(ticks: np.ndarray) -> np.ndarray:
    """Stamps of a counter at its nominal rate, halves rounded up; no product here passes 64 bits."""
    whole, rest = np.divmod(np.sort(ticks), HZ)
    return whole * 10**9 + (rest * 10**9 + HZ // 2) // HZ


def late(random: np.random.Generator, ticks: np.ndarray, most: int = 13) -> np.ndarray:
    """Stamps taken by an interrupt: up to 0.81 µs late, evenly."""
    return ticks + random.integers(0, most + 1, ticks.size)


def serial_line(seconds: int) -> dict[int, np.ndarray]:
    """A serial line of 100,000 bits a second that carries noise: 20,000 edges a second, the worst a lead meets."""
    random = np.random.default_rng(1)
    gaps = random.geometric(0.2, seconds * 20_000) * (HZ // 100_000)
    return {OUTPUT: to_ns(late(random, np.cumsum(gaps)))}


def pulse_trains(seconds: int) -> dict[int, np.ndarray]:
    """Sixteen sticks moving on two fast module lines and one output: 20,000 edges a second together."""
    random = np.random.default_rng(2)
    lines: dict[int, np.ndarray] = {}
    for lead in (OUTPUT, MODULE):
        frames = np.arange(seconds * 556) * (HZ // 556)
        sticks = 900 + np.cumsum(random.integers(-3, 4, (frames.size, 8)), axis=0) % 200
        starts = frames[:, None] + np.concatenate([np.zeros((frames.size, 1), np.int64), sticks.cumsum(axis=1)], axis=1)
        lines[lead] = to_ns(late(random, np.concatenate([starts, starts + 300], axis=None)))
    return lines


def an_hour(seconds: int) -> dict[int, np.ndarray]:
    """Switch, a module train of eight channels and an output, both every 22.5 ms."""
    random = np.random.default_rng(3)
    frames = np.arange(seconds * HZ // FRAME_TICKS) * FRAME_TICKS
    sticks = np.full((frames.size, 8), HZ * 3 // 2000) + random.integers(-2, 3, (frames.size, 8))
    starts = frames[:, None] + np.concatenate([np.zeros((frames.size, 1), np.int64), sticks.cumsum(axis=1)], axis=1)
    module = np.concatenate([starts, starts + HZ * 3 // 10_000], axis=None)
    widths = HZ * 3 // 2000 + random.integers(-16, 17, frames.size)
    output = np.concatenate([frames + random.integers(0, 3, frames.size), frames + widths])
    switch = np.cumsum(random.integers(HZ, HZ * 2, seconds * 2 // 3))
    switch = switch[switch < seconds * HZ]
    return {OUTPUT: to_ns(output), SWITCH: to_ns(late(random, switch)), MODULE: to_ns(late(random, module))}


def recorded(path: Path, lines: dict[int, np.ndarray], seconds: int) -> int:
    """Write the edges as a recording does, a commit every quarter second; return how many there are."""
    leads = tuple(Lead(index=lead, label=f"D{lead}", kind=LeadKind.EDGE, resolution_ns=62.5) for lead in sorted(lines))
    writer = new_writer(path)
    writer.add_stretch(Stretch(number=1, board=board(), leads=leads, origin_tick=0, origin_ns=0))
    for begin in range(0, seconds * 10**9 + COMMIT_NS, COMMIT_NS):
        for lead, times in lines.items():
            first, last = np.searchsorted(times, [begin, begin + COMMIT_NS])
            levels = ((np.arange(first, last) + 1) & 1).astype(np.uint8)
            part = times[first:last]
            writer.add_record(1, Edges(lead=lead, times_ns=part, levels=levels, flags=np.zeros(part.size, np.uint8)))
        writer.commit()
    writer.close()
    with open_session(path) as session:
        return sum(session.edges(1, lead).count for lead in lines)


@pytest.mark.parametrize("signal", [serial_line, pulse_trains])
def test_an_edge_takes_at_most_1_5_bytes_at_20_000_edges_a_second(benchmark, tmp_path, signal):
    path = tmp_path / "a.t2h"
    lines = signal(20)
    count = benchmark.pedantic(recorded, args=(path, lines, 20), rounds=1)
    bytes_an_edge = path.stat().st_size / count
    print(f"\n| {signal.__name__}: {count / 20:,.0f} edges a second | {bytes_an_edge:.2f} B an edge, whole file |")
    assert count > 0.98 * sum(times.size for times in lines.values())
    assert bytes_an_edge <= 1.5


def test_an_edge_of_an_hour_session_takes_at_most_2_5_bytes_and_it_opens_at_a_known_ratio(benchmark, tmp_path):
    path = tmp_path / "a.t2h"
    lines = an_hour(3600)
    count = recorded(path, lines, 3600)
    bytes_an_edge = path.stat().st_size / count

    def opened() -> int:
        with open_session(path) as session:
            return sum(session.edges(1, lead).count for lead in lines)

    assert benchmark.pedantic(opened, rounds=5, warmup_rounds=1) == count
    stamps = np.concatenate(list(lines.values()))
    spans = []
    for _ in range(20):
        began = time.perf_counter()
        np.diff(stamps)
        spans.append(time.perf_counter() - began)
    opened_s = benchmark.stats.stats.min
    print(
        f"\n| hour of {count / 1e6:.1f} M edges | {bytes_an_edge:.2f} B an edge, whole file"
        f" | opened, checked, hashed, unpacked in {opened_s:.2f} s = {opened_s / min(spans):.0f} x numpy.diff |"
    )
    assert count == stamps.size
    assert bytes_an_edge <= 2.5
