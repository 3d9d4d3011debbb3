"""The stick's track from its samples, and the strokes and rests in it."""

from dataclasses import replace

import numpy as np
import pytest

from benchapp.waveforms.stick_track import stick_track
from benchapp.waveforms.strokes import find_moves

S = 1_000_000_000


def moved(corners, *, rate=1000, noise=0.0):
    """Return samples of a stick that goes straight from corner to corner: (seconds, volts)."""
    t = np.arange(0, corners[-1][0], 1 / rate)
    v = np.interp(t, [c[0] for c in corners], [c[1] for c in corners])
    return np.rint(t * 1e9).astype(np.int64), v + np.random.default_rng(1).normal(0, noise, t.size)


CYCLE = [(0, 0.5), (1, 0.5), (4, 2.5), (5, 2.5), (9, 0.5), (10, 0.5)]


def test_strokes_and_rests_of_a_cycle():
    moves = find_moves(stick_track(*moved(CYCLE, noise=0.001)))
    assert moves.cycles == 1
    assert [(s.rising, s.whole) for s in moves.strokes] == [(True, True), (False, True)]
    assert [s.from_ns / S for s in moves.strokes] == pytest.approx([1, 5], abs=0.05)
    assert [s.to_ns / S for s in moves.strokes] == pytest.approx([4, 9], abs=0.05)
    assert [(r.high, r.at_v) for r in moves.rests] == [
        (False, pytest.approx(0.5, abs=0.01)),
        (True, pytest.approx(2.5, abs=0.01)),
        (False, pytest.approx(0.5, abs=0.01)),
    ]


def test_a_hesitation_is_part_of_its_stroke_and_a_half_way_turn_is_not_whole():
    hesitates = [(0, 0.5), (1, 0.5), (3, 1.5), (3.2, 1.4), (5, 2.5), (6, 2.5), (8, 1.5), (10, 2.5), (11, 2.5)]
    moves = find_moves(stick_track(*moved(hesitates)))
    assert [(s.rising, s.whole) for s in moves.strokes] == [(True, True), (False, False), (True, False)]
    assert moves.cycles == 0


def test_noise_alone_is_no_movement():
    assert find_moves(stick_track(*moved([(0, 1.5), (10, 1.5)], noise=0.01))).strokes == ()
    assert find_moves(stick_track(*moved([(0, 1.5), (10, 1.55)])), full_scale_v=3.3).strokes == ()


def test_a_track_is_straight_between_samples_however_unevenly_they_come():
    times, volts = moved(CYCLE)
    keep = np.random.default_rng(2).random(times.size) < 0.2
    track = stick_track(times[keep], volts[keep])
    at = np.array([2.0, 2.5, 7.0])
    before, share = track.places(np.rint(at * S).astype(np.int64))
    found = track.volts[before] + share * (track.volts[before + 1] - track.volts[before])
    assert found == pytest.approx(np.interp(at, [c[0] for c in CYCLE], [c[1] for c in CYCLE]), abs=0.003)


def test_missing_samples_and_gaps_are_not_known():
    times, volts = moved(CYCLE)
    keep = (times < 2 * S) | (times > 2.5 * S)
    track = stick_track(times[keep], volts[keep], holes_ns=[(6 * S, 7 * S)])
    grid = np.arange(track.volts.size) / 100
    assert not track.known[(grid > 2.05) & (grid < 2.45)].any()
    assert not track.known[(grid > 6.05) & (grid < 6.95)].any()
    assert track.known[(grid > 2.6) & (grid < 5.9)].all()


def test_a_lead_of_which_only_changes_were_written_kept_its_value_in_between():
    times, volts = moved(CYCLE)
    steps = np.rint(volts / 0.02) * 0.02
    changed = np.append(True, np.diff(steps) != 0)
    found, whole = stick_track(times[changed], steps[changed]), stick_track(times, steps)
    size = found.volts.size - 3  # nothing was written after the last change, in the middle of a cell
    assert found.known.all()
    assert found.volts[:size] == pytest.approx(whole.volts[:size], abs=1e-9)


def test_a_single_sample_that_sticks_out_is_taken_back():
    times, volts = moved(CYCLE)
    struck = volts.copy()
    struck[[1500, 3000, 7000]] = 3.3
    assert stick_track(times, struck).volts == pytest.approx(stick_track(times, volts).volts, abs=2e-4)


def test_too_few_samples_are_no_track():
    assert stick_track(np.empty(0, np.int64), np.empty(0)) is None
    assert stick_track(np.array([5, 5]), np.array([1.0, 2.0])) is None


@pytest.mark.parametrize(("noises", "strokes"), [(18, 0), (22, 2), (40, 2)])
def test_what_moves_by_less_than_twenty_times_its_noise_was_never_moved(noises, strokes):
    track = stick_track(*moved(CYCLE))
    moves = find_moves(replace(track, noise_v=(track.volts.max() - track.volts.min()) / noises))
    assert len(moves.strokes) == strokes


@pytest.mark.parametrize(
    ("travel_v", "full_scale_v", "strokes"),
    [(0.06, 3.3, 0), (0.08, 3.3, 2), (0.015, None, 0), (0.03, None, 2)],
)
def test_what_keeps_within_two_percent_of_its_lead_or_within_20_millivolts_was_never_moved(
    travel_v, full_scale_v, strokes
):
    small = [(at, 1.0 + (volts - 0.5) / 2.0 * travel_v) for at, volts in CYCLE]
    assert len(find_moves(stick_track(*moved(small)), full_scale_v=full_scale_v).strokes) == strokes
