"""Findings and evidence made up for tests: a locked radio with one frame of waiting, plus whatever a test needs."""

import math
import random
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from benchapp.records.findings import (
    ANY_SWITCH_ON,
    ONE_FRAME,
    SWITCH_ON_MEANS,
    THIS_SWITCH_ON,
    AnySwitchOn,
    BudgetLine,
    ClockFit,
    Excluded,
    Frame,
    Headline,
    Latency,
    Phase,
    PointSummary,
    RunFindings,
    SessionFindings,
    Stage,
    Stragglers,
    TrainFacts,
    Trend,
    Trial,
)
from benchapp.records.leads import Lead, LeadKind
from benchapp.records.run import LeadEvidence, Origin, Outcome, PickUp, RunEvidence, SessionFacts
from benchapp.records.stream import Edges, Gap, Levels

FRAME_MS = 22.5
POINTS = ("first", "mid", "near_final", "first_lead", "mid_lead", "near_final_lead")


def facts(**changes: object) -> SessionFacts:
    usual = SessionFacts(
        name="Birch on the bench",
        started="2026-11-25T09:15:00+01:00",
        origin=Origin.PROBE,
        pick_up=PickUp.CONTACT,
        evidence_hash="sha256:" + "3fa9c2d17b60e845" * 4,
        software="benchapp 0.1.0",
        bench={"transmitter": "Birch", "transmitter_version": "1.4", "module": "Birch module", "receiver": "Birch R6",
               "servo": "standard", "ready_memory": "checked", "ready_switch": "checked"},
        safety=(("receiver-only", "yes"), ("one-supply", "yes")),
    )  # fmt: skip
    return replace(usual, **changes)


def trials(n: int, *, seed: int = 1, frame_ms: float = FRAME_MS, blocks: int = 1) -> tuple[Trial, ...]:
    draw = random.Random(seed)
    made = []
    for number in range(1, n + 1):
        phase = draw.random()
        wait = (1.0 - phase) * frame_ms
        up = number % 2 == 1
        pulse = 1.9 if up else 1.1
        lead = 9.0 + wait + draw.gauss(0.0, 0.4)
        made.append(
            Trial(
                flip=number,
                at_ns=round((1.5 + 0.9 * number + 0.2 * draw.random()) * 1e9),
                direction="up" if up else "down",
                first_ms=lead + pulse,
                mid_ms=lead + pulse,
                near_final_ms=lead + pulse,
                first_lead_ms=lead,
                mid_lead_ms=lead,
                near_final_lead_ms=lead,
                phase=phase,
                missing_pulses=0,
                frames_to_answer=1,
                near_half_way=False,
                rise_frames=0.0,
                before_us=1100.0 if up else 1900.0,
                after_us=1900.0 if up else 1100.0,
                block=1 + (number - 1) * blocks // max(n, 1),
            )
        )
    return tuple(made)


def quantile(values: Sequence[float], q: float) -> float:
    return float(np.quantile(np.asarray(values), q))


def summary(values: Sequence[float]) -> PointSummary:
    if len(values) < 2:
        return PointSummary(n=len(values))
    mean, sd = float(np.mean(values)), float(np.std(values, ddof=1))
    half = 2.0 * sd / math.sqrt(len(values))
    return PointSummary(
        n=len(values),
        min_ms=min(values),
        p05_ms=quantile(values, 0.05),
        median_ms=quantile(values, 0.5),
        mean_ms=mean,
        p95_ms=quantile(values, 0.95),
        max_ms=max(values),
        sd_ms=sd,
        mean_ci95_ms=(mean - half, mean + half),
        median_ci95_ms=(quantile(values, 0.36), quantile(values, 0.64)),
        p95_ci95_ms=(quantile(values, 0.88), None),
        median_all_ms=quantile(values, 0.52),
        p95_all_ms=None,
        balanced_mean_ms=mean + 0.1,
        balanced_mean_ci95_ms=(mean - 0.5, mean + 0.7),
        balanced_median_ms=quantile(values, 0.5),
        balanced_median_ci95_ms=(quantile(values, 0.4), quantile(values, 0.6)),
        balanced_p95_ms=quantile(values, 0.95),
        balanced_p95_ci95_ms=(quantile(values, 0.9), None),
        n_eff=0.8 * len(values),
    )


