"""The findings document: what a session says, as JSON others can rely on."""

import json
from collections.abc import Mapping

from benchapp.presentation.ground.stick_facts import expected_flip_ms
from benchapp.presentation.ground.wording import PREDICTIONS, exclusion_reason
from benchapp.presentation.report_page.versions import recorded_with
from benchapp.records.events import Json
from benchapp.records.findings import (
    AnySwitchOn,
    BudgetLine,
    Excluded,
    Frame,
    Headline,
    Interval,
    Latency,
    PointSummary,
    RunFindings,
    SessionFindings,
    Stage,
    Stragglers,
    Trend,
    Trial,
)
from benchapp.records.run import SessionFacts
from benchapp.report.json_numbers import at_seconds, milliseconds, number, seconds
from benchapp.report.stick_json import linearity_block, steadiness_block

FORMAT = "benchapp findings 1"
_ALL_POINTS = ("first", "mid", "near_final", "first_lead", "mid_lead", "near_final_lead")
Tree = dict[str, Json]


def findings_document(facts: SessionFacts, findings: SessionFindings) -> Tree:
    """Return the findings as a tree that JSON can hold.

    Milliseconds have 6 decimals, seconds 9. What does not exist (None, NaN) is null, never 0.
    """
    return {
        "format": FORMAT,
        "session": {
            "name": facts.name,
            "started": facts.started,
            "origin": facts.origin.value,
            "pick_up": facts.pick_up.value,
            "evidence_hash": facts.evidence_hash,
            "software": facts.software,
            "damage": list(facts.damage),
            "recorded_reduction": recorded_with(facts.software),
            "reduction": {"version": findings.version, "settings": _plain(findings.settings)},
        },
        "runs": [_run(run) for run in findings.runs],
    }


def document_text(document: Json) -> str:
    """Return a findings document (or a list of them) as text.

    Everything beyond ASCII is escaped, so that no bidi or control character of a name reaches a terminal.
    """
    return json.dumps(document, ensure_ascii=True, allow_nan=False, indent=1) + "\n"


def _run(run: RunFindings) -> Tree:
    tree: Tree = {
        "run": run.run,
        "test": run.test,
        "control": run.control,
        "outcome": run.outcome.value,
        "flags": list(run.flags),
        "notes": list(run.notes),
        "frame": None if run.frame is None else _frame(run.frame),
    }
    if run.latency is not None:
        tree["latency"] = _latency(run.latency)
    if run.linearity is not None:
        tree["linearity"] = linearity_block(run.linearity, run.notes, expected_flip_ms=expected_flip_ms(run))
    if run.steadiness is not None:
        tree["steadiness"] = steadiness_block(run.steadiness)
    tree["stages"] = [_stage(stage) for stage in run.stages]
    tree["uncertainty"] = [_budget_line(line) for line in run.uncertainty]
    if run.train is not None:
        tree["train"] = {
            "channels": run.train.channels,
            "channel": run.train.channel,
            "frame_ms": milliseconds(run.train.frame_ms),
            "separator_us": number(run.train.separator_us),
            "polarity": run.train.polarity,
        }
    if run.clock is not None:
        tree["clock"] = {
            "error_ppm": number(run.clock.error_ppm),
            "standard_ppm": number(run.clock.standard_ppm),
            "applied": run.clock.applied,
        }
    return tree


def _frame(frame: Frame) -> Tree:
    return {
        "period_ms": milliseconds(frame.period_ms),
        "period_sd_us": number(frame.period_sd_us),
        "missing_pulses": None if frame.period_ms is None else frame.missing_pulses,
        "glitches": frame.glitches,
        "pulses": frame.pulses,
        "polarity": frame.polarity,
        "short_us": number(frame.short_us),
        "long_us": number(frame.long_us),
        "period_u_ms": number(frame.period_u_ms),
        "width_u_us": number(frame.width_u_us),
    }


def _latency(latency: Latency) -> Tree:
    window_s = latency.window_s
    tree: Tree = {
        "answered": len(latency.trials),
        "flips": latency.flips,
        "excluded": [_excluded(flip, window_s) for flip in latency.excluded],
        "headline": _headline(latency.headline),
        "any_switch_on": _any_switch_on(latency.any_switch_on),
        "keeps_step": latency.keeps_step,
        "stragglers": _stragglers(latency.stragglers),
        "trend": _trend(latency.trend),
        "no_answer": {"flips": latency.no_answer_flips, "share_ci95": _interval(latency.no_answer_share_ci95)},
        "switch_ons": latency.switch_ons,
        "window_s": seconds(window_s),
    }
    for point in _ALL_POINTS:
        tree[point] = _summary(latency.points.get(point, PointSummary(n=0)))
    for direction, points in (("up", latency.up), ("down", latency.down)):
        summaries: Tree = {"mid": _summary(PointSummary(n=0))}
        summaries.update({point: _summary(summary) for point, summary in points.items()})
        tree[direction] = summaries
    tree["phase"] = {
        "rayleigh_p": number(latency.phase.rayleigh_p),
        "kuiper_p": number(latency.phase.kuiper_p),
        "largest_gap": number(latency.phase.largest_gap),
    }
    tree["expected_frame_sd_ms"] = milliseconds(latency.expected_frame_sd_ms)
    tree["samplers_ms"] = [milliseconds(period) for period in latency.samplers_ms]
    tree["correction_ms"] = number(latency.correction_ms)
    tree["correction_within_ms"] = number(latency.correction_within_ms)
    tree["switch_glitches"] = latency.switch_glitches
    tree["trials"] = [_trial(trial) for trial in latency.trials]
    return tree


