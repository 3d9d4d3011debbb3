"""The output's step from the spectrum of its durations, and how even the steps are."""

import numpy as np
import pytest

from benchapp.reduction.ground.resolution import output_step
from benchapp.reduction.sweep.code_steps import code_steps, steps_over_travel

TICK_NS = 62.5


def durations(step_ns: float, *, pulses: int, noise_ns: float = 0.0, tick_ns: float = TICK_NS, seed: int = 0):
    rng = np.random.default_rng(seed)
    asked = np.floor(rng.uniform(1.1e6, 1.9e6, pulses) / step_ns + 0.5) * step_ns + rng.normal(0, noise_ns, pulses)
    return np.rint(np.floor(asked / tick_ns + 0.5) * tick_ns).astype(np.int64)


@pytest.mark.parametrize("step_us", [0.5, 0.6, 0.75, 1.0, 1.37, 2.0, 4.0, 8.0, 10.0])
def test_the_step_is_exact_to_a_thousandth_from_800_pulses(step_us):
    for seed in range(5):
        found = output_step(durations(step_us * 1000, pulses=800, seed=seed), tick_ns=TICK_NS)
        assert found.step_ns == pytest.approx(step_us * 1000, rel=1e-3)


@pytest.mark.parametrize("step_ns", [1370, 2710, 5330])
def test_the_peak_is_placed_finer_than_the_spectrum_s_own_points(step_ns):
    for seed in range(5):
        found = output_step(durations(step_ns, pulses=800, seed=seed), tick_ns=TICK_NS)
        assert found.step_ns == pytest.approx(step_ns, rel=5e-5)


def test_noise_of_a_sixth_of_a_step_leaves_the_step():
    found = output_step(durations(1000, pulses=800, noise_ns=160), tick_ns=TICK_NS)
    assert found.step_ns == pytest.approx(1000, rel=2e-3)
    assert 0.5 < found.strength < 0.8


def test_a_step_of_the_stamps_own_tick_or_hardly_more_is_no_step():
    assert output_step(durations(1.0, pulses=5000), tick_ns=TICK_NS) is None
    assert output_step(durations(2 * TICK_NS, pulses=5000), tick_ns=TICK_NS) is None


def test_an_output_without_steps_has_none():
    assert output_step(durations(1.0, pulses=5000, noise_ns=300), tick_ns=TICK_NS) is None


def test_too_few_pulses_or_values_say_nothing():
    assert output_step(durations(1000, pulses=199), tick_ns=TICK_NS) is None
    assert output_step(np.full(1000, 1_500_000), tick_ns=TICK_NS) is None


def test_stamps_of_a_nanosecond_are_no_harder():
    found = output_step(durations(800, pulses=1000, noise_ns=30, tick_ns=1.0), tick_ns=1.0)
    assert found.step_ns == pytest.approx(800, rel=1e-3)


def test_the_converter_example_has_the_published_non_linearities():
    # S. Franco, Design with Operational Amplifiers and Analog Integrated Circuits, Example 12.1 (title from memory):
    # INL 1 LSB, DNL 1.5 LSB, non-monotonic from 011 to 100.
    steps = code_steps([0, 0.125, 0.1875, 0.4375, 0.375, 0.6875, 0.6875, 0.875], unit=0.125)
    assert steps.inl.tolist() == [0, 0, -0.5, 0.5, -1, 0.5, -0.5, 0]
    assert steps.dnl.tolist() == [0, -0.5, 1, -1.5, 1.5, -1, 0.5]
    assert steps.monotonic is False
    assert float(np.abs(steps.inl).max()) == 1
    assert float(np.abs(steps.dnl).max()) == 1.5


def test_even_steps_have_none():
    steps = code_steps([1.0, 1.5, 2.0, 2.5])
    assert steps.dnl.tolist() == [0, 0, 0]
    assert steps.monotonic is True


def test_a_code_density_weighted_with_the_speed_finds_a_wide_and_a_missing_step():
    edges = np.append(0.0, np.cumsum([1, 1, 1, 3, 1, 1, 0, 1, 1, 1, 1, 1, 1, 1])) / 15
    z = np.concatenate([np.linspace(0, 0.5, 2001)[:-1], np.linspace(0.5, 1, 1000)])
    weights = np.concatenate([np.full(2000, 0.5 / 2000), np.full(1000, 0.5 / 1000)])
    codes = np.searchsorted(edges[1:-1], z, side="right").astype(np.int64)
    found = steps_over_travel(codes, weights)
    assert (found.codes, found.missing) == (12, 1)
    # Twelve steps have a width, 13 in all: the wide one is 3 of a mean of 13/12.
    assert found.dnl == pytest.approx(3 * 12 / 13 - 1, abs=0.02)


def test_too_few_pulses_a_code_say_nothing():
    assert steps_over_travel(np.arange(100).repeat(9), np.ones(900)) is None
