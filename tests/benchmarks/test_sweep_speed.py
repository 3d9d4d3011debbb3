"""A ten-minute sweep at 1,000 samples and 333 pulses a second, reduced; beside one difference of all its samples."""

import time

import numpy as np

from benchapp.reduction.recipes import reduce_run
from tests.reduction.made_sticks import MadeStick


def ten_minutes() -> MadeStick:
    return MadeStick(frame_ms=3.0, cycles=10, stroke_s=28.5, noise_us=0.06, play_pct=0.4)


def test_a_ten_minute_sweep(benchmark):
    made = ten_minutes()
    run = made.run()
    assert made.seconds > 595
    samples = run.leads["stick"].levels.values
    findings = benchmark.pedantic(reduce_run, args=(run,), rounds=5, warmup_rounds=1)
    begun = time.perf_counter()
    for _ in range(20):
        np.diff(samples)
    once = (time.perf_counter() - begun) / 20
    benchmark.extra_info["times one numpy.diff"] = round(benchmark.stats.stats.median / once)
    assert findings.result.cycles == 10
