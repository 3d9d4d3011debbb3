"""A one-hour session of four leads, opened and reduced: against one numpy.diff over its stamps, and for growth.

That numpy.diff runs over every stamp of the session, the level lead's too: opening checks and hashes them all.
"""

import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from benchapp.desk.loading import load
from benchapp.records.leads import Lead, LeadKind
from benchapp.records.run import Origin, Outcome, PickUp
from benchapp.records.stream import Edges
from benchapp.sessions.blocks import BlockKind
from benchapp.sessions.opening import open_session
from benchapp.sessions.runs import run_start_event, run_stop_event
from benchapp.sessions.store import SessionWriter
from tests.sessions import session_builder

MS = 1_000_000
FRAME_NS = 22_500_000
MODULE = 3
COMMIT_NS = 250 * MS


def on_ticks(times_ns: np.ndarray) -> np.ndarray:
    """Stamps as a probe of 16 MHz gives them."""
    return (times_ns * 16 // 1000) * 1000 // 16


def alternating(lead: int, times_ns: np.ndarray, first_level: int = 1) -> Edges:
    times = on_ticks(np.sort(times_ns))
    levels = ((np.arange(times.size) + first_level) & 1).astype(np.uint8)
    return Edges(lead=lead, times_ns=times, levels=levels, flags=np.zeros(times.size, np.uint8))


def lines(seconds: float) -> dict[int, Edges]:
    """Switch, module and output of a locked 22.5 ms radio; edges wander by a microsecond, as real ones do."""
    rng = np.random.default_rng(20)
    flips = 2_000 * MS + np.cumsum(rng.uniform(1.2e9, 1.7e9, int(seconds / 1.45))).astype(np.int64)
    flips = flips[flips < seconds * 1e9 - 1e9]
    begun = np.arange(100 * MS, round(seconds * 1e9) - 60 * MS, FRAME_NS)
    thrown = np.searchsorted(flips, begun) % 2
    channels = np.full((begun.size, 8), 1_500_000)
    channels[:, 2] = np.where(thrown, 1_900_000, 1_100_000)
    opens = begun[:, None] + np.concatenate([np.zeros((begun.size, 1), np.int64), np.cumsum(channels, axis=1)], axis=1)
    opens = (opens + rng.normal(0, 400, opens.shape)).astype(np.int64).ravel()
    answers = begun + 30 * MS + rng.normal(0, 800, begun.size).astype(np.int64)
    widths = channels[:, 2] + rng.normal(0, 800, begun.size).astype(np.int64)
    return {
        session_builder.SWITCH: alternating(session_builder.SWITCH, flips),
        MODULE: alternating(MODULE, np.concatenate([opens, opens + 300_000])),
        session_builder.OUTPUT: alternating(session_builder.OUTPUT, np.concatenate([answers, answers + widths])),
    }


def written(path: Path, seconds: float) -> Path:
    """Write the session as a recording does: a commit every quarter second."""
    writer = SessionWriter.create(path, origin=Origin.PROBE, software="benchmark", started=None, name="an hour")
    module = Lead(index=MODULE, label="D3", kind=LeadKind.EDGE, role="module", resolution_ns=62.5)
    stretch = session_builder.stretch()
    writer.add_stretch(replace(stretch, leads=(*stretch.leads, module)))
    roles = {session_builder.OUTPUT: "output", session_builder.SWITCH: "switch", MODULE: "module"}
    roles[session_builder.STICK] = "stick"
    writer.add_event(
        run_start_event(run=1, at_ns=0, test="switch-flip", roles=roles, pick_up=PickUp.CONTACT, stretch=1)
    )
    records = lines(seconds)
    for start in range(0, round(seconds * 1e9), COMMIT_NS):
        for whole in records.values():
            a, b = np.searchsorted(whole.times_ns, [start, start + COMMIT_NS])
            part = slice(int(a), int(b))
            writer.add_record(
                1,
                Edges(
                    lead=whole.lead,
                    times_ns=whole.times_ns[part],
                    levels=whole.levels[part],
                    flags=whole.flags[part],
                ),
            )
        writer.add_record(1, session_builder.samples(start, 250))
        writer.commit()
    writer.add_event(run_stop_event(run=1, at_ns=round(seconds * 1e9), outcome=Outcome.COMPLETE, reason="time"))
    writer.close()
    return path


def best_s(work, rounds: int = 5) -> float:
    spent = []
    for _ in range(rounds):
        began = time.perf_counter()
        work()
        spent.append(time.perf_counter() - began)
    return min(spent)


def all_stamps(path: Path) -> np.ndarray:
    """Every stamp of the session, the level lead's too: opening checks and hashes them all."""
    with open_session(path) as session:
        edges = [session.edges(1, lead).times_ns for lead in (session_builder.SWITCH, MODULE, session_builder.OUTPUT)]
        return np.concatenate([*edges, session.levels(1, session_builder.STICK).times_ns])


@pytest.fixture(scope="module")
def sessions(tmp_path_factory) -> dict[float, Path]:
    folder = tmp_path_factory.mktemp("hour")
    return {seconds: written(folder / f"{seconds:.0f}.t2h", seconds) for seconds in (900.0, 3600.0)}


def test_an_hour_is_opened_and_reduced_in_proportion(benchmark, sessions):
    quarter, hour = sessions[900.0], sessions[3600.0]
    loaded = benchmark.pedantic(load, args=(hour,), rounds=5, warmup_rounds=1)
    latency = loaded.findings.runs[0].result
    assert latency is not None
    assert len(latency.trials) > 2000
    stamps = all_stamps(hour)
    whole_s, quarter_s = benchmark.stats.stats.min, best_s(lambda: load(quarter))
    diff_s = best_s(lambda: np.diff(stamps), rounds=20)
    print(
        f"\n| hour: {stamps.size / 1e6:.1f} M stamps, {len(latency.trials)} flips, opened and reduced"
        f" | {whole_s:.2f} s | {whole_s / diff_s:.0f} x numpy.diff | {whole_s / quarter_s / 4:.2f} x linear |"
    )


def test_an_hour_s_edges_take_few_bytes_on_the_disk(benchmark, sessions):
    with open_session(sessions[3600.0]) as session:
        blocks = [block for block in session.packed if block.place.kind is BlockKind.EDGES]
    packed = benchmark.pedantic(lambda: sum(len(block.data) for block in blocks), rounds=1)
    edges = sum(block.count for block in blocks)
    size_mb = sessions[3600.0].stat().st_size / 1e6
    print(f"\n| edge blocks of the hour | {packed / edges:.2f} B an edge | whole file {size_mb:.1f} MB |")
