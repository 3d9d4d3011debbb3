import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchapp.waveforms.flips import contact_flips, mid_instant_ns, stick_flips
from tests.reduction.made_runs import MS, edges


def test_a_burst_is_one_flip_at_its_first_transition():
    # Published bounce: 1557 µs on average, 6200 µs at the longest (Ganssle, as quoted at uruvideo.com). The 1 and 6 ms
    # here are made up within that.
    flips = contact_flips(edges(0, [1000 * MS, 1001 * MS, 1006 * MS, 2000 * MS], [1, 0, 1, 0]))
    np.testing.assert_array_equal(flips.times_ns, [1000 * MS, 2000 * MS])
    np.testing.assert_array_equal(flips.states, [1, 0])


def test_a_burst_that_ends_where_it_began_is_a_glitch():
    flips = contact_flips(edges(0, [1000 * MS, 1000 * MS + 8000, 2000 * MS], [1, 0, 1]))
    np.testing.assert_array_equal(flips.times_ns, [2000 * MS])
    np.testing.assert_array_equal(flips.glitches_ns, [1000 * MS])


def test_transitions_exactly_one_hold_off_apart_are_two_bursts():
    flips = contact_flips(edges(0, [0, 20 * MS], [1, 0]), hold_off_ns=20 * MS)
    assert flips.count == 2
    assert contact_flips(edges(0, [0, 20 * MS - 1], [1, 0]), hold_off_ns=20 * MS).count == 0


def test_a_scanned_contact_is_recognised():
    times = np.arange(4000) * 2 * MS
    assert contact_flips(edges(0, times, np.arange(4000) % 2)).strobed


def test_a_bouncing_contact_is_not_taken_for_a_scanned_one():
    times = np.concatenate([np.arange(21) * 300_000 + k * 900 * MS for k in range(10)])
    levels = np.concatenate([(np.arange(21) + k) % 2 for k in range(10)])
    assert not contact_flips(edges(0, times, levels)).strobed


@settings(max_examples=80, deadline=None)
@given(
    dwells=st.lists(st.integers(100, 900), min_size=1, max_size=20),
    bounces=st.lists(st.lists(st.integers(20, 5000), max_size=4), min_size=20, max_size=20),
)
def test_any_bounce_shorter_than_the_hold_off_leaves_the_flips_as_they_were(dwells, bounces):
    starts = np.cumsum(dwells) * MS
    times, levels, state = [], [], 0
    for start, bounce in zip(starts, bounces, strict=False):
        state = 1 - state
        offsets = np.cumsum([0, *(b * 1000 for b in bounce[: len(bounce) // 2 * 2])])
        times += [int(start + o) for o in offsets]
        levels += [state if i % 2 == 0 else 1 - state for i in range(len(offsets))]
    flips = contact_flips(edges(0, times, levels))
    np.testing.assert_array_equal(flips.times_ns, starts)
    np.testing.assert_array_equal(flips.states, np.arange(1, len(dwells) + 1) % 2)


def test_a_stick_s_flick_is_at_its_interpolated_half_way_instant():
    times = np.arange(0, 4000) * MS
    volts = np.interp(times / MS, [0, 1000, 1040, 2000, 2080, 4000], [0.5, 0.5, 4.5, 4.5, 0.5, 0.5])
    flips = stick_flips(times, volts)
    np.testing.assert_array_equal(flips.times_ns, [1020 * MS, 2040 * MS])
    np.testing.assert_array_equal(flips.states, [1, 0])


def test_a_stick_that_never_moves_has_no_flips():
    assert stick_flips(np.arange(100) * MS, np.full(100, 2.5)).count == 0


def test_the_mid_instant_of_a_single_pole_is_ln_2_time_constants():
    # IEEE Std 181 reference levels: exact consequence for a single-pole response, 50 % after tau * ln 2.
    tau = 30 * MS
    times = np.arange(0, 400) * MS
    volts = 1 - np.exp(-times / tau)
    found = mid_instant_ns(times, volts, 0, 399, 0.5)
    assert found == pytest.approx(tau * np.log(2), abs=0.01 * MS)


def test_the_mid_instant_of_a_ramp_is_half_its_duration():
    # IEEE Std 181 reference levels: a linear ramp of duration D crosses 50 % at D/2.
    times = np.arange(0, 101) * MS
    assert mid_instant_ns(times, times / (100 * MS), 0, 100, 0.5) == 50 * MS


@pytest.mark.parametrize(("transitions", "scanned"), [(5, False), (21, False), (48, False), (52, True), (200, True)])
def test_a_contact_is_scanned_from_fifty_transitions_in_a_burst_on(transitions, scanned):
    # 50: of measurement.md. A contact that bounces makes a few; one that is scanned each 2 ms makes 50 in 0.1 s.
    bursts = [np.arange(transitions) * 2 * MS + k * 900 * MS for k in range(9)]
    levels = np.tile(np.arange(transitions) % 2, 9)
    assert contact_flips(edges(0, np.concatenate(bursts), levels)).strobed is scanned


def test_a_single_long_burst_among_flips_makes_no_scanned_contact():
    long = np.arange(400) * MS
    flips = 1000 * MS + np.arange(1, 10) * 900 * MS
    times = np.concatenate([long, flips])
    assert not contact_flips(edges(0, times, np.arange(times.size) % 2)).strobed


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_line_that_rests_on_the_level_has_reached_it_with_its_first_sample_there(sign):
    times = np.arange(6) * MS
    volts = sign * np.array([0.0, 0.5, 1.0, 1.0, 1.0, 2.0])
    assert mid_instant_ns(times, volts, 0, 5, sign * 1.0) == 2 * MS
