import numpy as np
import pytest

from benchapp.records.stream import Gap
from benchapp.waveforms.line_kind import LineKind, line_kind
from benchapp.waveforms.trains import pulse_train
from tests.reduction.made_runs import MS, edges, pulse_edges


def train_edges(values_us, *, frame_ms=22.5, separator_us=300, idle_high=True):
    """Sum signal: a separator opens each channel and closes the last (mftech.de/ppm_en.htm: 22.5 ms, 0.3 ms)."""
    values = np.asarray(values_us, np.float64) * 1000
    begun = MS + np.arange(values.shape[0]) * round(frame_ms * MS)
    opens = begun[:, None] + np.concatenate([np.zeros((values.shape[0], 1)), np.cumsum(values, axis=1)], axis=1)
    opens = np.rint(opens).astype(np.int64).ravel()
    times = np.sort(np.concatenate([opens, opens + separator_us * 1000]))
    return edges(0, times, (np.arange(times.size) % 2 == 0) != idle_high), begun


def values(frames, channels, seed=3):
    return np.random.default_rng(seed).integers(1000, 2000, (frames, channels)).astype(np.float64)


@pytest.mark.parametrize(
    ("channels", "frame_ms", "separator_us", "idle_high"),
    [(8, 22.5, 300, True), (8, 22.5, 300, False), (6, 20.0, 500, True), (4, 13.0, 400, False), (12, 30.0, 300, True)],
)
def test_polarity_count_separator_and_frame_are_found(channels, frame_ms, separator_us, idle_high):
    wanted = values(80, channels)
    line, begun = train_edges(wanted, frame_ms=frame_ms, separator_us=separator_us, idle_high=idle_high)
    train = pulse_train(line)
    assert train.channels == channels
    assert train.period_ns == pytest.approx(frame_ms * MS)
    assert train.separator_ns == pytest.approx(separator_us * 1000, abs=2)
    assert train.separator_level == int(not idle_high)
    # The first frame has no start gap before it, and the last none after it.
    np.testing.assert_allclose(train.values_ns, wanted[1:-1] * 1000, atol=1)
    np.testing.assert_array_equal(train.begun_ns, begun[1:-1])
    np.testing.assert_allclose(train.completed_ns[:, 0] - train.begun_ns, wanted[1:-1, 0] * 1000, atol=1)


def test_a_frame_with_a_break_in_it_is_left_out():
    line, begun = train_edges(values(40, 8))
    gap = Gap(leads=(0,), from_ns=int(begun[10]) + 2 * MS, to_ns=int(begun[10]) + 3 * MS, cause="bytes lost")
    train = pulse_train(line, [gap])
    assert begun[10] not in train.begun_ns
    assert train.bad_frames >= 1
    assert train.values_ns.shape[0] == 37


def test_servo_pulses_are_no_train():
    leading = MS + np.arange(200) * 20 * MS
    assert pulse_train(pulse_edges(0, leading, np.full(200, 1_500_000))) is None


def test_servo_pulses_that_come_and_go_are_no_train():
    kept = np.random.default_rng(6).random(4000) > 0.05
    leading = MS + np.flatnonzero(kept) * 14 * MS
    line = pulse_edges(0, leading, np.full(leading.size, 1_500_000))
    assert pulse_train(line) is None
    assert line_kind(line) is LineKind.SERVO


def test_the_kind_of_a_line_is_recognised():
    leading = MS + np.arange(200) * 20 * MS
    assert line_kind(pulse_edges(0, leading, np.full(200, 1_500_000))) is LineKind.SERVO
    assert line_kind(train_edges(values(40, 8))[0]) is LineKind.TRAIN
    assert line_kind(edges(0, [5], [1])) is LineKind.QUIET


def test_a_serial_output_is_recognised():
    # 100 kbaud 8E2: a bit lasts 10 µs, 25 bytes a frame of 3.00 ms (arithmetic), a frame every 10 ms.
    rng = np.random.default_rng(2)
    bursts = [k * 10 * MS + np.cumsum(rng.integers(1, 6, 144)) * 10_000 for k in range(40)]
    times = np.concatenate(bursts)
    assert line_kind(edges(0, times, np.arange(times.size) % 2)) is LineKind.SERIAL
