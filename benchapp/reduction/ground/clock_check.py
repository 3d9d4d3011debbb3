"""What a probe's heartbeats say of its clock beside the computer's, and whether it is still changing."""

import math

from benchapp.records.clock_check import ClockCheck
from benchapp.records.leads import Board
from benchapp.records.stream import ClockPairs, frozen_array
from benchapp.reduction.ground.clock import COMPUTER_PPM, fit_rate

SMALLEST_DRIFT_PPM = 5.0
"""A smaller change matters to nothing that is measured here, whatever its significance."""


def judge_clock(pairs: ClockPairs, board: Board) -> ClockCheck | None:
    """Return what the heartbeats say; None where they are fewer than 10 or span less than 2 s.

    The rate is fitted by least delay. The drift compares the first third with the last; the computer's own clock, whose
    error both share, is left out of its uncertainty.
    It is warming up where that drift is more than twice its own uncertainty and more than 5 ppm.
    """
    whole = fit_rate(pairs)
    if whole is None:
        return None
    error_ppm, standard_ppm = whole
    drift = _drift(pairs)
    return ClockCheck(
        serial=board.serial,
        error_ppm=error_ppm,
        standard_ppm=standard_ppm,
        expanded_ppm=2.0 * standard_ppm,
        span_s=float(pairs.probe_ns[-1] - pairs.probe_ns[0]) / 1e9,
        heartbeats=int(pairs.probe_ns.size),
        tolerance_ppm=board.tolerance_ppm,
        inside=_inside(error_ppm, 2.0 * standard_ppm, board.tolerance_ppm),
        drift_ppm=drift[0] if drift else None,
        drift_standard_ppm=drift[1] if drift else None,
        warming=drift is not None and abs(drift[0]) > max(2.0 * drift[1], SMALLEST_DRIFT_PPM),
    )


def _inside(error_ppm: float, expanded_ppm: float, tolerance_ppm: float | None) -> bool | None:
    if tolerance_ppm is None:
        return None
    if abs(error_ppm) + expanded_ppm <= tolerance_ppm:
        return True
    return False if abs(error_ppm) - expanded_ppm > tolerance_ppm else None


def _drift(pairs: ClockPairs) -> tuple[float, float] | None:
    """Return the change of the rate from the first third to the last, and its standard uncertainty, in ppm."""
    begin, end = int(pairs.probe_ns[0]), int(pairs.probe_ns[-1])
    third = (end - begin) // 3
    first = fit_rate(_between(pairs, begin, begin + third))
    last = fit_rate(_between(pairs, end - third, end))
    if first is None or last is None:
        return None
    return last[0] - first[0], math.hypot(_own(first[1]), _own(last[1]))


def _own(standard_ppm: float) -> float:
    """Return a fit's own standard uncertainty, without the computer's."""
    return math.sqrt(max(0.0, standard_ppm**2 - COMPUTER_PPM**2))


def _between(pairs: ClockPairs, from_ns: int, to_ns: int) -> ClockPairs:
    keep = (pairs.probe_ns >= from_ns) & (pairs.probe_ns <= to_ns)
    return ClockPairs(probe_ns=frozen_array(pairs.probe_ns[keep]), host_ns=frozen_array(pairs.host_ns[keep]))
