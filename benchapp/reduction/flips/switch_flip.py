"""The reduction of a switch-flip run: from its evidence to its findings."""

from dataclasses import dataclass, replace

import numpy as np

from benchapp.records.codes import Flag, Note
from benchapp.records.errors import NotEnoughData, WrongInput
from benchapp.records.events import SWITCH_ON
from benchapp.records.findings import (
    ANY_SWITCH_ON,
    ONE_FRAME,
    THIS_SWITCH_ON,
    AnySwitchOn,
    BudgetLine,
    ClockFit,
    Frame,
    Headline,
    Latency,
    RunFindings,
    Stage,
    TrainFacts,
    Trial,
)
from benchapp.records.method import FEWEST_ANSWERED, answer_window_ns
from benchapp.records.run import LeadEvidence, Origin, PickUp, RunEvidence
from benchapp.records.stream import COARSE, LOST_BEFORE, Edges, Gap
from benchapp.reduction.flips.budget import any_switch_on_lines, budget, lateness_correction_ns
from benchapp.reduction.flips.expected_spread import samplers_ms, waiting_sd_ms
from benchapp.reduction.flips.headline import HeadlineEstimate
from benchapp.reduction.flips.latency import (
    PhaseFacts,
    by_direction,
    estimate_headline,
    no_answer_share,
    phase_facts,
    summaries,
)
from benchapp.reduction.flips.stages import channel_place_ms, following_channel, stage_ends, stages
from benchapp.reduction.flips.stragglers import Split, split_stragglers, straggler_facts
from benchapp.reduction.flips.switch_ons import FEWEST_SWITCH_ONS
from benchapp.reduction.flips.trend import trend_of
from benchapp.reduction.flips.trials import Measured, RunLines, measure_flips
from benchapp.reduction.ground.clock import CAPTURE_TOLERANCE_PPM, fit_clock
from benchapp.reduction.ground.durations import clock_is_coarse, period_u_ms, width_u_us
from benchapp.reduction.ground.probe_gaps import missed_by_probe
from benchapp.reduction.ground.uncertainty import combine
from benchapp.waveforms.flips import Flips, contact_flips, stick_flips
from benchapp.waveforms.line_kind import LineKind, line_kind
from benchapp.waveforms.pulses import FrameFacts, Pulses, frame_facts, parted, servo_pulses, within
from benchapp.waveforms.trains import Train, pulse_train
from benchapp.waveforms.volts import volts

RAMP_FRAMES = 3
MOST_FLIPS = 100_000
"""Flips that one run can have: a flip a second for more than a day. More is no switch."""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Lines:
    """The lines of a run, read: what the control, the output and the module did."""

    control: LeadEvidence
    output: LeadEvidence
    flips: Flips
    pulses: Pulses
    frame: FrameFacts | None
    train: Train | None
    clock: ClockFit
    scale: float


def reduce_switch_flip(evidence: RunEvidence) -> RunFindings:
    """Return the findings of a switch-flip run.

    Raises NotEnoughData where the run has no control or no output to measure.
    """
    lines = read_lines(evidence)
    measured = measure(evidence, lines)
    split = split_stragglers(measured.trials, _frame_ms(lines))
    usual = replace(measured, trials=split.usual)
    facts = phase_facts(usual.trials, flips=measured.flips)
    latency, estimate, uncertainty = _latency(evidence, lines, measured, split, facts)
    parts, train = _stages(evidence, lines, usual, estimate)
    return RunFindings(
        run=evidence.run,
        test=evidence.test,
        control=lines.control.role,
        outcome=evidence.outcome,
        flags=_flags(evidence, lines, measured, facts),
        notes=_notes(evidence, lines, measured, facts, latency),
        frame=_frame(evidence, lines),
        result=latency,
        stages=parts,
        uncertainty=uncertainty,
        train=train,
        clock=lines.clock,
    )


