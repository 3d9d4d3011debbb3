"""Six sets of 12 switch-ons with 20 flips each compared; beside loading one session of 60 flips."""

import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from benchapp.desk.loading import load
from benchapp.reduction.ground.distributions import student_t_quantile
from tests.reduction.comparing_coverage import FREE, IN_STEP, SLOWER_FREE, made_sets, side_by_side

SESSION = Path(__file__).parents[2] / "sample_sessions" / "field-day-alder.t2h"


def test_six_sets_compared(benchmark):
    rng = np.random.default_rng(1)
    kinds = [replace((IN_STEP, FREE, SLOWER_FREE)[n % 3], path_ms=5.0 + 1.3 * n) for n in range(6)]
    sessions = [one for kind in kinds for one in made_sets(kind, (12, 20), 1, rng)]
    load(SESSION)
    begun = time.perf_counter()
    load(SESSION)
    once = time.perf_counter() - begun
    # Quantiles are kept between calls; a person compares once.
    found = benchmark.pedantic(
        side_by_side, args=(sessions,), setup=student_t_quantile.cache_clear, rounds=5, warmup_rounds=1
    )
    benchmark.extra_info["times loading one session"] = round(benchmark.stats.stats.median / once, 1)
    assert len(found.pairs) == 15
    assert all(own.figure is not None and own.figure.units == 12 for own in found.sets)
