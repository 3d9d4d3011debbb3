"""The practice radios' law: whose the offset is, how waiting spreads, and what a long run comes to."""

import dataclasses
import math

import numpy as np
import pytest

from benchapp.probe.practice import law
from benchapp.probe.practice.bench import Bench
from benchapp.probe.practice.long_run import long_run
from benchapp.probe.practice.options import BenchOptions, Flips, NewOffset
from benchapp.probe.practice.radios import ALDER, BIRCH, CEDAR, RADIOS
from benchapp.probe.practice.simulate import simulate_latencies
from tests.probe.practice_reading import record

QUIET = {"jitter_us": 0.0, "noise_us": 0.0, "bounce_ms": 0.0}


def simulate(options, *, runs=400, flips=250, seed=1):
    return simulate_latencies(options, runs=runs, flips=flips, rng=np.random.default_rng(seed))


def test_the_offset_belongs_to_the_name_and_not_to_the_seed():
    for radio in RADIOS.values():
        offsets = {Bench(BenchOptions(radio=radio, seed=seed)).switch_ons[0].offset for seed in range(10)}
        assert offsets == {radio.own_offset}
        assert 0 <= radio.own_offset < 1
    assert len({radio.own_offset for radio in RADIOS.values()}) == 3
    renamed = dataclasses.replace(BIRCH, name="Birch the second")
    assert renamed.own_offset != BIRCH.own_offset


def test_an_offset_drawn_anew_belongs_to_the_seed():
    for new in NewOffset:
        offsets = [first_offset(BIRCH, seed=n, new=new) for n in range(10)]
        assert offsets == [first_offset(BIRCH, seed=n, new=new) for n in range(10)]
        assert len(set(offsets)) == 10


def test_radios_of_one_seed_have_offsets_of_their_own_at_every_switch_on():
    first = [first_offset(radio, seed=7, new=NewOffset.RADIO_AND_SEED) for radio in RADIOS.values()]
    assert len(set(first)) == 3
    later = []
    for radio in RADIOS.values():
        bench = Bench(BenchOptions(radio=radio, seed=7))
        for on in (False, True):
            bench.power(on)
            bench.advance(bench.now_ns + 10_000_000_000)
        later.append(bench.switch_ons[1].offset)
    assert len(set(later)) == 3


def test_an_offset_drawn_from_the_seed_alone_is_the_same_for_every_radio_as_it_was_before():
    assert len({first_offset(radio, seed=7, new=NewOffset.SEED) for radio in RADIOS.values()}) == 1


def first_offset(radio, *, seed, new):
    return Bench(BenchOptions(radio=radio, seed=seed, new_offset=new)).switch_ons[0].offset


def test_two_runs_of_a_locked_radio_at_one_offset_agree_and_at_another_do_not(tmp_path):
    def mean_ms(query):
        truths = record(f"practice://birch?flips=golden&{query}", 150, tmp_path).truth["flips"]
        return sum(truth["mid_ms"] for truth in truths) / len(truths)

    own = [mean_ms("seed=31"), mean_ms("seed=32")]
    other = mean_ms("seed=31&offset=0.5")
    assert own[0] == pytest.approx(own[1], abs=0.8)
    assert abs(own[0] - other) > 5


@pytest.mark.parametrize("first_beat_ns", [0, 17])
def test_the_next_beat_is_the_first_at_or_after_an_instant(first_beat_ns):
    for at_ns in range(-250, 250):
        beat = law.next_beat_ns(at_ns, first_beat_ns, 100)
        assert at_ns <= beat < at_ns + 100
        assert (beat - first_beat_ns) % 100 == 0


def test_waiting_for_one_sampler_spreads_as_a_rectangle_does():
    # Rectangular distribution of width T: SD = T/sqrt(12) (JCGM 100:2008, 4.3.7; clause number from memory).
    run = simulate(BenchOptions(radio=BIRCH, **QUIET))
    assert np.std(run.mid_lead_ms) == pytest.approx(22.5 / math.sqrt(12), rel=0.01)
    assert np.ptp(run.mid_lead_ms) == pytest.approx(22.5, rel=0.001)


@pytest.mark.parametrize("radio", [ALDER, CEDAR])
def test_waiting_for_two_samplers_spreads_as_a_trapezoid_does(radio):
    # The sum of two independent uniform waits: variance (T1² + T2²)/12 (variances add; JCGM 100:2008, 4.3.7 and 5.1.2,
    # clause numbers from memory).
    run = simulate(BenchOptions(radio=radio, **QUIET))
    expected_ms = math.sqrt((radio.frame_ns**2 + radio.scan_ns**2) / 12) / 1e6
    one_step = run.first_lead_ms  # the first answering pulse carries at least 10 % of every step
    assert np.std(one_step) == pytest.approx(expected_ms, rel=0.02)


@pytest.mark.parametrize("radio", list(RADIOS.values()), ids=list(RADIOS))
@pytest.mark.parametrize("flips", [Flips.RANDOM, Flips.GOLDEN])
def test_the_long_run_figure_is_what_many_simulated_flips_come_to(radio, flips):
    options = BenchOptions(radio=radio, flips=flips, dropout=0.1)
    run = simulate(options)
    error_ms = np.std(run.mid_ms.mean(axis=1)) / math.sqrt(run.mid_ms.shape[0])
    assert np.mean(run.mid_ms) == pytest.approx(long_run(options, radio.own_offset).mid_ms, abs=5 * error_ms)
    assert np.mean(run.mid_ms[run.up]) > np.mean(run.mid_ms[~run.up])


