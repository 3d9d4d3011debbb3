"""Decoding wire format 1, and recording it through a pseudo-terminal, on one core."""

import json
import os
import subprocess
import sys
import time
import tty

import numpy as np

from benchapp.probe.backends.serial_port import SerialLink
from benchapp.probe.messages import EdgeTicks
from benchapp.probe.timebase import Timebase
from benchapp.probe.wire import EDGE_RECORD, Decoder
from benchapp.records.stream import Edges, Gap
from tests.probe.scripted_probe import HZ, ScriptedProbe, started

EDGES = 1_000_000
CHUNK = 16_384
RATE = 200_000
SECONDS = 4

# Sends a slice every 2 ms, as a bridge does; a process of its own, so that only the reader's work is measured.
SENDER = """
import json, os, sys, time
far, name = int(sys.argv[1]), sys.argv[2]
slices = json.load(open(name + ".json"))
data = open(name, "rb").read()
os.read(far, 1)
began, at = time.monotonic(), 0
for number, size in enumerate(slices):
    wait = began + number * 0.002 - time.monotonic()
    if wait > 0:
        time.sleep(wait)
    piece = data[at : at + size]
    at += size
    while piece:
        piece = piece[os.write(far, piece) :]
os.read(far, 1)
"""


def stream(edges: int, per_frame: int = 10) -> bytes:
    probe = ScriptedProbe()
    ticks = np.cumsum(np.random.default_rng(3).integers(20, 140, edges)).tolist()
    return b"".join(
        probe.edges(*[(0, n & 1, ticks[n]) for n in range(start, start + per_frame)])
        for start in range(0, edges, per_frame)
    )


def decode(data: bytes) -> int:
    decoder = Decoder()
    found = 0
    for at in range(0, len(data), CHUNK):
        for message in decoder.feed(data[at : at + CHUNK]):
            assert isinstance(message, EdgeTicks)
            found += message.ticks.size
    return found


def bare_seconds(data: bytes) -> float:
    """The least any reader could do: take the same bytes as an array of records and copy the ticks."""
    whole = data[: len(data) // EDGE_RECORD.itemsize * EDGE_RECORD.itemsize]
    times = []
    for _ in range(9):
        began = time.perf_counter()
        np.frombuffer(whole, EDGE_RECORD)["tick"].copy()
        times.append(time.perf_counter() - began)
    return min(times)


def test_decoding_on_one_core(benchmark):
    data = stream(EDGES)
    assert decode(data) == EDGES
    benchmark.pedantic(decode, args=(data,), rounds=5, warmup_rounds=1)
    seconds = benchmark.stats.stats.min
    rate, times_bare = EDGES / seconds / 1e6, seconds / bare_seconds(data)
    print(
        f"\n| wire: decode, 10 edges a frame | {rate:.1f} M edges/s (3 asked) | {times_bare:.0f} x numpy.frombuffer |"
    )
    assert rate >= 1  # a third of what is asked for: a busy computer must not fail it, a wrong turn must


def slices_of(probe: ScriptedProbe) -> list[bytes]:
    """One slice for every 2 ms: its edges, and a heartbeat ten times a second."""
    per_slice = RATE // 500
    step = HZ // RATE
    slices = [started(probe, 0)]
    for number in range(SECONDS * 500):
        first = number * per_slice
        data = probe.edges(*[(n % 2, n // 2 & 1, (first + n) * step) for n in range(per_slice)])
        if number % 50 == 49:
            data += probe.heartbeat((first + per_slice) * step)
        slices.append(data)
    return slices


def test_recording_through_a_pseudo_terminal(benchmark, tmp_path):
    slices = slices_of(ScriptedProbe())
    (tmp_path / "sent").write_bytes(b"".join(slices))
    (tmp_path / "sent.json").write_text(json.dumps([len(piece) for piece in slices]), encoding="utf-8")
    far, near = os.openpty()
    tty.setraw(near)
    sender = subprocess.Popen([sys.executable, "-c", SENDER, str(far), str(tmp_path / "sent")], pass_fds=(far,))
    link = SerialLink(os.ttyname(near))
    try:
        figures = benchmark.pedantic(receive, args=(link, RATE * SECONDS), rounds=1)
    finally:
        link.write(b"!")
        sender.wait(timeout=30)
        link.close()
        os.close(near)
        os.close(far)
    edges, gaps, share, rate = figures
    print(
        f"\n| wire: {rate:,.0f} edges/s through a pseudo-terminal | {share:.1%} of a core (10 % asked) | {gaps} gaps |"
    )
    assert edges == RATE * SECONDS
    assert gaps == 0
    assert share < 0.3  # as above


def receive(link: SerialLink, wanted: int) -> tuple[int, int, float, float]:
    """Return the edges that came, the gaps, the share of a core it took, and the edges a second."""
    decoder, timebase = Decoder(), Timebase()
    edges = gaps = 0
    link.write(b"!")
    began, busy = time.perf_counter(), time.thread_time()
    while edges < wanted and time.perf_counter() - began < 5 * SECONDS:
        arrival = link.read()
        for output in timebase.feed(decoder.feed(arrival.data), arrival.host_ns):
            if isinstance(output, Edges):
                edges += output.count
            gaps += isinstance(output, Gap)
    wall = time.perf_counter() - began
    return edges, gaps, (time.thread_time() - busy) / wall, edges / wall