def excluded(*codes: str, start: int) -> tuple[Excluded, ...]:
    return tuple(
        Excluded(
            flip=start + place,
            at_ns=round((1.5 + 0.9 * (start + place)) * 1e9),
            code=code,
            direction="up",
            mid_ms=31.25 if code == "dropped" else None,
            step_us=12.0 if code == "step-too-small" else None,
            sigma_us=2.0 if code == "step-too-small" else None,
        )
        for place, code in enumerate(codes)
    )


def latency(
    n: int = 58, codes: Sequence[str] = ("no-answer", "no-answer", "probe-gap"), *, seed: int = 1, blocks: int = 1
) -> Latency:
    counted = trials(n, seed=seed, blocks=blocks)
    left_out = excluded(*codes, start=n + 1)
    unanswered = sum(code == "no-answer" for code in codes)
    points = {point: summary([getattr(t, f"{point}_ms") for t in counted]) for point in POINTS}
    mid = points["mid"]
    some = mid.mean_ms is not None
    return Latency(
        control="switch",
        flips=n + len(codes),
        trials=counted,
        excluded=left_out,
        window_s=0.5,
        no_answer_flips=unanswered,
        no_answer_share_ci95=(0.004, 0.112),
        switch_ons=blocks,
        keeps_step=None,
        headline=Headline(
            point="mid",
            estimator="mean-of-switch-ons" if blocks >= 3 else "balanced-mean",
            value_ms=mid.mean_ms,
            ci95_ms=(mid.mean_ms - 0.58, mid.mean_ms + 0.58) if mid.mean_ms is not None else (None, None),
            expanded_uncertainty_ms=0.5843 if some else None,
            combined_standard_ms=0.2921 if some else None,
            k=2.0 if some else None,
            dof=None,
            stopped_itself=False,
            with_hand_drops_ms=24.9 if "dropped" in codes and some else None,
            up=sum(t.direction == "up" for t in counted),
            down=sum(t.direction == "down" for t in counted),
            stands_for=ANY_SWITCH_ON if blocks >= 3 else THIS_SWITCH_ON,
        ),
        any_switch_on=AnySwitchOn(
            value_ms=mid.mean_ms,
            expanded_uncertainty_ms=(0.5843 if blocks >= 3 else 13.0031) if some else None,
            combined_standard_ms=(0.2921 if blocks >= 3 else 6.5016) if some else None,
            k=2.0 if some else None,
            dof=None,
            switch_ons=blocks,
            rule=SWITCH_ON_MEANS if blocks >= 3 else ONE_FRAME,
        ),
        stragglers=Stragglers(
            flips=0,
            answered=n,
            later_than_ms=80.9 if some else None,
            share_ci95=(0.0, 1 - 0.05 ** (1 / n)) if some else (None, None),
            earliest_ms=None,
            latest_ms=None,
            mean_all_ms=mid.mean_ms,
        ),
        trend=None if n < 30 else Trend(ms_per_min=0.2, ms_over_run=0.3, standard_ms_per_min=0.4, significant=False),
        points=points,
        up={p: summary([getattr(t, f"{p}_ms") for t in counted if t.direction == "up"]) for p in ("mid", "mid_lead")},
        down={
            p: summary([getattr(t, f"{p}_ms") for t in counted if t.direction == "down"]) for p in ("mid", "mid_lead")
        },
        phase=Phase(rayleigh_p=0.43, kuiper_p=0.61, largest_gap=0.07)
        if some
        else Phase(rayleigh_p=None, kuiper_p=None, largest_gap=None),
        expected_frame_sd_ms=FRAME_MS / math.sqrt(12),
        samplers_ms=(FRAME_MS,),
        switch_glitches=2,
    )


