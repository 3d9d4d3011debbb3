"""Trials made of numbers alone, where only latency, phase, time and switch-on matter."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from benchapp.records.findings import Trial


def trials_of(
    latencies: ArrayLike,
    *,
    phases: ArrayLike | None = None,
    times_s: ArrayLike | None = None,
    blocks: ArrayLike | None = None,
    frames: ArrayLike | None = None,
    missing: ArrayLike | None = None,
) -> list[Trial]:
    """Return a trial a latency [ms]; flips come every 1.5 s in one switch-on where nothing else is said."""
    mid = np.asarray(latencies, np.float64)
    count = mid.size

    def given(values: ArrayLike | None, usual: Sequence[float]) -> list[float]:
        return list(usual) if values is None else np.asarray(values).tolist()

    columns = zip(
        mid.tolist(),
        given(phases, [0.5] * count),
        given(times_s, [1.5 * n for n in range(count)]),
        given(blocks, [0] * count),
        given(frames, [1] * count),
        given(missing, [0] * count),
        strict=True,
    )
    return [
        Trial(
            flip=number,
            at_ns=round(at_s * 1e9),
            direction="up" if number % 2 else "down",
            first_ms=ms,
            mid_ms=ms,
            near_final_ms=ms,
            first_lead_ms=ms - 1.5,
            mid_lead_ms=ms - 1.5,
            near_final_lead_ms=ms - 1.5,
            phase=phase,
            missing_pulses=int(lost),
            frames_to_answer=int(waited),
            near_half_way=False,
            rise_frames=0.0,
            before_us=1100.0,
            after_us=1900.0,
            block=int(block),
        )
        for number, (ms, phase, at_s, block, waited, lost) in enumerate(columns, 1)
    ]
