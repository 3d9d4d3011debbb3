"""Standing still and moving, told from readings."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchapp.procedures.ground.still_watch import CELL_NS, StillWatch

MS = 1_000_000


def readings(seconds, value_of, step_ms=4):
    at = np.arange(0, round(seconds * 1000), step_ms)
    return [(int(ms) * MS, float(value_of(ms / 1000))) for ms in at]


def changes(told, cuts_ms=None, **words):
    watch = StillWatch(**{"tolerance": 0.01, "away": 0.03, **words})
    found, sent = [], 0
    end_ms = told[-1][0] // MS + 200
    for cut in cuts_ms or range(20, end_ms, 20):
        upto = next((n for n, (at, _) in enumerate(told) if at > cut * MS), len(told))
        watch.feed(told[sent:upto])
        sent = upto
        found += watch.until(cut * MS)
    return found


def test_what_never_moves_is_still_after_a_third_of_a_second():
    (change,) = changes(readings(3, lambda t: 1.0))
    assert change.still
    assert change.value == pytest.approx(1.0)
    assert (change.since_ns, change.at_ns) == (0, 250 * MS)


def test_a_move_and_the_stillness_after_it_are_told():
    found = changes(readings(5, lambda t: np.interp(t, [2, 3], [0.0, 1.0])))
    assert [change.still for change in found] == [True, False, True]
    assert 2 <= found[1].at_ns / 1e9 <= 2.25
    assert found[1].value == pytest.approx(0, abs=1e-3)
    assert found[2].at_ns / 1e9 == pytest.approx(3.3, abs=0.1)
    assert found[2].value == pytest.approx(1.0, abs=1e-3)


def test_noise_of_single_readings_is_no_move():
    rng = np.random.default_rng(2)
    (change,) = changes(readings(20, lambda t: rng.normal(0, 0.008)))
    assert change.still


def test_one_far_reading_is_no_move():
    (change,) = changes(readings(4, lambda t: 0.5 if 2.0 <= t < 2.004 else 0.0))
    assert change.still


def test_something_slow_is_moving_all_the_time():
    assert changes(readings(10, lambda t: 0.1 * t)) == []


@settings(max_examples=30, deadline=None)
@given(st.lists(st.integers(1, 6000), min_size=1, max_size=30))
def test_any_cut_gives_the_same_changes(places):
    told = readings(6, lambda t: np.interp(t, [2, 2.5, 4, 4.1], [0.0, 1.0, 1.0, 0.2]))
    cuts = [*sorted(set(places)), 6200]
    assert changes(told, cuts) == changes(told)


def test_few_readings_are_enough_where_pulses_are_slow():
    found = changes(readings(5, lambda t: np.interp(t, [2, 2.2], [0.0, 1.0]), step_ms=60))
    assert [change.still for change in found] == [True, False, True]


def test_cells_lie_at_whole_multiples_of_their_length():
    (change,) = changes(readings(3, lambda t: 1.0))
    assert change.at_ns % CELL_NS == 0