def run(
    measured: Latency | None = None,
    *,
    number: int = 1,
    flags: Sequence[str] = (),
    notes: Sequence[str] = (),
    outcome: Outcome = Outcome.COMPLETE,
) -> RunFindings:
    return RunFindings(
        run=number,
        test="switch-flip",
        control="switch",
        outcome=outcome,
        flags=tuple(flags),
        notes=tuple(notes),
        frame=Frame(
            period_ms=FRAME_MS,
            period_sd_us=1.7,
            missing_pulses=3,
            glitches=1,
            pulses=2480,
            polarity="high",
            short_us=1100.0,
            long_us=1900.0,
        ),
        result=latency() if measured is None else measured,
        stages=(
            Stage(start="switch", end="module", n=58, mean_ms=15.2, median_ms=15.0, predicted_ms=14.8),
            Stage(start="module", end="output", n=58, mean_ms=6.9, median_ms=6.8),
        ),
        uncertainty=(
            BudgetLine(source="stamp interval", standard_ms=0.00003, kind="B", dof=None),
            BudgetLine(source="lead lateness", standard_ms=0.0021, kind="B", dof=None),
            BudgetLine(source="clock", standard_ms=0.0005, kind="B", dof=None),
            BudgetLine(source="sampling", standard_ms=0.29, kind="A", dof=31.4),
        ),
        train=TrainFacts(channels=8, channel=5, frame_ms=FRAME_MS, separator_us=300.0, polarity="low"),
        clock=ClockFit(error_ppm=12.0, standard_ppm=20.0, applied=False),
    )


def findings(*runs: RunFindings) -> SessionFindings:
    settings = {"hold_off_ms": 20.0, "shortest_window_s": 0.5, "window_frames": 20.0, "mid_sigmas": 8.0}
    return SessionFindings(runs=runs, version=1, settings=settings)


def edges(lead: int, times_ns: Sequence[int], *, first_level: int = 1) -> Edges:
    levels = [(first_level + place) % 2 for place in range(len(times_ns))]
    return Edges(
        lead=lead,
        times_ns=np.array(times_ns, dtype=np.int64),
        levels=np.array(levels, dtype=np.uint8),
        flags=np.zeros(len(times_ns), dtype=np.uint8),
    )


def evidence_for(measured: Latency, *, number: int = 1, level_lead: bool = False) -> RunEvidence:
    """Leads whose answering pulses end exactly where the trials say; pulses in between keep the frame."""
    flips = [trial.at_ns for trial in measured.trials]
    pulse_edges: list[int] = []
    for place, trial in enumerate(measured.trials):
        frame_ns = round(FRAME_MS * 1e6)
        answer = round(trial.at_ns + trial.mid_lead_ms * 1e6)
        begin = pulse_edges[-1] + 1_000_000 if pulse_edges else answer - 12 * frame_ns
        before = [answer - k * frame_ns for k in range(40, 0, -1) if answer - k * frame_ns > begin]
        pulse_edges += [e for t in before for e in (t, t + round(trial.before_us * 1e3))]
        end = flips[place + 1] if place + 1 < len(flips) else answer + 12 * frame_ns
        after = [answer + k * frame_ns for k in range(40) if answer + k * frame_ns < end]
        pulse_edges += [e for t in after for e in (t, t + round(trial.after_us * 1e3))]
    start, stop = pulse_edges[0], pulse_edges[-1]
    module_starts = range(start, stop, round(FRAME_MS * 1e6))
    module = [t + round((c * 1.5) * 1e6) + d for t in module_starts for c in range(9) for d in (0, 300_000)]
    leads = {
        "switch": _edge_lead(0, "switch", edges(0, flips)),
        "module": _edge_lead(1, "module", edges(1, module, first_level=0)),
        "output": _edge_lead(2, "output", edges(2, pulse_edges)),
    }
    if level_lead:
        times = np.arange(start, stop, 2_000_000, dtype=np.int64)
        volts = 2.5 + np.sin(times / 4e8)
        lead = Lead(index=3, label="A0", kind=LeadKind.LEVEL, role="voltage", resolution_ns=1e6)
        leads["voltage"] = LeadEvidence(lead=lead, role="voltage", levels=Levels(lead=3, times_ns=times, values=volts))
    return RunEvidence(
        run=number,
        test="switch-flip",
        origin=Origin.PROBE,
        pick_up=PickUp.CONTACT,
        outcome=Outcome.COMPLETE,
        start_ns=start,
        stop_ns=stop,
        leads=leads,
    )


def _edge_lead(index: int, role: str, stream: Edges, gaps: tuple[Gap, ...] = ()) -> LeadEvidence:
    lead = Lead(index=index, label=f"D{index + 2}", kind=LeadKind.EDGE, role=role, resolution_ns=62.5)
    return LeadEvidence(lead=lead, role=role, edges=stream, gaps=gaps)
