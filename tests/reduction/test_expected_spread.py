"""The waiting law against its closed forms."""

import numpy as np
import pytest
from scipy import stats

from benchapp.reduction.expected_spread import waiting_mean_ms, waiting_percentile_ms, waiting_sd_ms

# Sum of two independent even spreads (trapezoidal law): T1, T2, mean, SD, median, 95 %, 99 %, longest, all in ms.
# Own evaluation of the closed forms, each checked by a million draws; one spread is JCGM 100:2008, 4.3.7
# (clause number from memory).
CASES = [
    (9, 0, 4.5, 2.598076, 4.5, 8.55, 8.91, 9),
    (20, 0, 10, 5.773503, 10, 19, 19.8, 20),
    (22.5, 0, 11.25, 6.495191, 11.25, 21.375, 22.275, 22.5),
    (20, 4, 12, 5.887841, 12, 21.171573, 22.735089, 24),
    (22.5, 9, 15.75, 6.995534, 15.75, 27.0, 29.487539, 31.5),
    (22, 11, 16.5, 7.100469, 16.5, 28.08065, 30.8, 33),
    (14, 7, 10.5, 4.518481, 10.5, 17.869505, 19.6, 21),
    (9, 9, 9, 3.674235, 9, 15.15395, 16.727208, 18),
    (20, 20, 20, 8.164966, 20, 33.675445, 37.171573, 40),
    (5, 1, 3, 1.47196, 3, 5.292893, 5.683772, 6),
]


@pytest.mark.parametrize("case", CASES)
def test_the_wait_for_one_or_two_samplers_has_the_closed_form_s_figures(case: tuple[float, ...]) -> None:
    first, second, centre, sd, median, p95, p99, longest = case
    assert waiting_mean_ms(first, second) == centre
    assert waiting_sd_ms(first, second) == pytest.approx(sd, abs=6e-7)
    for q, expected in ((0.0, 0.0), (0.5, median), (0.95, p95), (0.99, p99), (1.0, longest)):
        assert waiting_percentile_ms(q, first, second) == pytest.approx(expected, abs=6e-7)
        assert waiting_percentile_ms(q, second, first) == pytest.approx(expected, abs=6e-7)


@pytest.mark.parametrize(("first", "second"), [(22.5, 9.0), (9.0, 4.0), (14.0, 14.0)])
def test_percentiles_are_those_of_scipy_s_trapezoid(first: float, second: float) -> None:
    whole = first + second
    law = stats.trapezoid(second / whole, first / whole, scale=whole)
    for q in np.linspace(0.01, 0.99, 21):
        assert waiting_percentile_ms(float(q), first, second) == pytest.approx(law.ppf(q), rel=1e-9)


def test_a_sampler_without_period_does_not_wait() -> None:
    assert waiting_percentile_ms(0.95, 0.0, 0.0) == 0.0
    assert waiting_sd_ms(0.0) == 0.0


def test_impossible_calls_say_what_was_wanted() -> None:
    with pytest.raises(ValueError, match="got 95"):
        waiting_percentile_ms(95, 20.0)
    with pytest.raises(ValueError, match="0 ms or more"):
        waiting_percentile_ms(0.5, 20.0, -1.0)
