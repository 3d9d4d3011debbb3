"""What a check says of a clock whose rate is known."""

import numpy as np
import pytest

from benchapp.records.leads import Board, ClockKind
from benchapp.records.stream import ClockPairs
from benchapp.reduction.ground.clock_check import judge_clock

S = 1_000_000_000


def checked(ppm_of, *, seconds: int, tolerance_ppm: float | None = 100.0):
    """Judge heartbeats that arrive at once, ten a second, of a clock that runs fast by ppm_of(second)."""
    host = np.arange(0, 10 * seconds + 1) * (S // 10)
    rates = np.array([ppm_of(at / S) for at in host[:-1]])
    probe = np.append(0, np.cumsum(np.diff(host) * (1 + rates * 1e-6)))
    pairs = ClockPairs(probe_ns=np.rint(probe).astype(np.int64), host_ns=host.astype(np.int64))
    board = Board(
        wire_version=1,
        start_id=1,
        tick_hz=16_000_000,
        tick_bits=32,
        clock_kind=ClockKind.CRYSTAL,
        tolerance_ppm=tolerance_ppm,
        serial="0001",
    )
    return judge_clock(pairs, board)


def test_a_steady_clock_is_told_by_its_rate_and_is_not_warming():
    check = checked(lambda _: 40.0, seconds=60)
    assert check.error_ppm == pytest.approx(40.0, abs=0.1)
    assert check.span_s == pytest.approx(60.0, abs=0.01)
    assert check.heartbeats == 601
    assert check.expanded_ppm == pytest.approx(2 * check.standard_ppm)
    assert check.drift_ppm == pytest.approx(0.0, abs=0.1)
    assert (check.inside, check.warming) == (True, False)


@pytest.mark.parametrize(("change_ppm", "warming"), [(-60.0, True), (60.0, True), (4.0, False)])
def test_a_rate_that_still_changes_is_told_from_its_first_and_last_third(change_ppm, warming):
    check = checked(lambda at: 40.0 + change_ppm * (at >= 150.0), seconds=300)
    assert check.drift_ppm == pytest.approx(change_ppm, abs=0.1)
    assert check.warming is warming


@pytest.mark.parametrize(("ppm", "inside"), [(30.0, True), (-30.0, True), (400.0, False), (-400.0, False)])
def test_a_clock_is_inside_its_tolerance_or_outside_of_it_by_more_than_is_not_known(ppm, inside):
    assert checked(lambda _: ppm, seconds=60).inside is inside


def test_at_its_tolerance_or_without_one_nothing_is_said():
    assert checked(lambda _: 100.0, seconds=60).inside is None
    assert checked(lambda _: 40.0, seconds=60, tolerance_ppm=None).inside is None
    assert checked(lambda _: 40.0, seconds=1) is None
