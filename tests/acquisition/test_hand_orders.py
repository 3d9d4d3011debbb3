"""The practice bench's hand does what the run asks for, each thing once."""

import pytest

from benchapp.acquisition.hand_orders import PLACES, Hand, HandOrders, TakeTo, before_flips, lead_and_level, place_of
from benchapp.procedures.asked_settings import PRESETS, preset_stops_deg
from benchapp.procedures.ground.progress import Prompt, RunProgress, StickProgress

LEAVE, SWEEP = Hand.LEAVE, Hand.SWEEP


def told(prompt, *, outcome="", paused="", dropped=0, **stick):
    return RunProgress(
        run=1, test="", prompt=prompt, flips=0, answered=0, outcome=outcome, paused=paused, dropped=dropped,
        stick=StickProgress(**stick),
    )  # fmt: skip


def put(level):
    return TakeTo(place=level)


def test_a_sweep_is_brought_to_an_end_swept_and_left():
    orders = HandOrders()
    prompts = [Prompt.WAIT_FOR_PULSES, Prompt.GO_TO_AN_END, *2 * [Prompt.REST, Prompt.SWEEP]]
    assert [orders.next(told(prompt)) for prompt in prompts] == [put(0), None, None, SWEEP, None, None]
    assert orders.next(told(Prompt.DONE, outcome="complete")) == LEAVE
    assert orders.next(told(Prompt.DONE, outcome="complete")) is None


def test_after_a_pause_it_begins_at_an_end_again():
    orders = HandOrders()
    paused = told(Prompt.CARRY_ON, paused="by-hand")
    runs = [told(Prompt.SWEEP), paused, told(Prompt.GO_TO_AN_END), told(Prompt.SWEEP)]
    assert [orders.next(run) for run in runs] == [SWEEP, LEAVE, put(0), SWEEP]


def test_each_mark_is_set_once_and_anew_after_a_drop():
    orders = HandOrders()
    first = told(Prompt.SET_STOP, stops=0, marks=5, next_deg=-30.0)
    second = told(Prompt.SET_STOP, stops=1, marks=5, next_deg=-15.0)
    again = told(Prompt.SET_STOP, stops=0, marks=5, next_deg=-30.0, dropped=1)
    settling = told(Prompt.KEEP_STILL, stops=1, marks=5, next_deg=-15.0)
    asked = [orders.next(run) for run in (first, first, second, settling, again)]
    assert asked == [put(0), None, put(60), None, put(0)]


def test_a_hold_is_held_in_the_middle_or_at_even_positions():
    assert HandOrders().next(told(Prompt.WAIT_FOR_PULSES, held_s=0.0, position=1)) == put(120)
    orders = HandOrders()
    runs = [
        told(Prompt.WAIT_FOR_PULSES, held_s=0.0, position=1, positions=3),
        told(Prompt.TOUCH_NOTHING, held_s=1.0, position=1, positions=3),
        told(Prompt.NEXT_POSITION, held_s=0.0, position=2, positions=3, paused="next-position"),
        told(Prompt.NEXT_POSITION, held_s=0.0, position=3, positions=3, paused="next-position"),
    ]
    assert [orders.next(run) for run in runs] == [put(0), None, put(120), put(240)]


@pytest.mark.parametrize("count", PRESETS)
def test_every_mark_of_the_presets_is_a_place_of_its_own(count):
    for deg in preset_stops_deg(count):
        assert place_of(deg) / PLACES * 60 - 30 == pytest.approx(deg, abs=1e-9)


def test_beyond_the_travel_is_its_end_and_flips_begin_where_the_switch_stands():
    assert (place_of(-45.0), place_of(45.0)) == (0, PLACES)
    assert (before_flips(0), before_flips(1)) == (put(0), put(PLACES))
    assert HandOrders().next(RunProgress(run=1, test="", prompt=Prompt.FLIP_NOW, flips=0, answered=0)) is None


def test_an_order_goes_by_the_lead_and_the_level_that_the_practice_bench_knows():
    bench = [lead_and_level(order) for order in (Hand.LEAVE, Hand.SWEEP, TakeTo(place=0), TakeTo(place=PLACES))]
    assert bench == [("stick hand", 0), ("stick hand", 1), ("stick place", 0), ("stick place", 240)]
