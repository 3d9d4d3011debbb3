"""When a hand is told that it goes too fast or too slow."""

import pytest

from benchapp.procedures.ground.progress import Pace
from benchapp.procedures.sweep.guide import SweepGuide

S = 1_000_000_000
LOW_V, HIGH_V = 0.5, 2.5
FULL_SCALE_V = 3.3


def guide(*rests_v: float) -> SweepGuide:
    """Return a guide that has seen the stick rest at these places."""
    made = SweepGuide(0.15 * FULL_SCALE_V)
    for value in rests_v:
        made.rested(value)
    return made


@pytest.mark.parametrize("up", [True, False])
@pytest.mark.parametrize(
    ("ahead", "pace"),
    # 0.15 of the range is what a hand is allowed (our own choice): well inside and well outside of it.
    [(0.3, Pace.TOO_FAST), (0.17, Pace.TOO_FAST), (0.13, Pace.GOOD), (0.0, Pace.GOOD), (-0.13, Pace.GOOD),
     (-0.17, Pace.TOO_SLOW), (-0.3, Pace.TOO_SLOW)],
)  # fmt: skip
def test_a_sixth_of_the_way_ahead_of_the_ring_is_too_fast_and_behind_it_too_slow(up, ahead, pace):
    hand = guide(LOW_V, HIGH_V)
    begin_v, way_v = (LOW_V, HIGH_V - LOW_V) if up else (HIGH_V, LOW_V - HIGH_V)
    hand.begin(0, begin_v)
    half_way_ns = round(hand.stroke_s() * S / 2)
    assert hand.pace([(half_way_ns, begin_v + (0.5 + ahead) * way_v)]) is pace


@pytest.mark.parametrize(("stroke_s", "pace"), [(0.8, Pace.TOO_FAST), (1.4, Pace.TOO_FAST), (1.7, Pace.GOOD)])
def test_a_first_stroke_whose_end_nobody_knows_is_told_by_its_speed(stroke_s, pace):
    # A whole scale in 1.5 s is the quickest (our own choice). From the middle of the scale no other end is expected.
    hand = guide(FULL_SCALE_V / 2)
    hand.begin(0, FULL_SCALE_V / 2)
    step_ns = S // 10
    moved_v = FULL_SCALE_V * 0.1 / stroke_s
    assert hand.pace([(0, FULL_SCALE_V / 2), (step_ns, FULL_SCALE_V / 2 + moved_v)]) is pace


def test_nothing_is_said_while_the_stick_rests():
    hand = guide(LOW_V, HIGH_V)
    assert hand.pace([(0, LOW_V), (S, HIGH_V)]) is None
