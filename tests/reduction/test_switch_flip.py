from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from benchapp.records.errors import NotEnoughData, WrongInput
from benchapp.records.events import SWITCH_ON
from benchapp.records.leads import Lead, LeadKind
from benchapp.records.run import LeadEvidence, Origin, Pause, PickUp
from benchapp.records.stream import COARSE, LOST_BEFORE, Edges, Gap, Levels
from benchapp.reduction.recipes import reduce_run
from tests.reduction.made_runs import MS, Made, edges, lead, random_flips
from tests.waveforms.test_trains import train_edges


def codes(findings) -> dict[int, str]:
    return {e.flip: e.code for e in findings.result.excluded}


def assert_true(findings, made) -> None:
    assert findings.result.trials
    for trial in findings.result.trials:
        assert trial.mid_ms == pytest.approx(made.truth_mid_ms[trial.flip], abs=2e-6), trial


@pytest.mark.parametrize(
    "radio",
    [
        {},
        {"high": False},
        {"low_us": 1900.0, "high_us": 1100.0},
        {"period_ms": 3.0},
        {"period_ms": 3.0, "high": False, "jitter_us": 30.0},
        {"noise_us": 3.0},
        {"bounce_us": (300, 500, 900, 2000, 4000, 9000)},
        {"spikes_s": tuple(np.random.default_rng(3).uniform(0, 50, 300))},
        {"lost_pulses": frozenset(np.random.default_rng(1).integers(0, 3000, 150).tolist())},
        {"jitter_us": 200.0},
    ],
    ids=lambda radio: ",".join(radio) or "direct",
)
def test_every_flip_is_answered_with_its_true_latency(radio):
    made = Made(flips_s=random_flips(40), **radio)
    findings = reduce_run(made.run())
    assert codes(findings) == {}
    assert_true(findings, made)
    assert findings.result.headline.up == findings.result.headline.down == 20


def test_a_pick_up_nobody_noted_is_said_since_the_budget_holds_nothing_for_it():
    run = Made(flips_s=random_flips(30)).run()
    told = {kind: reduce_run(replace(run, pick_up=kind)) for kind in PickUp}
    assert {kind for kind, findings in told.items() if "pick-up-not-noted" in findings.notes} == {PickUp.UNKNOWN}
    lines = {line.source: line.standard_ms for line in told[PickUp.UNKNOWN].uncertainty}
    assert lines["pick-up"] == 0.0


def test_up_is_a_longer_pulse_after_the_flip():
    made = Made(flips_s=random_flips(30), low_us=1900.0, high_us=1100.0)
    trials = reduce_run(made.run()).result.trials
    assert [t.direction for t in trials] == ["down", "up"] * 15


def test_leading_edge_variants_are_a_pulse_shorter():
    findings = reduce_run(Made(flips_s=random_flips(30)).run())
    for trial in findings.result.trials:
        assert trial.mid_ms - trial.mid_lead_ms == pytest.approx(trial.after_us / 1e3, abs=1e-6)


def test_a_dead_flip_is_no_answer_and_the_next_is_already_there():
    made = Made(flips_s=random_flips(40), dead=frozenset({5, 12, 30}))
    findings = reduce_run(made.run())
    expected = {5: "no-answer", 6: "already-there", 12: "no-answer", 13: "already-there"}
    assert codes(findings) == expected | {30: "no-answer", 31: "already-there"}
    assert_true(findings, made)
    assert findings.result.no_answer_flips == 3
    low, high = findings.result.no_answer_share_ci95
    assert low < 3 / 37 < high


def test_an_unanswered_flip_counts_as_later_than_the_window_in_the_figures_over_all():
    made = Made(flips_s=random_flips(40), dead=frozenset({5, 12, 30}))
    mid = reduce_run(made.run()).result.points["mid"]
    assert mid.p95_all_ms is None
    assert mid.median_all_ms > mid.median_ms


def test_where_nothing_answers_every_flip_says_so():
    findings = reduce_run(Made(flips_s=random_flips(30), dead=frozenset(range(1, 31))).run())
    assert Counter(codes(findings).values()) == {"no-answer": 30}
    assert findings.result.headline.value_ms is None
    assert findings.result.points["mid"].n == 0
    assert "insufficient" in findings.flags


