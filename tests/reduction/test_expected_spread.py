"""The spread of waiting for one or two samplers, against its closed form and against draws."""

import numpy as np
import pytest

from benchapp.reduction.flips.expected_spread import samplers_ms, waiting_sd_ms

# Sum of two independent even spreads: T1, T2, SD, all in ms. Own evaluation of the closed form; one spread is
# JCGM 100:2008, 4.3.7 (clause number from memory).
CASES = [
    (9, 0, 2.598076),
    (20, 0, 5.773503),
    (22.5, 0, 6.495191),
    (20, 4, 5.887841),
    (22.5, 9, 6.995534),
    (22, 11, 7.100469),
    (14, 7, 4.518481),
    (9, 9, 3.674235),
    (20, 20, 8.164966),
    (5, 1, 1.47196),
]


@pytest.mark.parametrize(("first", "second", "sd"), CASES)
def test_the_spread_of_waiting_for_one_or_two_samplers_is_the_closed_form_s(first, second, sd):
    periods = (first, second) if second else (first,)
    assert waiting_sd_ms(periods) == pytest.approx(sd, abs=6e-7)
    draws = np.random.default_rng(1).random((2, 200_000)) * np.array([[first], [second]])
    assert waiting_sd_ms(periods) == pytest.approx(float(draws.sum(axis=0).std()), rel=0.01)


def test_a_train_in_step_with_the_output_is_no_second_sampler():
    assert samplers_ms(22.5, None) == (22.5,)
    assert samplers_ms(22.5, 22.4999) == (22.5,)
    assert samplers_ms(9.0, 22.5) == (22.5, 9.0)
