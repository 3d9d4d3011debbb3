"""The figure of a set for any switch-on, from all of its switch-ons: the same functions that make a run's own."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from benchapp.records.codes import Flag
from benchapp.records.comparison import DAY_UNIT, SWITCH_ON_UNIT, SetFigure
from benchapp.records.findings import KNOWN_FRAME, ONE_FRAME, SWITCH_ON_MEANS, BudgetLine, Trial
from benchapp.records.power_ups import PowerUp
from benchapp.reduction.comparing.set_parts import RunPart
from benchapp.reduction.flips.budget import SAMPLING, SWITCH_ON_LINE
from benchapp.reduction.flips.headline import MEAN_OF_SWITCH_ONS, HeadlineEstimate
from benchapp.reduction.flips.latency import estimate_headline, phase_facts
from benchapp.reduction.flips.switch_ons import FEWEST_SWITCH_ONS, one_frame_ms, within_standard
from benchapp.reduction.ground.distributions import student_t_quantile
from benchapp.reduction.ground.summary import mean, mean_half_width, standard_deviation
from benchapp.reduction.ground.uncertainty import combine, one_step

FEWEST_DAYS = 3
PLANNED_FLIPS = 6
"""Flips a switch-on where none can be read off the set: the plan of 10 switch-ons of 6 flips."""


def set_figure(power_ups: Sequence[PowerUp], parts: Sequence[RunPart], *, flips: int) -> SetFigure | None:
    """Return what a set does at any switch-on; None where two flips were not answered. flips : answered or not.

    A set of one run has that run's figure, to the last digit. Lines of uncertainty that all flips share (pick-up,
    clock, stamps, correction) are taken once, the largest of each: nothing in a session says that a pick-up or a probe
    stayed untouched between two, so that they never cancel between sets.
    From three sessions on three days on, the days are the units: what changes from day to day is then in their spread.
    """
    if not power_ups:
        return None
    trials = _in_switch_ons(power_ups)
    periods = [one.frame_ms for one in power_ups if one.frame_ms is not None]
    frame_ms = max(periods) if periods else None
    facts = phase_facts(trials, flips=flips)
    days = _day_means(power_ups)
    estimate = (
        _mean_of_days(days)
        if days
        else estimate_headline(
            trials,
            frame_ms=frame_ms,
            misses_pulses=any(part.run.frame is not None and part.run.frame.missing_pulses > 0 for part in parts),
            by_gap=facts.locked_by_gap,
            in_step=bool(facts.keeps_step),
            stopped_itself=any(part.span.stopped_itself for part in parts),
        )
    )
    if estimate.value_ms is None or estimate.half_width_ms is None or estimate.dof is None:
        return None
    lines = (*_shared(parts), *_own(estimate, frame_ms))
    combined = combine(lines)
    return SetFigure(
        value_ms=estimate.value_ms,
        standard_ms=combined.standard_ms,
        dof=combined.dof,
        half_ms=estimate.half_width_ms,
        wide_ms=combined.expanded_ms,
        unit=DAY_UNIT if days else SWITCH_ON_UNIT,
        unit_means_ms=tuple(days) or tuple(one.mean_ms for one in power_ups),
        rule=estimate.rule,
        keeps_step=facts.keeps_step,
        frame_ms=frame_ms,
        spread_ms=standard_deviation(days) if days else _spread_ms(trials, estimate.rule, frame_ms),
        flips_each=len(trials) / len(power_ups),
        locked=any(Flag.PHASE_LOCKED in part.run.flags for part in parts),
        lines=lines,
    )


def _in_switch_ons(power_ups: Sequence[PowerUp]) -> list[Trial]:
    """Return all trials, numbered by the set's switch-ons."""
    return [
        trial if trial.block == number else replace(trial, block=number)
        for number, one in enumerate(power_ups)
        for trial in one.trials
    ]


def _day_means(power_ups: Sequence[PowerUp]) -> list[float]:
    """Return the mean of each day's switch-on means, in the order of the days; none where days are not the units."""
    dates = [one.day for one in power_ups if one.day is not None]
    days = sorted(set(dates))
    sessions = {one.session for one in power_ups}
    if len(dates) < len(power_ups) or len(days) < FEWEST_DAYS or len(sessions) < FEWEST_DAYS:
        return []
    return [mean([one.mean_ms for one in power_ups if one.day == day]) for day in days]


def _mean_of_days(days: Sequence[float]) -> HeadlineEstimate:
    half = mean_half_width(days)
    value = mean(days)
    return HeadlineEstimate(
        estimator=MEAN_OF_SWITCH_ONS,
        value_ms=value,
        half_width_ms=half,
        ci95=(None, None) if half is None else (value - half, value + half),
        dof=float(len(days) - 1),
        weights=np.full(len(days), 1.0 / len(days)),
        rule=SWITCH_ON_MEANS,
        switch_ons=len(days),
    )


def _shared(parts: Sequence[RunPart]) -> Iterable[BudgetLine]:
    """Return the lines that more flips do not lessen: of each source the largest."""
    largest: dict[str, BudgetLine] = {}
    for line in (line for part in parts for line in part.run.uncertainty):
        known = largest.get(line.source)
        if line.source not in (SAMPLING, SWITCH_ON_LINE) and (known is None or line.standard_ms > known.standard_ms):
            largest[line.source] = line
    return largest.values()


def _own(estimate: HeadlineEstimate, frame_ms: float | None) -> Iterable[BudgetLine]:
    """Return what the flips' spread says, and a line for the switch-ons not seen where the rule has one."""
    dof = estimate.dof or math.inf
    sampling = (estimate.half_width_ms or 0.0) / student_t_quantile(0.975, dof)
    yield BudgetLine(source=SAMPLING, standard_ms=sampling, kind="A", dof=None if math.isinf(dof) else dof)
    if estimate.rule in (ONE_FRAME, KNOWN_FRAME) and frame_ms is not None:
        standard = one_frame_ms(frame_ms, estimate.switch_ons)
        yield BudgetLine(source=SWITCH_ON_LINE, standard_ms=standard, kind="B", dof=None)


def _spread_ms(trials: Sequence[Trial], rule: str, frame_ms: float | None) -> float | None:
    """Return how far apart one switch-on and the next must be expected, [ms, standard deviation].

    What was seen of the means; or a frame, T/√12, and what the flips of a switch-on leave unsure, where the rule goes
    by the frame (with one or two switch-ons: as many flips as are planned).
    """
    latency, blocks = np.array([t.mid_ms for t in trials]), np.array([t.block for t in trials])
    count = np.unique(blocks).size
    if rule == SWITCH_ON_MEANS:
        return standard_deviation([float(latency[blocks == block].mean()) for block in np.unique(blocks)])
    if frame_ms is None:
        return None
    if count < FEWEST_SWITCH_ONS:
        own = (standard_deviation(latency) or 0.0) / math.sqrt(PLANNED_FLIPS)
    else:
        own = within_standard(latency, blocks) * math.sqrt(count)
    return math.hypot(one_step(frame_ms), own)
