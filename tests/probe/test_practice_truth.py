"""What the practice bench says it knows is what its bytes show, worked out anew from raw edges."""

import pytest

from benchapp.probe.messages import LevelTicks
from benchapp.probe.practice import hand
from benchapp.probe.practice.answers import Answers, Flip, FlipRows
from benchapp.probe.practice.bench import Bench
from benchapp.probe.practice.url import parse_practice_url
from tests.probe.practice_reading import TICK_MS, naive_answers, record

# A stamp is the last whole tick: a difference of two is off by less than one tick (62.5 ns); 1 ns for rounding.
WITHIN_MS = TICK_MS + 1e-6

BENCHES = [
    "alder?seed=11",
    "birch?seed=12",
    "cedar?seed=13",
    "birch?seed=14&flips=golden&offset=new",
    "alder?seed=15&dropout=0.2&dead=0.2&glitch_per_s=3",
    "cedar?seed=16&dropout=0.3&bounce_ms=5",
    "birch?seed=17&reverse=1&invert=1&glitch_per_s=2&bounce_ms=0",
    "cedar?seed=18&step_us=60&noise_us=0.5&flips=golden&dead=0.1",
    "alder?seed=19&step_us=1000&jitter_us=500&glitch_per_s=20",
]


@pytest.mark.parametrize("bench", BENCHES)
def test_every_answer_in_the_bytes_equals_the_truth_within_a_tick(bench, tmp_path):
    recording = record(f"practice://{bench}", 45, tmp_path)
    truths = recording.truth["flips"]
    flips = naive_answers(recording, pulse_level=0 if "invert=1" in bench else 1)
    ended_s = recording.edges["output"][-1][0] / 16e6
    assert len(flips) >= 20
    assert [flip.tick for flip in flips] == [round(truth["at_s"] * 16e6) for truth in truths]
    compared = 0
    for flip, truth in zip(flips, truths, strict=True):
        if truth["at_s"] > ended_s - 0.8:
            continue  # the recording ended before the answer was whole
        for name in ("first_ms", "mid_ms", "near_final_ms"):
            got, known = getattr(flip, name), truth[name]
            assert (got is None) == (known is None), (name, truth)
            if known is not None:
                assert abs(got - known) <= WITHIN_MS, (name, truth)
                compared += 1
    assert compared >= 45


def test_only_a_pulse_that_begins_after_the_flip_and_ends_in_time_answers_it():
    answers = Answers(frame_ns=10_000_000)
    flip = Flip(at_ns=1_000_000_000, thrown=True, up=True, switch_on=1, from_us=1000.0, to_us=2000.0)
    answers.open(flip)
    assert flip.deadline_ns == 1_500_000_000
    answers.see_pulse(1_000_000_000, 1_002_000_000, 2000.0)
    answers.see_pulse(1_010_000_000, 1_011_300_000, 1300.0)
    answers.see_pulse(1_499_000_000, 1_501_000_000, 2000.0)
    assert [flip.point_ms(n) for n in range(3)] == [11.3, None, None]


def test_a_flip_is_not_answered_after_the_next_one():
    answers = Answers(frame_ns=100_000_000)
    flips = [
        Flip(at_ns=at_ns, thrown=up, up=up, switch_on=1, from_us=2000.0 - 1000 * up, to_us=1000.0 + 1000 * up)
        for at_ns, up in ((1_000_000_000, True), (1_050_000_000, False))
    ]
    answers.open(flips[0])
    answers.see_pulse(1_048_500_000, 1_050_500_000, 2000.0)  # seen before the next flip, over after it
    answers.open(flips[1])
    answers.see_pulse(1_148_000_000, 1_149_000_000, 1000.0)
    assert [flip.point_ms(1) for flip in flips] == [None, 99.0]
    assert flips[1].deadline_ns == 3_050_000_000  # 20 frames are longer than half a second here


def test_a_flip_the_transmitter_never_saw_is_null_and_so_is_the_one_back(tmp_path):
    truths = record("practice://alder?seed=3&dead=0.4", 60, tmp_path).truth["flips"]
    shown = 0  # what the output shows; the switch alternates whatever the transmitter sees
    assert {truth["dead"] for truth in truths} == {True, False}
    for n, truth in enumerate(truths):
        thrown = 1 - n % 2
        answered = not truth["dead"] and thrown != shown
        assert (truth["mid_ms"] is not None) == answered
        assert truth["direction"] == ("up" if thrown else "down")
        if answered:
            shown = thrown


def test_cedar_s_points_lie_on_different_pulses_for_some_flips_and_on_one_for_others(tmp_path):
    truths = record("practice://cedar?seed=5", 60, tmp_path).truth["flips"]
    shapes = {(t["mid_ms"] > t["first_ms"], t["near_final_ms"] > t["mid_ms"]) for t in truths}
    assert shapes == {(False, False), (False, True), (True, False)}