def test_a_small_noisy_step_is_too_small_not_guessed_at():
    findings = reduce_run(Made(flips_s=random_flips(30), low_us=1470.0, high_us=1530.0, noise_us=20.0).run())
    assert set(codes(findings).values()) == {"step-too-small"}


def test_between_8_and_30_sigma_only_mid_is_given():
    findings = reduce_run(Made(flips_s=random_flips(40), low_us=1400.0, high_us=1600.0, noise_us=12.0).run())
    assert findings.result.points["mid"].n >= 35
    assert findings.result.points["first"].n == 0
    assert findings.result.points["near_final"].n == 0


def test_flips_too_close_to_the_next_and_to_the_run_s_ends_are_named():
    made = Made(flips_s=(0.03, 2.0, 2.06, 4.0, 6.0, 59.96), seconds=60.0)
    named = codes(reduce_run(made.run()))
    assert named[1] == "no-level-before"
    assert named[2] == "next-flip-too-soon"
    assert named[6] == "run-ended"


def test_a_gap_of_the_probe_excludes_the_trial_it_touches_and_no_other():
    made = Made(flips_s=random_flips(40))
    at = round(made.flips_s[9] * 1e9)
    gap = Gap(leads=(1,), from_ns=at + 5 * MS, to_ns=at + 70 * MS, cause="bytes lost")
    findings = reduce_run(made.run(output_gaps=(gap,)))
    assert codes(findings) == {10: "probe-gap"}
    assert "probe-gap" in findings.flags
    assert_true(findings, made)


def test_records_lost_on_the_switch_lead_exclude_the_trial():
    made = Made(flips_s=random_flips(30))
    run = made.run()
    switch = run.leads["switch"].edges
    flags = np.zeros(switch.count, np.uint8)
    flags[7] = LOST_BEFORE
    marked = LeadEvidence(lead=lead(0, "switch"), role="switch", edges=edges(0, switch.times_ns, switch.levels, flags))
    named = codes(reduce_run(made.run(leads={"switch": marked})))
    assert named[8] == "probe-gap"


def test_a_paused_span_and_a_dropped_flip_have_their_codes_and_a_dropped_one_keeps_its_value():
    made = Made(flips_s=random_flips(40))
    times = made.flip_times_ns()
    pause = Pause(from_ns=times[4] - 10 * MS, to_ns=times[6] - 500 * MS, reason="bad-signal")
    findings = reduce_run(made.run(pauses=(pause,), drops_ns=(times[20], times[5])))
    named = codes(findings)
    assert named[5] == "paused"
    assert named[6] == "dropped"
    assert named[21] == "dropped"
    kept = {e.flip: e.mid_ms for e in findings.result.excluded}
    assert kept[21] == pytest.approx(made.truth_mid_ms[21], abs=2e-6)
    assert findings.result.headline.with_hand_drops_ms is not None


@pytest.mark.parametrize(("off_ms", "dropped"), [(0, True), (9, True), (-9, True), (11, False)])
def test_a_drop_finds_its_flip_though_it_was_timed_a_little_otherwise(off_ms, dropped):
    made = Made(flips_s=random_flips(30))
    findings = reduce_run(made.run(drops_ns=(made.flip_times_ns()[20] + off_ms * MS,)))
    assert codes(findings) == ({21: "dropped"} if dropped else {})


def test_the_headline_with_drops_uses_the_same_estimator_over_one_flip_more():
    made = Made(flips_s=random_flips(40))
    whole = reduce_run(made.run())
    dropped = reduce_run(made.run(drops_ns=(made.flip_times_ns()[20],)))
    assert dropped.result.headline.with_hand_drops_ms == pytest.approx(whole.result.headline.value_ms)
    assert dropped.result.headline.value_ms != whole.result.headline.value_ms
    assert whole.result.headline.with_hand_drops_ms is None


