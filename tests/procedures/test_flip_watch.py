"""Flips of the control as they happen."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from benchapp.procedures.flips import flick_watch
from benchapp.procedures.flips.flick_watch import FlickWatch
from benchapp.procedures.flips.flip_watch import FlipWatch
from benchapp.records.leads import Lead, LeadKind
from benchapp.records.stream import Edges, Levels
from benchapp.waveforms.flips import contact_flips
from tests.procedures.told_bench import MS, S, ToldBench, cut_edges

STICK = Lead(index=8, label="stick", kind=LeadKind.LEVEL, resolution_ns=62.5, full_scale_v=5.0, full_scale_counts=1023)


def edges_of(times: list[int]) -> Edges:
    stamps = np.array(times, np.int64)
    return Edges(
        lead=1,
        times_ns=stamps,
        levels=(np.arange(stamps.size) % 2 == 0).astype(np.uint8),
        flags=np.zeros(stamps.size, np.uint8),
    )


def test_a_flip_is_delivered_once_its_burst_is_over():
    watch = FlipWatch(hold_off_ns=20 * MS, from_ns=0)
    assert watch.feed(ToldBench(flips_ns=[S], bounce_ns=(MS, 2 * MS)).switch()) == []
    assert watch.until(S + 2 * MS + 20 * MS - 1) == []
    assert watch.until(S + 2 * MS + 20 * MS) == [S]
    assert watch.until(9 * S) == []


def test_a_burst_that_ends_where_it_began_is_no_flip():
    watch = FlipWatch(hold_off_ns=20 * MS, from_ns=0)
    watch.feed(edges_of([S, S + 4_000]))
    assert watch.until(2 * S) == []


def test_flips_before_the_run_are_not_the_run_s():
    watch = FlipWatch(hold_off_ns=20 * MS, from_ns=2 * S)
    watch.feed(ToldBench(flips_ns=[S, 3 * S]).switch())
    assert watch.until(9 * S) == [3 * S]


def test_a_burst_that_still_goes_on_is_known_to():
    watch = FlipWatch(hold_off_ns=20 * MS, from_ns=0)
    watch.feed(edges_of([S, S + 30 * MS]))
    assert watch.open_since_ns == S + 30 * MS
    watch.until(9 * S)
    assert watch.open_since_ns is None


@given(
    gaps_ms=st.lists(st.sampled_from([1, 3, 19, 20, 21, 500]), min_size=1, max_size=40),
    places=st.lists(st.integers(0, 10**6), max_size=10),
)
def test_any_cut_of_the_edges_gives_the_reduction_s_own_flips(gaps_ms, places):
    edges = edges_of(list(np.cumsum(gaps_ms) * MS))
    expected = contact_flips(edges, hold_off_ns=20 * MS).times_ns.tolist()
    watch = FlipWatch(hold_off_ns=20 * MS, from_ns=0)
    found = [flip for part in cut_edges(edges, places) for flip in watch.feed(part)]
    assert found + watch.until(10**15) == expected


def flicked(seconds: float, flicks_s: list[float]) -> Levels:
    times = np.arange(0, int(seconds * 1e9), 4 * MS, dtype=np.int64)
    thrown = np.searchsorted(np.array(flicks_s) * 1e9, times) % 2
    return Levels(lead=8, times_ns=times, values=np.where(thrown, 800, 200).astype(np.uint16))


def test_a_flick_of_the_stick_is_delivered_once_however_the_samples_are_cut():
    levels = flicked(6.0, [1.0, 2.5, 4.0, 5.0])
    for size in (1, 7, 250, 1500):
        watch = FlickWatch(lead=STICK, from_ns=0)
        found = []
        for start in range(0, levels.count, size):
            part = Levels(
                lead=8,
                times_ns=levels.times_ns[start : start + size],
                values=levels.values[start : start + size],
            )
            found += watch.feed(part)
        assert np.allclose(found, np.array([1.0, 2.5, 4.0, 5.0]) * 1e9, atol=4 * MS), size


def test_a_stick_at_rest_with_noise_is_never_flicked():
    rng = np.random.default_rng(3)
    values = (500 + rng.integers(-2, 3, 2000)).astype(np.uint16)
    watch = FlickWatch(lead=STICK, from_ns=0)
    assert watch.feed(Levels(lead=8, times_ns=np.arange(2000, dtype=np.int64) * 4 * MS, values=values)) == []


def test_a_stick_that_is_left_alone_for_long_is_not_looked_at_from_the_beginning_on_and_on(monkeypatch):
    monkeypatch.setattr(flick_watch, "LONGEST_NS", 4 * S)
    watch, whole = FlickWatch(lead=STICK, from_ns=0), flicked(40.0, [1.0, 33.0])
    found, kept = [], []
    for start in range(0, whole.count, 16):
        part = slice(start, start + 16)
        found += watch.feed(Levels(lead=3, times_ns=whole.times_ns[part], values=whole.values[part]))
        kept.append(sum(levels.times_ns[-1] - levels.times_ns[0] for levels in watch._parts))
    assert [round(time / S, 1) for time in found] == [1.0, 33.0]
    assert max(kept) <= 4.1 * S
