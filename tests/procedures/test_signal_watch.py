"""Whether servo pulses keep coming."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchapp.procedures.ground.signal_watch import STEADY_PULSES, SignalWatch
from benchapp.records.stream import Edges
from tests.procedures.told_bench import MS, S, ToldBench, cut_edges


def test_the_signal_is_steady_at_the_end_of_the_fifth_pulse():
    watch = SignalWatch(0)
    changes = watch.feed(ToldBench().output(1 * S))
    assert [change.steady for change in changes] == [True]
    assert changes[0].at_ns == 3 * MS + (STEADY_PULSES - 1) * 20 * MS + 1_100_000


@pytest.mark.parametrize(("period_ms", "limit_ms"), [(20, 200), (22, 220), (50, 500), (3, 200)])
def test_bad_signal_is_the_longer_of_ten_frames_and_a_fifth_of_a_second(period_ms, limit_ms):
    watch = SignalWatch(0)
    watch.feed(ToldBench(period_ns=period_ms * MS).output(2 * S))
    assert watch.limit_ns == limit_ms * MS
    last_ns = watch.leading_ns + 1_100_000
    assert watch.until(last_ns + limit_ms * MS - 1) == []
    (lost,) = watch.until(last_ns + limit_ms * MS)
    assert not lost.steady
    assert lost.at_ns == last_ns + limit_ms * MS


def test_a_lost_signal_is_told_once():
    watch = SignalWatch(0)
    watch.feed(ToldBench().output(1 * S))
    assert len(watch.until(5 * S)) == 1
    assert watch.until(9 * S) == []


def test_an_outage_inside_one_delivery_is_seen_like_any_other():
    watch = SignalWatch(0)
    changes = watch.feed(ToldBench(quiet=[(1 * S, 2 * S)]).output(3 * S))
    assert [change.steady for change in changes] == [True, False, True]
    assert changes[1].at_ns == 983 * MS + 1_100_000 + 200 * MS
    assert changes[2].at_ns == 2 * S + 3 * MS + 4 * 20 * MS + 1_100_000


def test_the_pause_of_a_fast_frame_is_no_pulse():
    # 3 ms frames: high for 1.1 ms, low for 1.9 ms, both as long as a servo pulse may be.
    watch = SignalWatch(0)
    watch.feed(ToldBench(period_ns=3 * MS).output(1 * S))
    assert watch.period_ns == 3 * MS


def test_a_single_pulse_in_every_second_never_makes_the_signal_steady():
    watch = SignalWatch(0)
    starts = np.arange(0, 20 * S, S)
    times = np.stack([starts, starts + 1_500_000], axis=1).ravel()
    edges = Edges(
        lead=0, times_ns=times, levels=np.tile([1, 0], starts.size).astype(np.uint8), flags=np.zeros(40, "u1")
    )
    assert watch.feed(edges) == []


@given(places=st.lists(st.integers(0, 10**6), max_size=20))
def test_any_cut_of_the_edges_gives_the_same_changes(places):
    edges = ToldBench(quiet=[(500 * MS, 900 * MS), (1200 * MS, 1500 * MS)]).output(2 * S)
    whole, parts = SignalWatch(0), SignalWatch(0)
    expected = whole.feed(edges)
    assert [change for part in cut_edges(edges, places) for change in parts.feed(part)] == expected


def test_the_n_th_pulse_after_a_moment_is_found_or_still_awaited():
    watch = SignalWatch(0)
    watch.feed(ToldBench().output(1 * S))
    assert watch.nth_pulse_after(0, 1) == 3 * MS + 1_100_000
    assert watch.nth_pulse_after(3 * MS + 1_100_000, 1) == 23 * MS + 1_100_000
    assert watch.nth_pulse_after(0, 50) == 983 * MS + 1_100_000
    assert watch.nth_pulse_after(0, 51) is None
