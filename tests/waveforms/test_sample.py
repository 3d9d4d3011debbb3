import numpy as np

from benchapp.waveforms.sample import spread_sample


def test_a_short_series_is_its_own_sample():
    values = np.arange(100)
    assert spread_sample(values, 100) is values


def test_a_long_series_is_sampled_in_whole_stretches_from_end_to_end():
    values = np.arange(1_000_000)
    part = spread_sample(values, 3_200)
    assert part.size == 3_200
    assert part[0] == 0
    assert part[-1] == 999_999
    assert np.sum(np.diff(part) != 1) == 31


def test_a_repeating_series_keeps_its_proportions():
    # Nine intervals a frame: a stride of a multiple of nine would see only one of them.
    part = spread_sample(np.tile(np.arange(9), 100_000), 20_000)
    shares = np.bincount(part) / part.size
    np.testing.assert_allclose(shares, 1 / 9, atol=0.002)