def _stragglers(stragglers: Stragglers) -> Tree:
    return {
        "flips": stragglers.flips,
        "answered": stragglers.answered,
        "later_than_ms": milliseconds(stragglers.later_than_ms),
        "share_ci95": _interval(stragglers.share_ci95),
        "earliest_ms": milliseconds(stragglers.earliest_ms),
        "latest_ms": milliseconds(stragglers.latest_ms),
        "mean_all_ms": milliseconds(stragglers.mean_all_ms),
    }


def _trend(trend: Trend | None) -> Tree:
    """Return the block of the trend; every figure is null in a run too short to show one."""
    return {
        "ms_per_min": milliseconds(trend.ms_per_min if trend else None),
        "ms_over_run": milliseconds(trend.ms_over_run if trend else None),
        "standard_ms_per_min": milliseconds(trend.standard_ms_per_min if trend else None),
        "significant": trend.significant if trend else None,
    }


def _headline(headline: Headline) -> Tree:
    return {
        "point": headline.point,
        "estimator": headline.estimator,
        "value_ms": milliseconds(headline.value_ms),
        "ci95_ms": _interval_ms(headline.ci95_ms),
        "expanded_uncertainty_ms": milliseconds(headline.expanded_uncertainty_ms),
        "combined_standard_ms": milliseconds(headline.combined_standard_ms),
        "k": number(headline.k),
        "dof": number(headline.dof),
        "stopped_itself": headline.stopped_itself,
        "with_hand_drops_ms": milliseconds(headline.with_hand_drops_ms),
        "up": headline.up,
        "down": headline.down,
        "stands_for": headline.stands_for,
    }


def _any_switch_on(figure: AnySwitchOn) -> Tree:
    return {
        "value_ms": milliseconds(figure.value_ms),
        "expanded_uncertainty_ms": milliseconds(figure.expanded_uncertainty_ms),
        "combined_standard_ms": milliseconds(figure.combined_standard_ms),
        "k": number(figure.k),
        "dof": number(figure.dof),
        "switch_ons": figure.switch_ons,
        "rule": figure.rule,
        "uncertainty": [_budget_line(line) for line in figure.lines],
    }


def _summary(summary: PointSummary) -> Tree:
    return {
        "n": summary.n,
        "min_ms": milliseconds(summary.min_ms),
        "p05_ms": milliseconds(summary.p05_ms),
        "median_ms": milliseconds(summary.median_ms),
        "mean_ms": milliseconds(summary.mean_ms),
        "p95_ms": milliseconds(summary.p95_ms),
        "max_ms": milliseconds(summary.max_ms),
        "sd_ms": milliseconds(summary.sd_ms),
        "mean_ci95_ms": _interval_ms(summary.mean_ci95_ms),
        "median_ci95_ms": _interval_ms(summary.median_ci95_ms),
        "p95_ci95_ms": _interval_ms(summary.p95_ci95_ms),
        "median_all_ms": milliseconds(summary.median_all_ms),
        "p95_all_ms": milliseconds(summary.p95_all_ms),
        "balanced_mean_ms": milliseconds(summary.balanced_mean_ms),
        "balanced_mean_ci95_ms": _interval_ms(summary.balanced_mean_ci95_ms),
        "balanced_median_ms": milliseconds(summary.balanced_median_ms),
        "balanced_median_ci95_ms": _interval_ms(summary.balanced_median_ci95_ms),
        "balanced_p95_ms": milliseconds(summary.balanced_p95_ms),
        "balanced_p95_ci95_ms": _interval_ms(summary.balanced_p95_ci95_ms),
        "n_eff": number(summary.n_eff),
    }


def _trial(trial: Trial) -> Tree:
    return {
        "flip": trial.flip,
        "at_s": at_seconds(trial.at_ns),
        "direction": trial.direction,
        "first_ms": milliseconds(trial.first_ms),
        "mid_ms": milliseconds(trial.mid_ms),
        "near_final_ms": milliseconds(trial.near_final_ms),
        "first_lead_ms": milliseconds(trial.first_lead_ms),
        "mid_lead_ms": milliseconds(trial.mid_lead_ms),
        "near_final_lead_ms": milliseconds(trial.near_final_lead_ms),
        "phase": number(trial.phase),
        "missing_pulses": trial.missing_pulses,
        "frames_to_answer": trial.frames_to_answer,
        "near_half_way": trial.near_half_way,
        "before_us": number(trial.before_us),
        "after_us": number(trial.after_us),
        "switch_on": trial.block,
    }


def _excluded(flip: Excluded, window_s: float | None) -> Tree:
    return {
        "flip": flip.flip,
        "at_s": at_seconds(flip.at_ns),
        "code": flip.code,
        "reason": exclusion_reason(flip, window_s=window_s).replace("\u00a0", " "),
        "direction": flip.direction,
        "mid_ms": milliseconds(flip.mid_ms),
    }


def _stage(stage: Stage) -> Tree:
    return {
        "from": stage.start,
        "to": stage.end,
        "n": stage.n,
        "mean_ms": milliseconds(stage.mean_ms),
        "median_ms": milliseconds(stage.median_ms),
        "predicted_ms": milliseconds(stage.predicted_ms),
        "predicted_covers": PREDICTIONS.get(stage.covers),
    }


def _budget_line(line: BudgetLine) -> Tree:
    dof = number(line.dof)
    return {"source": line.source, "standard_ms": milliseconds(line.standard_ms), "type": line.kind, "dof": dof}


def _interval(interval: Interval) -> Json:
    return [number(interval[0]), number(interval[1])]


def _interval_ms(interval: Interval) -> Json:
    return [milliseconds(interval[0]), milliseconds(interval[1])]


def _plain(settings: Mapping[str, float]) -> Tree:
    return {key: number(value) for key, value in settings.items()}
