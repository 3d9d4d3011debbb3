import zlib

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from benchapp.sessions.packing import (
    CLOCK,
    COUNTS,
    EDGES,
    MOST_RECORDS,
    VOLTS,
    BadBlock,
    grid_of,
    inflate,
    pack_series,
    unpack_series,
)

HZ = 16_000_000
_TYPES = {EDGES: np.uint8, COUNTS: np.uint16, VOLTS: np.float64, CLOCK: np.int64}


def ticks_to_ns(ticks: int, hz: int) -> int:
    whole, rest = divmod(ticks, hz)
    return whole * 10**9 + (rest * 10**9 + hz // 2) // hz


@given(
    st.lists(st.integers(-(2**63), 2**63 - 1), min_size=1, max_size=300),
    st.sampled_from([0, 1, HZ, 12_000_000, 7_372_800, 10**9, 2**32 - 1]),
    st.sampled_from([EDGES, COUNTS, VOLTS, CLOCK]),
    st.integers(0, 2**32 - 1),
)
@example([-(2**63)], HZ, EDGES, 0)
@example([-(2**63), 2**63 - 1], 10**9, VOLTS, 1)
def test_any_stamps_and_values_come_back_as_they_were(stamps, hz, content, seed):
    times = np.sort(np.array(stamps, dtype=np.int64))
    random = np.random.default_rng(seed)
    raw = random.integers(0, 256, (times.size, np.dtype(_TYPES[content]).itemsize), dtype=np.uint8)
    values = raw.view(_TYPES[content]).ravel()
    back_times, back_values = unpack_series(pack_series(times, values, tick_hz=hz), times.size)
    assert np.array_equal(back_times, times)
    assert back_values.dtype == values.dtype
    assert back_values.tobytes() == values.tobytes()  # also of volts that are not numbers


@settings(max_examples=60)
@given(
    st.lists(st.integers(0, 10**6), min_size=1, max_size=400),
    st.sampled_from([HZ, 12_000_000, 1_000_000, 84_000_000, 7_372_800]),
    st.integers(-(10**12), 10**12),
)
def test_stamps_of_a_counter_come_back_to_the_nanosecond(steps, hz, shift_ns):
    ticks = np.cumsum(steps)
    times = np.array([ticks_to_ns(int(tick), hz) for tick in ticks], dtype=np.int64) + shift_ns
    states = (np.arange(times.size) % 2).astype(np.uint8)
    assert np.array_equal(unpack_series(pack_series(times, states, tick_hz=hz), times.size)[0], times)


def test_a_counter_of_16_mhz_stamps_62_and_63_ns_in_turn():
    grid = grid_of(HZ)
    assert (grid.repeat_ns, grid.ticks, list(grid.stamps_ns)) == (125, 2, [0, 63])


def test_a_repeating_train_packs_into_less_than_its_plain_differences():
    random = np.random.default_rng(5)
    frame = np.cumsum(random.integers(4_000, 12_000, 18))  # eight channels and the start gap, in ticks
    ticks = (np.arange(400)[:, None] * 360_000 + frame[None, :]).ravel() + random.integers(0, 14, 7200)
    times = np.array([ticks_to_ns(int(tick), HZ) for tick in ticks], dtype=np.int64)
    states = (np.arange(times.size) % 2).astype(np.uint8)
    on_grid = len(pack_series(times, states, tick_hz=HZ))
    assert on_grid < 0.75 * len(pack_series(times, states, tick_hz=0))
    assert on_grid < 0.8 * times.size


def a_block(count: int = 50) -> bytes:
    times = np.cumsum(np.full(count, 1_000_003)).astype(np.int64)
    return pack_series(times, (np.arange(count) % 2).astype(np.uint8), tick_hz=HZ)


@pytest.mark.parametrize("count", [0, -1, 49, 51, MOST_RECORDS, MOST_RECORDS + 1, 2**62])
def test_a_count_that_is_not_the_packed_one_is_refused(count):
    with pytest.raises(BadBlock):
        unpack_series(a_block(50), count)


@given(st.binary(max_size=200), st.integers(1, 70_000))
def test_noise_is_refused_or_holds_exactly_what_was_asked(noise, count):
    try:
        times, values = unpack_series(noise, count)
    except BadBlock:
        return
    assert times.size == values.size == count


@given(st.integers(0, 10**9), st.integers(1, 255))
def test_a_changed_byte_never_raises_anything_but_bad_block(place, change):
    packed = bytearray(a_block(200))
    packed[place % len(packed)] ^= change
    try:
        times, values = unpack_series(bytes(packed), 200)
    except BadBlock:
        return
    assert times.size == values.size == 200


def test_a_stream_that_wants_to_grow_without_end_is_stopped_at_its_stated_size():
    stream = zlib.compressobj(9, zlib.DEFLATED, -15)
    bomb = stream.compress(bytes(200_000_000)) + stream.flush()
    with pytest.raises(BadBlock, match="wanted 1000 bytes"):
        inflate(bomb, 1000)


def test_a_stream_with_something_behind_its_end_is_refused():
    stream = zlib.compressobj(9, zlib.DEFLATED, -15)
    packed = stream.compress(b"edges") + stream.flush()
    assert inflate(packed, 5) == b"edges"
    with pytest.raises(BadBlock):
        inflate(packed + b"\x00", 5)
    with pytest.raises(BadBlock):
        inflate(packed[:-1], 5)