def test_the_clock_error_is_in_the_stamps_and_never_in_the_truth(tmp_path):
    true = record("practice://birch?seed=4", 40, tmp_path)
    fast = record("practice://birch?seed=4&clock_ppm=1000", 40, tmp_path)
    assert [t["mid_ms"] for t in true.truth["flips"]] == [t["mid_ms"] for t in fast.truth["flips"]]
    for known, stamped in zip(fast.truth["flips"], naive_answers(fast), strict=True):
        if stamped.mid_ms is not None:
            assert stamped.mid_ms == pytest.approx(known["mid_ms"] * 1.001, abs=2 * WITHIN_MS)
            assert stamped.tick == round(known["at_s"] * 16e6)


def test_the_module_s_edge_in_the_truth_is_an_edge_of_the_train(tmp_path):
    recording = record("practice://birch?seed=6", 30, tmp_path)
    rising = {tick for tick, level in recording.edges["module"] if level == 1}
    truths = [t for t in recording.truth["flips"] if t["module_ms"] is not None]
    assert len(truths) >= 15
    for truth in truths[:-1]:
        tick = round(truth["at_s"] * 16e6) + round(truth["module_ms"] * 16e3)
        assert any(tick + near in rising for near in (-1, 0, 1))
        assert 0 < truth["module_ms"] < truth["mid_lead_ms"]


def test_a_radio_fed_by_no_train_says_nothing_of_a_module(tmp_path):
    recording = record("practice://alder?seed=6", 10, tmp_path)
    assert "module" not in recording.labels.values()
    assert all(truth["module_ms"] is None for truth in recording.truth["flips"])


def test_a_gliding_output_reaches_its_points_one_after_the_other(tmp_path):
    truths = record("practice://alder?seed=7&ramp_ms=300", 30, tmp_path).truth["flips"]
    for truth in truths[:-1]:
        # An even glide of 300 ms passes 10 and 90 % 240 ms apart; pulses come every 9 ms.
        assert truth["near_final_ms"] - truth["first_ms"] == pytest.approx(240, abs=9.9)


def test_a_stick_s_mid_travel_is_where_the_truth_says(tmp_path):
    recording = record("practice://alder?seed=8&control=stick", 30, tmp_path, level_rate_hz=1000)
    counts = [int(c) for message in recording.of(LevelTicks) for c in message.counts]
    truths = recording.truth["flips"]
    assert "switch" not in recording.labels.values()
    assert len(truths) >= 20
    middle = (min(counts) + max(counts)) / 2
    for truth in truths[:-1]:
        n = int(truth["at_s"] * 1000)  # the sample at or before mid-travel; the first was at 0 s
        assert (counts[n - 1] - middle) * (counts[n + 2] - middle) < 0


def test_a_flip_that_is_over_is_remembered_as_it_was():
    told = [
        Flip(at_ns=5, thrown=True, up=False, switch_on=2, from_us=1100.5),
        Flip(
            at_ns=7_000_000_000_001, thrown=False, up=True, switch_on=1, dead=True, deadline_ns=9, from_us=1.25,
            to_us=1900.0, module_ns=3, opening_ns=4, pulses_to_mid=2, leading_ns=[1, 2, None], trailing_ns=[3, None, 5],
        ),
    ]  # fmt: skip
    rows = FlipRows()
    for flip in told:
        rows.append(flip)
    assert list(rows) == told


def flips_of(*, remember: bool) -> list[Flip]:
    bench = Bench(parse_practice_url("practice://alder?seed=5").options, remember=remember)
    bench.begin_flipping()
    for second in range(1, 60):
        bench.advance(second * 1_000_000_000)
    return bench.answers.flips


def test_a_bench_that_nobody_asks_for_the_truth_remembers_only_the_newest_flips():
    told = flips_of(remember=True)
    assert len(told) > 30
    newest = flips_of(remember=False)
    assert 1 <= len(newest) <= 3
    assert newest == told[-len(newest) :]


def test_a_hand_that_nobody_asks_for_the_truth_moves_as_one_that_remembers(monkeypatch):
    monkeypatch.setattr(hand, "RECENT_MOVES", 4)
    hands = [hand.Hand(hand.Habits(), 3, 0.0, remember=remember) for remember in (True, False)]
    for one in hands:
        one.begin(hand.Motion.SWEEP, 0)
    places = [[one.place_at(tenth * 100_000_000) for tenth in range(3000)] for one in hands]
    assert places[0] == places[1]
    for one in hands:
        one.begin(hand.Motion.SWEEP, 300_000_000_000)
    assert hands[0].place_at(320_000_000_000) == hands[1].place_at(320_000_000_000)
    assert len(hands[1].moves) <= 8
    assert len(hands[0].moves) > 50