def read_lines(evidence: RunEvidence) -> Lines:
    """Return the run's lines as pulses and flips. Raises NotEnoughData naming the lead that is missing."""
    output = evidence.leads.get("output")
    if output is None or output.edges is None:
        raise NotEnoughData("a switch-flip needs an on-off lead clipped to the output, and this run has none")
    control = evidence.leads.get("switch") or evidence.leads.get("stick")
    if control is None or (control.edges is None and control.levels is None):
        raise NotEnoughData("a switch-flip needs a lead clipped to the switch or the stick, and this run has none")
    pulses = servo_pulses(output.edges, output.gaps, polarity=output.polarity)
    module = evidence.leads.get("module")
    tolerance = evidence.clock_tolerance_ppm
    if tolerance is None and evidence.origin is Origin.CAPTURE:
        tolerance = CAPTURE_TOLERANCE_PPM
    clock = replace(fit_clock(evidence.clock, tolerance), kind=evidence.clock_kind)
    return Lines(
        control=control,
        output=output,
        flips=_flips(control, evidence),
        pulses=pulses,
        frame=frame_facts(parted(within(pulses, evidence.start_ns, evidence.stop_ns), _switchings_ns(evidence))),
        train=pulse_train(module.edges, module.gaps) if module is not None and module.edges is not None else None,
        clock=clock,
        scale=1 / (1 + (clock.error_ppm or 0.0) * 1e-6) if clock.applied else 1.0,
    )


def measure(evidence: RunEvidence, lines: Lines) -> Measured:
    """Return every flip of the run, answered or left out."""
    control_gaps = (*lines.control.gaps, *_lost(lines.control.edges))
    return measure_flips(
        RunLines(
            pulses=lines.pulses,
            flips=lines.flips,
            period_ns=1.0 if lines.frame is None else lines.frame.period_ns,
            resolution_ns=lines.output.lead.resolution_ns,
            start_ns=evidence.start_ns,
            stop_ns=evidence.stop_ns,
            gaps=(*control_gaps, *lines.output.gaps),
            pauses=evidence.pauses,
            drops_ns=evidence.drops_ns,
            block_starts_ns=[to_ns for _, to_ns in _switchings_ns(evidence)],
            correction_ns=lateness_correction_ns(lines.control.lead, lines.output.lead)
            + (evidence.settings.correction_ms or 0.0) * 1e6 / lines.scale,
            scale=lines.scale,
        )
    )


def _switchings_ns(evidence: RunEvidence) -> list[tuple[int, int]]:
    """Return when the transmitter was being switched off and on, (from, to)."""
    return [(pause.from_ns, pause.to_ns) for pause in evidence.pauses if pause.reason == SWITCH_ON]


def switch_ons(measured: Measured) -> int:
    """Return how many switch-ons of the transmitter the answered flips come from, at least 1."""
    return max(1, len({t.block for t in measured.trials}))


def _flips(control: LeadEvidence, evidence: RunEvidence) -> Flips:
    if control.edges is not None:
        flips = contact_flips(control.edges, hold_off_ns=evidence.settings.hold_off_ns)
    elif control.levels is not None:
        flips = stick_flips(control.levels.times_ns, volts(control.levels, control.lead))
    else:
        raise NotEnoughData(f"the lead clipped to the {control.role} recorded nothing")
    if flips.count > MOST_FLIPS:
        raise WrongInput(
            f"run {evidence.run} holds {flips.count:,} flips of its {control.role}; wanted up to {MOST_FLIPS:,}. "
            "Clip that lead to a switch, or record shorter runs."
        )
    return flips


def _lost(edges: Edges | None) -> list[Gap]:
    """Return a gap before each edge that lost others before it."""
    if edges is None:
        return []
    lost = np.flatnonzero(edges.flags & LOST_BEFORE).tolist()
    return [
        Gap(
            leads=(edges.lead,),
            from_ns=int(edges.times_ns[max(0, i - 1)]),
            to_ns=int(edges.times_ns[i]),
            cause="records lost by the probe",
        )
        for i in lost
    ]