def test_flips_in_step_with_the_frame_are_flagged_and_widen_the_uncertainty_by_a_frame():
    made = Made(flips_s=tuple(1 + 0.8 * i + 0.005 for i in range(60)))
    findings = reduce_run(made.run())
    assert "phase-locked" in findings.flags
    assert findings.result.headline.estimator == "mean"
    assert findings.result.points["mid"].balanced_mean_ms is None
    line = {u.source: u.standard_ms for u in findings.uncertainty}
    # A phase that may lie anywhere in a frame T: T / sqrt(12) (JCGM 100:2008, 4.3.7; clause number from memory).
    assert line["phase"] == pytest.approx(20 / np.sqrt(12))
    assert findings.result.headline.expanded_uncertainty_ms > 11


def test_a_gliding_output_is_flagged_ramp():
    findings = reduce_run(Made(flips_s=random_flips(30, dwell_s=1.2), glide_frames=24).run())
    assert "ramp" in findings.flags
    assert any(note.startswith("near-half-way: ") for note in findings.notes)


def test_a_three_position_switch_is_recognised():
    made = Made(flips_s=random_flips(30))
    run = made.run()
    output = run.leads["output"].edges
    times = output.times_ns.copy()
    # Every second visit of the long state ends half-way.
    durations = times[1::2] - times[::2]
    starts = times[::2]
    visits = np.searchsorted(made.flip_times_ns(), starts)
    half = (durations > 1_500_000) & (visits % 4 == 1)
    times[1::2] = starts + np.where(half, 1_500_000, durations)
    changed = LeadEvidence(lead=lead(1, "output"), role="output", edges=edges(1, times, output.levels))
    assert "two-steps" in reduce_run(made.run(leads={"output": changed})).notes


def test_a_coarse_stamp_is_flagged_and_widens_the_budget_and_an_exact_lead_does_not():
    made = Made(flips_s=random_flips(30))
    switch = made.switch()
    flags = np.zeros(switch.count, np.uint8)
    flags[4] = COARSE
    slow = lead(0, "D2", lateness_typical_ns=810.0, lateness_worst_ns=8100.0)
    coarse = LeadEvidence(lead=slow, role="switch", edges=edges(0, switch.times_ns, switch.levels, flags))
    plain = reduce_run(made.run())
    found = reduce_run(made.run(leads={"switch": coarse}))
    assert "coarse-stamps" in found.flags
    assert "coarse-stamps" not in plain.flags
    assert {u.source for u in found.uncertainty} - {u.source for u in plain.uncertainty} == {"coarse stamps"}
    # The mean of a one-sided lateness of 0 to 0.81 µs is taken away: the flip was earlier by 0.405 µs.
    shift = found.result.trials[0].mid_ms - plain.result.trials[0].mid_ms
    assert shift == pytest.approx(0.000405, abs=1e-9)


@pytest.mark.parametrize(("pick_up", "expected_ms"), [(PickUp.CONTACT, 0.0), (PickUp.TAPED, 5.0)])
def test_the_pick_up_is_always_a_line_of_the_budget(pick_up, expected_ms):
    findings = reduce_run(Made(flips_s=random_flips(30)).run(pick_up=pick_up))
    assert {u.source: u.standard_ms for u in findings.uncertainty}["pick-up"] == expected_ms


def test_a_driven_lead_that_tells_the_flips_itself_leaves_a_line_for_its_coupler_s_opening():
    """0.5 ms at most, until the transistor lets go (common practice, no source); a tap on the contact sees it."""
    made = Made(flips_s=random_flips(30))
    switch = made.switch()
    own = LeadEvidence(lead=replace(lead(0, "D9"), kind=LeadKind.DRIVE), role="switch", edges=switch)
    driven, tapped = (reduce_run(made.run(pick_up=PickUp.DRIVEN, **how)) for how in ({"leads": {"switch": own}}, {}))
    lines = {u.source: u.standard_ms for u in driven.uncertainty}
    assert lines["driven opening"] == pytest.approx(0.5 / 12**0.5)
    assert "driven opening" not in {u.source for u in tapped.uncertainty}
    assert driven.result.headline.expanded_uncertainty_ms > tapped.result.headline.expanded_uncertainty_ms


