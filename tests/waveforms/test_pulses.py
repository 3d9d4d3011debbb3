import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchapp.records.run import Polarity
from benchapp.records.stream import LOST_BEFORE, Gap
from benchapp.waveforms.pulses import frame_facts, missing_between, parted, servo_pulses, within
from tests.reduction.made_runs import MS, edges, pulse_edges


def made(count=200, period_ms=20.0, durations_us=(1500,), **options):
    leading = MS + np.arange(count) * round(period_ms * MS)
    durations = np.resize(np.array(durations_us) * 1000, count)
    return pulse_edges(0, leading, durations, **options), leading, durations


@pytest.mark.parametrize("high", [True, False])
def test_the_state_that_lasts_like_a_servo_pulse_is_the_pulse(high):
    line, leading, durations = made(durations_us=(1100, 1900, 1500), high=high)
    pulses = servo_pulses(line)
    assert pulses.level == int(high)
    assert not pulses.guessed
    np.testing.assert_array_equal(pulses.leading_ns, leading)
    np.testing.assert_array_equal(pulses.durations_ns, durations)


@pytest.mark.parametrize("high", [True, False])
@pytest.mark.parametrize("jitter_us", [0, 30])
def test_on_fast_frames_the_steady_edges_are_the_leading_ones(high, jitter_us):
    # Both states last 0.3 to 2.7 ms at 3 ms a frame, so durations alone cannot tell.
    rng = np.random.default_rng(4)
    leading = MS + np.arange(4000) * 3 * MS + np.rint(rng.normal(0, jitter_us * 1e3, 4000)).astype(np.int64)
    durations = np.where(np.arange(4000) // 300 % 2, 1_900_000, 1_100_000)
    pulses = servo_pulses(pulse_edges(0, leading, durations, high=high))
    assert (pulses.level, pulses.guessed) == (int(high), False)
    np.testing.assert_array_equal(pulses.durations_ns, durations)


def test_where_nothing_varies_the_shorter_state_is_taken_and_said_to_be_guessed():
    line, _, _ = made(period_ms=3.0, durations_us=(1200,), high=False)
    pulses = servo_pulses(line)
    assert (pulses.level, pulses.guessed) == (0, True)


def test_a_wandering_start_with_constant_durations_is_a_guess_not_a_finding():
    rng = np.random.default_rng(9)
    leading = MS + np.arange(3000) * 3 * MS + rng.integers(-40_000, 40_000, 3000)
    noise = rng.integers(-20, 20, 3000)
    assert servo_pulses(pulse_edges(0, leading, 1_400_000 + noise)).guessed


def test_polarity_can_be_overridden():
    line, _, _ = made(period_ms=3.0, durations_us=(1200,))
    assert servo_pulses(line, polarity=Polarity.LOW).level == 0
    assert servo_pulses(line, polarity=Polarity.HIGH).level == 1


def test_a_spike_between_pulses_is_counted_and_never_becomes_a_value():
    line, leading, durations = made(spikes_ns=[10 * MS, 50 * MS])
    pulses = servo_pulses(line)
    np.testing.assert_array_equal(pulses.leading_ns, leading)
    np.testing.assert_array_equal(pulses.durations_ns, durations)
    np.testing.assert_array_equal(pulses.glitches_ns, [10 * MS, 50 * MS])


@pytest.mark.parametrize("width_us", [4, 90, 200])
def test_a_dip_inside_a_pulse_does_not_split_it(width_us):
    line, leading, durations = made()
    dip = leading[7] + 600_000
    times = np.sort(np.concatenate([line.times_ns, [dip, dip + width_us * 1000]]))
    pulses = servo_pulses(edges(0, times, np.arange(times.size) % 2 == 0))
    np.testing.assert_array_equal(pulses.durations_ns, durations)
    np.testing.assert_array_equal(pulses.glitches_ns, [dip])


@pytest.mark.parametrize("duration_us", [150, 299, 2701, 6000])
def test_a_pulse_outside_0_3_to_2_7_ms_is_a_glitch(duration_us):
    line, leading, _ = made(durations_us=(1500,))
    durations = np.full(200, 1_500_000)
    durations[50] = duration_us * 1000
    pulses = servo_pulses(pulse_edges(0, leading, durations))
    assert pulses.count == 199
    np.testing.assert_array_equal(pulses.glitches_ns, [leading[50]])
    assert line.count == 400


def test_no_pulse_is_measured_across_a_gap():
    line, leading, _ = made()
    gap = Gap(leads=(0,), from_ns=int(leading[9]) + 100, to_ns=int(leading[9]) + 200, cause="bytes lost")
    pulses = servo_pulses(line, [gap])
    assert pulses.count == 199
    assert not np.isin(leading[9], pulses.leading_ns)
    assert pulses.broken[9]
    assert pulses.broken.sum() == 2  # the first pulse, and the first one after the gap


def test_an_edge_that_lost_others_before_it_breaks_the_interval():
    line, leading, _ = made()
    flags = np.zeros(line.count, np.uint8)
    flags[21] = LOST_BEFORE
    pulses = servo_pulses(edges(0, line.times_ns, line.levels, flags))
    assert pulses.count == 199
    assert not np.isin(leading[10], pulses.leading_ns)


def test_two_edges_to_the_same_level_are_never_paired():
    line, leading, _ = made()
    keep = np.arange(line.count) != 41
    pulses = servo_pulses(edges(0, line.times_ns[keep], line.levels[keep]))
    assert pulses.count == 199
    assert not np.isin(leading[20], pulses.leading_ns)


def test_the_frame_s_period_leaves_missing_pulses_out_of_its_spread():
    leading = MS + np.delete(np.arange(300), [50, 51, 120]) * 20 * MS
    frame = frame_facts(servo_pulses(pulse_edges(0, leading, np.full(297, 1_500_000))))
    assert frame.period_ns == 20 * MS
    assert frame.period_sd_ns == 0.0
    assert frame.missing == 3


def test_no_frame_reaches_across_a_span_in_which_the_pulses_began_anew():
    before, after = np.arange(100), np.arange(100) + 150.4
    leading = MS + np.rint(np.concatenate([before, after]) * 20 * MS).astype(np.int64)
    pulses = servo_pulses(pulse_edges(0, leading, np.full(200, 1_500_000)))
    assert frame_facts(pulses).missing == 50
    apart = parted(pulses, [(2_100 * MS, 2_900 * MS)])
    assert (frame_facts(apart).missing, frame_facts(apart).period_sd_ns) == (0, 0.0)
    assert frame_facts(parted(pulses, [(9_000 * MS, 9_001 * MS)])).missing == 50
    assert parted(servo_pulses(edges(0, [], [])), [(0, 1)]).count == 0


def test_missing_pulses_follow_the_stated_formula():
    # Sum of round(interval / T) - 1: definition printed with the findings.
    assert missing_between(np.array([20, 20, 40, 61, 20]) * MS, 20 * MS) == 3


def test_a_line_without_edges_has_no_pulses():
    pulses = servo_pulses(edges(0, [], []))
    assert pulses.count == 0
    assert frame_facts(pulses) is None


def test_within_keeps_whole_pulses_and_their_glitches():
    line, leading, _ = made(spikes_ns=[10 * MS, 50 * MS])
    part = within(servo_pulses(line), int(leading[1]), int(leading[4]) + 1_500_000)
    np.testing.assert_array_equal(part.leading_ns, leading[1:5])
    np.testing.assert_array_equal(part.glitches_ns, [50 * MS])


@settings(max_examples=60, deadline=None)
@given(
    durations=st.lists(st.integers(310, 2690), min_size=12, max_size=60),
    spikes=st.lists(st.integers(0, 59), max_size=6, unique=True),
    high=st.booleans(),
)
def test_any_train_with_spikes_in_its_pauses_gives_back_its_pulses(durations, spikes, high):
    leading = MS + np.arange(len(durations)) * 20 * MS
    inside = [int(leading[s] + 10 * MS) for s in spikes if s < len(durations)]
    pulses = servo_pulses(pulse_edges(0, leading, np.array(durations) * 1000, high=high, spikes_ns=inside))
    assert pulses.level == int(high)
    np.testing.assert_array_equal(pulses.leading_ns, leading)
    np.testing.assert_array_equal(pulses.durations_ns, np.array(durations) * 1000)
    assert pulses.glitches_ns.size == len(inside)


@pytest.mark.parametrize(
    ("from_ms", "to_ms", "breaks"), [(0, 0, []), (45, 46, [3]), (41, 41, [2]), (45, 65, [3, 4]), (300, 301, [])]
)
def test_a_span_breaks_the_intervals_it_touches_and_no_others(from_ms, to_ms, breaks):
    pulses = servo_pulses(pulse_edges(0, 2 * MS + np.arange(10) * 20 * MS, np.full(10, 1_500_000)))
    apart = parted(pulses, [(from_ms * MS, to_ms * MS)])
    assert (np.flatnonzero(apart.broken[1:]) + 1).tolist() == breaks


def test_two_intervals_have_a_spread_and_one_has_none():
    frames = [frame_facts(servo_pulses(pulse_edges(0, at, np.full(at.size, 1_500_000)))) for at in
              (np.array([2, 22, 44]) * MS, np.array([2, 22]) * MS)]  # fmt: skip
    assert frames[0].period_sd_ns == pytest.approx(np.sqrt(2.0) * MS)
    assert frames[1].period_sd_ns is None
