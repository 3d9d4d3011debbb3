"""The last flip as it is held, and the strip of all of them."""

import numpy as np
import pytest

from benchapp.presentation.flips.switch_on_words import bands
from benchapp.presentation.live.flip_strip import LEAST_PLACES, flip_strip, strip_figure
from benchapp.presentation.live.last_flip import NO_ANSWER, flip_drawn, flip_words, newest_flip
from benchapp.procedures.ground.progress import Prompt, RunProgress
from benchapp.records.flip_seen import FlipSeen, last_flip
from benchapp.waveforms.pulses import servo_pulses
from tests.presentation.builders import edges, latency

MS = 1_000_000
FLIP = FlipSeen(at_ns=1000 * MS, mid_ms=24.9, direction="up", before_us=1100.0, after_us=1900.0)


def plain(text):
    return text.replace("\u00a0", " ")


def pulses_around(at_ms=(963, 983, 1003, 1023, 1043, 1063, 1083, 1103), *, step_ms=1020):
    """Return servo pulses of 1.1 ms, from step_ms on of 1.9 ms."""
    times = [(at * MS, at * MS + (1_900_000 if at >= step_ms else 1_100_000)) for at in at_ms]
    return servo_pulses(edges(0, [time for pair in times for time in pair]))


def drawn(flip=FLIP, pulses=None):
    return flip_drawn(
        flip,
        control_ns=np.array([1000 * MS]),
        heights=np.array([1.0]),
        pulses=pulses_around() if pulses is None else pulses,
        stepped=True,
    )


def test_a_flip_is_told_in_figures_and_a_line_of_words():
    words = flip_words(FLIP)
    assert (words.large, words.unit) == ("24.9", "ms")
    assert [plain(line) for line in words.lines] == ["the pulse grew longer, 1.10 to 1.90 ms"]
    assert plain(words.spoken) == "The last flip: 24.9 ms. the pulse grew longer, 1.10 to 1.90 ms."


@pytest.mark.parametrize(
    ("code", "large"), [("no-answer", NO_ANSWER), ("already-there", NO_ANSWER), ("probe-gap", "Left out")]
)
def test_a_flip_without_an_answer_has_no_figure_and_says_why(code, large):
    words = flip_words(FlipSeen(at_ns=0, mid_ms=None, code=code))
    assert (words.large, words.unit) == (large, "")
    assert words.lines[0]


def test_where_nine_of_ten_lie_is_told_once_there_are_enough_flips_and_is_the_findings_own():
    few, many = latency(19, ()), latency(40, ())
    assert len(flip_words(FLIP, few).lines) == 1
    mid = many.points["mid"]
    told = plain(flip_words(FLIP, many).lines[1])
    assert told == f"nine of ten of these flips: {mid.p05_ms:.1f} to {mid.p95_ms:.1f} ms"


def test_the_edge_the_span_and_the_answering_pulse_are_drawn_where_they_were():
    shown = drawn()
    assert shown.control == ((shown.from_ms, 0.0), (0.0, 0.0), (0.0, 1.0), (shown.to_ms, 1.0))
    assert shown.ends_ms == pytest.approx(24.9)
    answering = [pulse for pulse in shown.pulses if pulse.answer]
    assert [(pulse.begin_ms, pulse.end_ms, pulse.length) for pulse in answering] == [
        (23.0, pytest.approx(24.9), "1.90")
    ]
    assert shown.from_ms < -20 < 0 < shown.ends_ms + 20 < shown.to_ms
    assert all(shown.from_ms <= pulse.begin_ms and pulse.end_ms <= shown.to_ms for pulse in shown.pulses)


def test_what_was_taken_off_by_hand_does_not_move_the_answering_pulse():
    told = FlipSeen(at_ns=FLIP.at_ns, mid_ms=24.9 - 12.0, direction="up", taken_off_ms=-12.0)
    assert drawn(told).ends_ms == pytest.approx(24.9)