def test_the_long_run_figure_of_a_locked_radio_is_a_closed_form():
    # Half a scan of waiting, the path, the wait for the frame that the offset fixes, and half of both pulses.
    options = BenchOptions(radio=BIRCH, offset=0.25)
    arrival_ms = (0.25 * 22.5 + 28.6) % 22.5
    expected_ms = 22.5 / 2 + 28.6 + (22.5 - arrival_ms) + (1.1 + 1.9) / 2
    assert long_run(options, 0.25).mid_ms == pytest.approx(expected_ms, abs=0.002)
    # Over all offsets the frame is waited for by half a frame.
    assert long_run(options, None).mid_ms == pytest.approx(22.5 / 2 + 28.6 + 22.5 / 2 + 1.5, abs=0.05)


def test_missing_pulses_make_the_long_run_longer_by_the_pulses_waited_for():
    options = BenchOptions(radio=ALDER)
    lossy = dataclasses.replace(options, dropout=0.25)
    more_ms = long_run(lossy, None).mid_ms - long_run(options, None).mid_ms
    assert more_ms == pytest.approx(9 * 0.25 / 0.75, abs=1e-6)  # mean of a geometric number of lost pulses


@pytest.mark.parametrize(
    "bench", ["alder?seed=41", "birch?seed=42", "cedar?seed=43&flips=golden", "alder?seed=44&dropout=0.2"]
)
def test_a_long_recording_comes_to_its_long_run_figure(bench, tmp_path):
    truth = record(f"practice://{bench}", 700, tmp_path).truth
    mids = np.array([flip["mid_ms"] for flip in truth["flips"] if flip["mid_ms"] is not None])
    assert mids.size > 400
    assert mids.mean() == pytest.approx(truth["long_run"]["mid_ms"], abs=4 * mids.std() / math.sqrt(mids.size))


def test_a_glide_s_long_run_figure_is_what_a_long_recording_comes_to(tmp_path):
    truth = record("practice://alder?seed=45&ramp_ms=200", 700, tmp_path).truth
    mids = np.array([flip["mid_ms"] for flip in truth["flips"]])
    assert mids.mean() == pytest.approx(truth["long_run"]["mid_ms"], abs=4 * mids.std() / math.sqrt(mids.size))


@pytest.mark.parametrize("flips", ["random", "golden"])
@pytest.mark.parametrize("radio", ["alder", "birch", "cedar"])
def test_the_simulation_and_the_wire_follow_one_law(radio, flips, tmp_path):
    truth = record(f"practice://{radio}?seed=46&flips={flips}", 700, tmp_path).truth["flips"]
    run = simulate(BenchOptions(radio=RADIOS[radio], flips=Flips(flips)), runs=50, flips=400)
    for name in ("first_ms", "mid_ms", "near_final_ms", "mid_lead_ms"):
        wire = np.sort([flip[name] for flip in truth])
        simulated = np.sort(getattr(run, name).ravel())
        # Largest distance of the empirical distributions; Kolmogorov's 0.1 % point is 1.95/sqrt(n) for
        # independent values (textbook asymptotics).
        places = np.searchsorted(simulated, wire, side="right") / simulated.size
        steps = np.arange(1, wire.size + 1) / wire.size
        assert np.max(np.abs(places - steps)) < 1.95 / math.sqrt(wire.size) + 1 / wire.size, name
    gaps_s = np.diff(run.at_ns, axis=1) / 1e9
    wire_gaps = np.diff([flip["at_s"] for flip in truth])
    assert gaps_s.min() >= 0.9 - 1e-9
    assert gaps_s.mean() == pytest.approx(wire_gaps.mean(), rel=0.03)


def test_simulated_golden_phases_step_by_the_golden_ratio():
    run = simulate(BenchOptions(radio=BIRCH, flips=Flips.GOLDEN), runs=20, flips=100)
    steps = np.diff(run.phase, axis=1) % 1.0
    assert np.allclose(steps, (math.sqrt(5) - 1) / 2, atol=1e-6)


def test_simulated_frames_to_answer_count_the_frames_begun_since_the_flip():
    run = simulate(BenchOptions(radio=CEDAR, **QUIET), runs=20, flips=100)
    counted = np.floor((run.mid_lead_ms / 14.0 + run.phase) + 1e-9)
    assert np.array_equal(run.frames_to_answer, counted.astype(np.int64))
    assert not run.missing_pulses.any()


def test_simulated_missing_pulses_are_as_many_as_asked_for():
    run = simulate(BenchOptions(radio=ALDER, dropout=0.2))
    # Of the frames up to the answer all but the last may be missing.
    before_answer = run.frames_to_answer - 1
    assert run.missing_pulses.sum() / before_answer.sum() > 0.2
    lossless = simulate(BenchOptions(radio=ALDER))
    more = run.frames_to_answer.mean() - lossless.frames_to_answer.mean()
    assert more == pytest.approx(0.2 / 0.8, rel=0.05)


def test_a_glide_is_not_simulated():
    with pytest.raises(ValueError, match="ramp_ms"):
        simulate(BenchOptions(radio=ALDER, ramp_ms=100.0))


def test_a_glide_goes_evenly_from_the_first_pulse_to_the_whole_step():
    shares = law.glide_shares(90_000_000, 9_000_000, 0.25)
    assert shares[0] == pytest.approx(0.025)
    assert np.diff(shares[:-1]) == pytest.approx(np.full(len(shares) - 2, 0.1))
    assert shares[-1] == 1.0
    assert law.point_pulses(shares) == (1, 5, 9)