def test_the_budget_adds_up_to_the_combined_uncertainty():
    findings = reduce_run(Made(flips_s=random_flips(60)).run())
    headline = findings.result.headline
    total = np.sqrt(sum(u.standard_ms**2 for u in findings.uncertainty))
    assert headline.combined_standard_ms == pytest.approx(total)
    assert headline.expanded_uncertainty_ms == pytest.approx(headline.k * total)


def test_three_switch_on_blocks_make_the_headline_a_mean_of_block_means():
    made = Made(flips_s=random_flips(36))
    times = made.flip_times_ns()
    pauses = tuple(Pause(from_ns=times[i] - 60 * MS, to_ns=times[i] - 20 * MS, reason=SWITCH_ON) for i in (12, 24))
    latency = reduce_run(made.run(pauses=pauses)).result
    assert latency.switch_ons == 3
    assert latency.headline.estimator == "mean-of-switch-ons"
    means = [np.mean([t.mid_ms for t in latency.trials if t.block == b]) for b in range(3)]
    assert latency.headline.value_ms == pytest.approx(np.mean(means))
    assert not latency.excluded


def test_a_run_that_stopped_itself_has_its_half_width_times_1_1():
    made = Made(flips_s=random_flips(40))
    plain = reduce_run(made.run()).result.headline
    stopped = reduce_run(made.run(stopped_itself=True)).result.headline
    width = [h.ci95_ms[1] - h.ci95_ms[0] for h in (plain, stopped)]
    assert width[1] == pytest.approx(1.1 * width[0])
    assert stopped.stopped_itself


def test_one_offset_between_scan_and_frame_is_flagged_one_power_up():
    findings = reduce_run(Made(flips_s=random_flips(60), seconds=80.0).run())
    assert "one-power-up" in findings.flags
    assert {u.source for u in findings.result.any_switch_on.lines} >= {"switch-on", "sampling"}


@pytest.mark.parametrize(
    "fault",
    [{"dead": frozenset({7})}, {"lost_pulses": frozenset(np.random.default_rng(4).integers(0, 3900, 60).tolist())}],
)
def test_a_dead_flip_or_a_missing_pulse_does_not_lift_the_caution_of_one_switch_on(fault):
    findings = reduce_run(Made(flips_s=random_flips(60), seconds=80.0, **fault).run())
    assert len(findings.result.trials) < 60 or any(t.missing_pulses for t in findings.result.trials)
    assert "one-power-up" in findings.flags


def test_stages_use_the_same_trials_and_add_up_to_the_total():
    made = Made(flips_s=random_flips(40), path_ms=0.0)
    flips = np.array(made.flip_times_ns())
    frames = 2700
    begun = MS + np.arange(frames) * round(22.5 * MS)
    state = np.searchsorted(flips, begun) % 2
    channels = np.full((frames, 8), 1500.0)
    channels[:, 2] = np.where(state, 1900.0, 1100.0)
    module_edges, _ = train_edges(channels)
    module = LeadEvidence(lead=lead(2, "module"), role="module", edges=module_edges)
    # The output follows the module: the first output frame after the channel is complete.
    complete = begun + 3 * 1500 * 1000
    done = [int(complete[np.searchsorted(begun, f)]) for f in flips]
    followed = Made(flips_s=tuple((d + 1000) / 1e9 for d in done), path_ms=0.0)
    output = LeadEvidence(lead=lead(1, "output"), role="output", edges=followed.output())
    findings = reduce_run(made.run(leads={"module": module, "output": output}))
    assert [(s.start, s.end) for s in findings.stages] == [("switch", "module"), ("module", "output")]
    assert findings.train.channels == 8
    assert findings.train.channel == 3
    assert {s.n for s in findings.stages} == {len(findings.result.trials)}
    total = sum(s.mean_ms for s in findings.stages)
    assert total == pytest.approx(findings.result.headline.value_ms)
    # Half a frame of waiting, the channel's place, the rest of the frame (common practice, no source).
    assert sum(s.predicted_ms for s in findings.stages) == pytest.approx(1.5 * 22.5, abs=0.01)