def test_a_flip_without_an_answer_shows_five_frames_and_no_span():
    shown = drawn(FlipSeen(at_ns=FLIP.at_ns, mid_ms=None, code="no-answer"))
    assert shown.ends_ms is None
    assert shown.to_ms == pytest.approx(100.0)
    assert not any(pulse.answer for pulse in shown.pulses)


def test_a_picture_without_pulses_still_has_its_span():
    nothing = servo_pulses(edges(0, []))
    shown = drawn(pulses=nothing)
    assert (shown.ends_ms, shown.pulses) == (24.9, ())


def test_a_stick_is_drawn_as_a_line_through_its_samples():
    times = np.arange(990 * MS, 1010 * MS, MS)
    volts = np.linspace(0.5, 2.5, times.size)
    shown = flip_drawn(FLIP, control_ns=times, heights=volts, pulses=pulses_around(), stepped=False)
    assert len(shown.control) == times.size
    assert (shown.control[0][1], shown.control[-1][1]) == (0.0, 1.0)
    assert shown.name == "Your stick"


def test_the_newest_flip_is_the_later_of_the_answered_and_the_left_out():
    assert last_flip(None) is None
    found = latency(30, ("no-answer",))
    assert last_flip(found).code == "no-answer"
    answered = latency(30, ())
    assert last_flip(answered).mid_ms == answered.trials[-1].mid_ms
    assert last_flip(answered).code == ""


def test_a_run_holds_its_own_last_flip_and_the_bench_s_once_its_figure_stands():
    bench = FlipSeen(at_ns=2, mid_ms=2.0)
    run = RunProgress(run=1, test="switch-flip", prompt=Prompt.FLIP_NOW, flips=1, answered=1, last_flip=FLIP)
    assert newest_flip(run, bench) is FLIP
    later = RunProgress(
        run=1, test="switch-flip", prompt=Prompt.FLIP_NOW, flips=1, answered=1, last_flip=FLIP, stands=True
    )
    assert newest_flip(later, bench) is bench
    assert newest_flip(later, None) is FLIP


def test_the_strip_has_a_dot_for_every_flip_and_room_for_those_to_come():
    found = latency(22, ("no-answer", "probe-gap"))
    strip = flip_strip(found, wanted=60)
    assert [dot.number for dot in strip.dots] == list(range(1, 25))
    assert [dot.ms for dot in strip.dots[:22]] == [trial.mid_ms for trial in found.trials]
    assert [dot.left_out for dot in strip.dots[-3:]] == [False, True, True]
    assert strip.places == 60
    assert all(strip.low_ms <= dot.ms <= strip.high_ms for dot in strip.dots[:22])
    assert strip.low_ms <= strip.ticks[0][0] < strip.ticks[-1][0] <= strip.high_ms
    assert strip.bands_ms == bands(found)
    assert strip.figure_ms == found.headline.value_ms
    assert plain(strip.spoken) == "22 of 24 flips answered"


def test_the_strip_of_a_run_without_a_count_grows_with_it():
    assert flip_strip(None, wanted=60) is None
    assert flip_strip(latency(3, ()), wanted=None).places == LEAST_PLACES
    assert flip_strip(latency(100, ()), wanted=None).places == 125
    assert flip_strip(latency(30, ()), wanted=20).places == 38


def test_a_strip_below_the_fewest_flips_has_no_figure_and_one_of_unanswered_flips_no_scale():
    few = flip_strip(latency(19, ()), wanted=60)
    assert (few.figure_ms, few.bands_ms) == (None, ())
    none = flip_strip(latency(0, ("no-answer",)), wanted=60)
    assert (none.ticks, len(none.dots)) == ((), 1)


def test_the_figure_beside_the_strip_is_one_line_of_the_run_page_s_own_words():
    wide = "any switch-on: 24 ms, give or take 13 ms"
    line = strip_figure("The figure so far", "24.06 ms", "give or take 0.92 ms, this switch-on", wide)
    assert line == "So far: 24.06 ms ± 0.92 ms, this switch-on · any switch-on: 24 ms ± 13 ms"
    assert strip_figure("The figure", "24.06 ms", "", "") == "24.06 ms"
    assert strip_figure("The figure so far", "–", "", "") == ""