def _latency(
    evidence: RunEvidence, lines: Lines, measured: Measured, split: Split, facts: PhaseFacts
) -> tuple[Latency, HeadlineEstimate, tuple[BudgetLine, ...]]:
    frame_ms = _frame_ms(lines)
    misses = lines.frame is not None and lines.frame.missing > 0

    def estimated(trials: tuple[Trial, ...], estimator: str | None = None) -> HeadlineEstimate:
        return estimate_headline(
            trials,
            estimator=estimator,
            frame_ms=frame_ms,
            misses_pulses=misses,
            by_gap=facts.locked_by_gap,
            in_step=bool(facts.keeps_step),
            stopped_itself=evidence.stopped_itself,
        )

    estimate, trend = estimated(split.usual), trend_of(split.usual)
    budget_lines = budget(
        estimate,
        control=lines.control.lead,
        output=lines.output.lead,
        coarse=_coarse(lines, measured),
        clock=lines.clock,
        pick_up=evidence.pick_up,
        frame_ms=frame_ms,
        locked=facts.locked,
        trend=trend,
        correction_within_ms=evidence.settings.correction_within_ms,
    )
    waits = () if frame_ms is None else samplers_ms(frame_ms, _train_frame_ms(lines))
    combined = combine(budget_lines) if estimate.half_width_ms is not None else None
    missed, share = no_answer_share(measured)
    balanced_ms = None if facts.locked_by_gap else frame_ms
    points = summaries(measured.trials, no_answers=missed, frame_ms=balanced_ms, misses_pulses=misses)
    ways = {}
    for way in ("up", "down"):
        trials, unanswered = by_direction(measured, way)
        ways[way] = summaries(trials, no_answers=unanswered, frame_ms=balanced_ms, misses_pulses=misses)
    everyone = sorted((*measured.trials, *measured.dropped), key=lambda trial: trial.flip)
    with_drops = split_stragglers(everyone, frame_ms).usual
    latency = Latency(
        control=lines.control.role,
        flips=measured.flips,
        trials=measured.trials,
        excluded=measured.excluded,
        window_s=None if lines.frame is None else answer_window_ns(lines.frame.period_ns) / 1e9,
        no_answer_flips=missed,
        no_answer_share_ci95=share,
        switch_ons=switch_ons(measured),
        keeps_step=facts.keeps_step,
        headline=Headline(
            point="mid",
            estimator=estimate.estimator,
            value_ms=estimate.value_ms,
            ci95_ms=estimate.ci95,
            expanded_uncertainty_ms=combined.expanded_ms if combined else None,
            combined_standard_ms=combined.standard_ms if combined else None,
            k=combined.k if combined else None,
            dof=combined.dof if combined else None,
            stopped_itself=evidence.stopped_itself,
            with_hand_drops_ms=estimated(with_drops, estimate.estimator).value_ms if measured.dropped else None,
            up=sum(trial.direction == "up" for trial in split.usual),
            down=sum(trial.direction == "down" for trial in split.usual),
            stands_for=THIS_SWITCH_ON if estimate.rule == ONE_FRAME else ANY_SWITCH_ON,
        ),
        any_switch_on=_any_switch_on(estimate, any_switch_on_lines(budget_lines, estimate, frame_ms)),
        stragglers=straggler_facts(split),
        trend=trend,
        points=points,
        up=ways["up"],
        down=ways["down"],
        phase=facts.phase,
        expected_frame_sd_ms=waiting_sd_ms(waits) if waits else None,
        samplers_ms=waits,
        correction_ms=evidence.settings.correction_ms,
        correction_within_ms=evidence.settings.correction_within_ms,
        switch_glitches=int(lines.flips.glitches_ns.size),
    )
    return latency, estimate, budget_lines


def _frame_ms(lines: Lines) -> float | None:
    return None if lines.frame is None else lines.frame.period_ns * lines.scale / 1e6


def _any_switch_on(estimate: HeadlineEstimate, lines: tuple[BudgetLine, ...]) -> AnySwitchOn:
    combined = combine(lines) if estimate.half_width_ms is not None else None
    return AnySwitchOn(
        value_ms=estimate.value_ms,
        expanded_uncertainty_ms=combined.expanded_ms if combined else None,
        combined_standard_ms=combined.standard_ms if combined else None,
        k=combined.k if combined else None,
        dof=combined.dof if combined else None,
        switch_ons=estimate.switch_ons,
        rule=estimate.rule,
        lines=lines,
    )


def _stages(
    evidence: RunEvidence, lines: Lines, measured: Measured, estimate: HeadlineEstimate
) -> tuple[tuple[Stage, ...], TrainFacts | None]:
    train = lines.train
    channel = following_channel(train, measured.trials) if train is not None else None
    facts = None
    if train is not None:
        facts = TrainFacts(
            channels=train.channels,
            channel=None if channel is None else channel + 1,
            frame_ms=_train_frame_ms(lines) or 0.0,
            separator_us=train.separator_ns * lines.scale / 1e3,
            polarity="high" if train.separator_level else "low",
        )
    flips = lines.flips.times_ns
    following = np.searchsorted(flips, [t.at_ns for t in measured.trials], side="right")
    nexts = [int(flips[i]) if i < flips.size else evidence.stop_ns for i in following]
    ends = stage_ends(
        measured.trials,
        nexts,
        train=train,
        channel=channel,
        horn=evidence.leads.get("horn"),
        output=lines.output.role,
        scale=lines.scale,
        correction_ms=evidence.settings.correction_ms or 0.0,
    )
    place = None if train is None or channel is None else channel_place_ms(train, channel) * lines.scale
    return stages(lines.control.role, ends, estimate.weights, train=facts, place_ms=place), facts