def test_the_horn_s_stage_ends_at_its_interpolated_half_way_instant():
    made = Made(flips_s=random_flips(30))
    made.output()
    grid = np.arange(0, 60_000) * MS
    volts = np.full(grid.size, 1.0)
    for number, flip in enumerate(made.flip_times_ns(), 1):
        told = flip + made.truth_mid_ms[number] * MS
        target = 3.0 if number % 2 else 1.0
        start = volts[np.searchsorted(grid, told) - 1]
        volts = np.where(grid > told, start + (target - start) * np.clip((grid - told) / (100 * MS), 0, 1), volts)
    level_lead = Lead(index=3, label="horn", kind=LeadKind.LEVEL, resolution_ns=1e6, full_scale_v=5.0)
    horn = LeadEvidence(lead=level_lead, role="horn", levels=Levels(lead=3, times_ns=grid, values=volts))
    findings = reduce_run(made.run(leads={"horn": horn}))
    last = findings.stages[-1]
    assert (last.start, last.end) == ("output", "horn")
    # IEEE Std 181 reference levels: a ramp of 100 ms crosses its 50 % level after 50 ms.
    assert last.mean_ms == pytest.approx(50.0, abs=0.01)


def test_a_stick_can_be_the_control_and_the_findings_say_so():
    made = Made(flips_s=random_flips(30))
    grid = np.arange(0, 60_000) * MS
    state = np.searchsorted(made.flip_times_ns(), grid) % 2
    volts = np.where(state, 4.0, 1.0)
    stick_lead = Lead(index=0, label="stick", kind=LeadKind.LEVEL, resolution_ns=1e6, full_scale_v=5.0)
    run = made.run()
    leads = {
        "stick": LeadEvidence(lead=stick_lead, role="stick", levels=Levels(lead=0, times_ns=grid, values=volts)),
        "output": run.leads["output"],
    }
    findings = reduce_run(replace(run, leads=leads))
    assert findings.control == "stick"
    assert len(findings.result.trials) == 30
    for trial in findings.result.trials:
        assert trial.mid_ms == pytest.approx(made.truth_mid_ms[trial.flip], abs=1.0)


def test_practice_evidence_says_so():
    assert "practice" in reduce_run(Made(flips_s=random_flips(30)).run(origin=Origin.PRACTICE)).flags


def test_a_run_without_an_output_names_the_lead_that_is_missing():
    made = Made(flips_s=random_flips(5))
    run = made.run()
    with pytest.raises(NotEnoughData, match="output"):
        reduce_run(replace(run, leads={"switch": run.leads["switch"]}))


def test_a_run_in_which_nothing_happened_has_findings_without_figures():
    nothing = Edges(lead=0, times_ns=np.empty(0, np.int64), levels=np.empty(0, np.uint8), flags=np.empty(0, np.uint8))
    empty = {
        role: LeadEvidence(lead=lead(i, role), role=role, edges=nothing) for i, role in enumerate(("switch", "output"))
    }
    findings = reduce_run(Made().run(leads=empty))
    assert findings.result.flips == 0
    assert findings.frame.period_ms is None
    assert "insufficient" in findings.flags


def test_a_module_s_train_beside_a_switch_that_was_never_flipped_follows_nothing():
    made = Made(flips_s=(30.0,))
    module_edges, _ = train_edges(np.full((900, 8), 1500.0))
    module = LeadEvidence(lead=lead(2, "module"), role="module", edges=module_edges)
    findings = reduce_run(made.run(leads={"module": module}, stop_ns=20_000_000_000))
    assert findings.result.trials == ()
    assert (findings.train.channels, findings.train.channel) == (8, None)


def test_a_test_of_a_strange_name_is_refused_with_its_name_in_codes():
    """The name comes from a file: a name that would move the cursor, or say something else, stays what it is."""
    hostile = Made(flips_s=random_flips(2)).run(test="KP\rl\x0c\x1b[2J" + "x" * 200)
    with pytest.raises(WrongInput) as refused:
        reduce_run(hostile)
    assert str(refused.value).isprintable()
    assert len(str(refused.value)) < 200
