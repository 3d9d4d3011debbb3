"""What a ring keeps."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from benchapp.waveforms.rings import Ring


def filled(chunks, keep_ns):
    ring = Ring(np.uint8, keep_ns=keep_ns)
    for chunk in chunks:
        times = np.array(chunk, dtype=np.int64)
        ring.append(times, (times % 2).astype(np.uint8))
    return ring


chunk_lists = st.lists(st.lists(st.integers(0, 9), min_size=1, max_size=900), min_size=1, max_size=20).map(
    lambda gaps: np.split(np.cumsum(np.concatenate(gaps)), np.cumsum([len(g) for g in gaps])[:-1])
)


@given(chunks=chunk_lists, keep_ns=st.integers(1, 3000))
def test_a_ring_holds_the_newest_entries_in_order_and_everything_young_enough(chunks, keep_ns):
    ring = filled(chunks, keep_ns)
    everything = np.concatenate(chunks)
    young = int(np.count_nonzero(everything >= everything[-1] - keep_ns))
    assert ring.times_ns.size >= young
    assert ring.times_ns.tolist() == everything[-ring.times_ns.size :].tolist()
    assert ring.values.tolist() == (ring.times_ns % 2).tolist()


def test_a_ring_does_not_grow_with_the_length_of_the_recording():
    ring = Ring(np.uint8, keep_ns=1000)
    for start in range(0, 1_000_000, 500):
        times = np.arange(start, start + 500, dtype=np.int64)
        ring.append(times, np.zeros(500, dtype=np.uint8))
    assert ring.times_ns.base.size <= 4096


def test_the_entry_before_the_limit_stays_so_that_the_standing_level_is_known():
    ring = filled([[0], list(range(10_000, 14_095)), [20_000]], keep_ns=1000)
    assert ring.times_ns.tolist() == [14_094, 20_000]


def test_a_cleared_ring_is_empty():
    ring = filled([[1, 2, 3]], 10)
    ring.clear()
    assert ring.times_ns.size == 0