def _train_frame_ms(lines: Lines) -> float | None:
    return None if lines.train is None else lines.train.period_ns * lines.scale / 1e6


def _frame(evidence: RunEvidence, lines: Lines) -> Frame:
    pulses = within(lines.pulses, evidence.start_ns, evidence.stop_ns)
    durations = pulses.durations_ns * lines.scale / 1e3
    frame = lines.frame
    sd = None if frame is None or frame.period_sd_ns is None else frame.period_sd_ns * lines.scale / 1e3
    return Frame(
        period_ms=None if frame is None else frame.period_ns * lines.scale / 1e6,
        period_sd_us=sd,
        missing_pulses=0 if frame is None else frame.missing,
        glitches=int(pulses.glitches_ns.size),
        pulses=pulses.count,
        polarity="high" if pulses.level else "low",
        short_us=float(np.percentile(durations, 2)) if durations.size else None,
        long_us=float(np.percentile(durations, 98)) if durations.size else None,
        period_u_ms=None if frame is None else 2.0 * period_u_ms(frame, lines.output.lead, lines.clock, pulses.count),
        width_u_us=2.0 * width_u_us(float(durations.max()), lines.output.lead, lines.clock) if durations.size else None,
    )


def _coarse(lines: Lines, measured: Measured) -> bool:
    """Return whether a stamp that a trial rests on was flagged coarse: its flip's, or one of its pulse's."""
    used = [t.at_ns for t in measured.trials]
    edges = lines.control.edges
    if edges is not None and np.isin(used, edges.times_ns[(edges.flags & COARSE) != 0]).any():
        return True
    trailing = [round(t.at_ns + t.mid_ms / lines.scale * 1e6) for t in measured.trials]
    return bool(np.isin(trailing, lines.pulses.coarse_ns).any())


def _flags(evidence: RunEvidence, lines: Lines, measured: Measured, facts: PhaseFacts) -> tuple[str, ...]:
    rises = [t.rise_frames for t in measured.trials if t.rise_frames is not None]
    # Only the leads this test reads: asking for another would decode it.
    read = [
        lines.control,
        lines.output,
        *(evidence.leads[role] for role in ("module", "horn") if role in evidence.leads),
    ]
    gaps = [gap for lead in read for gap in lead.gaps]
    told = {
        Flag.INSUFFICIENT: len(measured.trials) < FEWEST_ANSWERED,
        Flag.PHASE_LOCKED: facts.locked,
        Flag.PHASE_STEPPED: facts.stepped,
        Flag.ONE_POWER_UP: bool(facts.keeps_step) and switch_ons(measured) < FEWEST_SWITCH_ONS,
        Flag.POLARITY_GUESSED: lines.pulses.guessed and lines.pulses.count > 0,
        Flag.RAMP: bool(rises) and float(np.median(rises)) > RAMP_FRAMES,
        Flag.COARSE_STAMPS: _coarse(lines, measured),
        Flag.PROBE_GAP: missed_by_probe(gaps, evidence.start_ns, evidence.stop_ns),
        Flag.DAMAGED_EVIDENCE: evidence.damaged,
        Flag.PRACTICE: evidence.origin is Origin.PRACTICE,
    }
    return tuple(flag for flag, holds in told.items() if holds)


def _notes(
    evidence: RunEvidence, lines: Lines, measured: Measured, facts: PhaseFacts, latency: Latency
) -> tuple[str, ...]:
    near = sum(t.near_half_way for t in measured.trials)
    output = lines.output.edges
    kind = LineKind.QUIET if output is None else line_kind(output, lines.output.gaps)
    told = {
        Note.UNEVEN: facts.uneven,
        f"{Note.NEAR_HALF_WAY}: {near}": near > 0,
        f"{Note.STRAGGLERS}: {latency.stragglers.flips}": latency.stragglers.flips > 0,
        Note.TREND: latency.trend is not None and latency.trend.significant,
        Note.SERIAL_OUTPUT: kind is LineKind.SERIAL,
        Note.TRAIN_OUTPUT: kind is LineKind.TRAIN,
        Note.STROBED_CONTACT: lines.flips.strobed,
        Note.TWO_STEPS: measured.two_steps,
        Note.COARSE_CLOCK: clock_is_coarse(lines.clock),
        Note.PICK_UP_NOT_NOTED: evidence.pick_up is PickUp.UNKNOWN and bool(measured.trials),
    }
    return tuple(note for note, holds in told.items() if holds)
