"""The block `latency` of a findings document."""

from benchapp.presentation.ground.wording import exclusion_reason
from benchapp.records.events import Json
from benchapp.records.findings import (
    AnySwitchOn,
    Excluded,
    Headline,
    Interval,
    Latency,
    PointSummary,
    Stragglers,
    Trend,
    Trial,
)
from benchapp.report.filed_test import Tree
from benchapp.report.json_numbers import at_seconds, budget_line, milliseconds, number, seconds

_ALL_POINTS = ("first", "mid", "near_final", "first_lead", "mid_lead", "near_final_lead")


def latency_block(latency: Latency) -> Tree:
    """Return everything a run of flips says; what does not exist is null."""
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
        "uncertainty": [budget_line(line) for line in figure.lines],
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


def _interval(interval: Interval) -> Json:
    return [number(interval[0]), number(interval[1])]


def _interval_ms(interval: Interval) -> Json:
    return [milliseconds(interval[0]), milliseconds(interval[1])]
