"""The comparison document: sets side by side, as JSON others can rely on."""

from collections.abc import Sequence

from benchapp.records.comparison import ComparedSession, ComparedSet, Comparison, More, Pair, Quantity, QuantityPair
from benchapp.records.events import Json
from benchapp.records.power_ups import PowerUp
from benchapp.report.filed_test import Tree
from benchapp.report.findings_json import session_block
from benchapp.report.json_numbers import budget_line, milliseconds, number

FORMAT = "benchapp comparison 1"


def comparison_document(comparison: Comparison, sessions: Sequence[ComparedSession], names: Sequence[str]) -> Tree:
    """Return a comparison as a tree that JSON can hold; names : what each set is called.

    `a` and `b` of a pair count in `sets`, `sessions` of a set in `sessions`. shift is b less a. What does not exist is
    null, never 0.
    """
    return {
        "format": FORMAT,
        "sessions": [session_block(one.facts, one.findings) for one in sessions],
        "test": comparison.test,
        "point": comparison.point,
        "aim_ms": number(comparison.aim_ms),
        "sets": [_set(own, name) for own, name in zip(comparison.sets, names, strict=True)],
        "pairs": [_pair(pair) for pair in comparison.pairs],
        "quickest": {
            "verdict": comparison.quickest.verdict,
            "sets": list(comparison.quickest.sets),
            "asked": list(comparison.quickest.asked),
            "level": number(comparison.quickest.level),
        },
    }


def _set(own: ComparedSet, name: str) -> Tree:
    figure = own.figure
    return {
        "name": name,
        "sessions": list(own.sessions),
        "test": own.likeness.test if own.likeness else None,
        "unit": figure.unit if figure else None,
        "units": figure.units if figure else 0,
        "value_ms": milliseconds(figure.value_ms if figure else None),
        "standard_ms": milliseconds(figure.standard_ms if figure else None),
        "expanded_uncertainty_ms": milliseconds(figure.wide_ms if figure else None),
        "dof": number(figure.dof if figure else None),
        "keeps_step": figure.keeps_step if figure else None,
        "frame_ms": milliseconds(figure.frame_ms if figure else None),
        "rule": figure.rule if figure else None,
        "rank": None if own.rank is None else list(own.rank),
        "answered": own.answered,
        "flips": own.flips,
        "power_ups": [_power_up(one) for one in own.power_ups],
        "uncertainty": [budget_line(line) for line in figure.lines] if figure else [],
        "quantities": [_quantity(one) for one in own.quantities],
        "left_out": [{"session": session, "run": run} for session, run in own.left_out],
    }


def _power_up(one: PowerUp) -> Tree:
    return {
        "session": one.session,
        "run": one.run,
        "switch_on": one.block,
        "n": one.n,
        "mean_ms": milliseconds(one.mean_ms),
        "half_ms": milliseconds(one.half_ms),
        "frame_ms": milliseconds(one.frame_ms),
        "steps_once": one.steps_once,
    }


def _quantity(one: Quantity) -> Tree:
    return {
        "of": one.key,
        "value": number(one.value),
        "runs": one.n,
        "standard": number(one.standard),
        "dof": number(one.dof) if one.standard is not None else None,
        "in_log": one.in_log,
    }


def _pair(pair: Pair) -> Tree:
    return {
        "a": pair.a,
        "b": pair.b,
        "verdict": pair.verdict,
        "shift_ms": milliseconds(pair.shift_ms),
        "shift_ci95_ms": _interval(pair.shift_ci_ms),
        "level": number(pair.level),
        "dof": number(pair.dof),
        "at_most_ms": milliseconds(pair.at_most_ms),
        "hl_shift_ms": milliseconds(pair.hl_shift_ms),
        "hl_ci95_ms": _interval(pair.hl_ci95_ms),
        "p": number(pair.p),
        "p_adjusted": number(pair.p_adjusted),
        "mw_p": number(pair.mw_p),
        "reason": pair.reason,
        "more": _more(pair.more),
        "more_for_aim": _more(pair.more_for_aim),
        "alike": pair.alike,
        "alike_p": number(pair.alike_p),
        "differs_in": list(pair.differs_in),
        "notes": list(pair.notes),
        "quantities": [_quantity_pair(one) for one in pair.quantities],
    }


def _quantity_pair(one: QuantityPair) -> Tree:
    return {
        "of": one.key,
        "verdict": one.verdict,
        "a": number(one.a),
        "b": number(one.b),
        "ratio" if one.in_log else "shift": number(one.shift),
        "ci": None if one.ci is None else [number(one.ci[0]), number(one.ci[1])],
    }


def _more(more: More | None) -> Json:
    if more is None:
        return None
    return {"switch_ons": more.switch_ons, "days": more.days, "flips": more.flips}


def _interval(interval: tuple[float, float] | None) -> Json:
    """Return both ends in ms, each null where there is none: a reader finds two places in any case."""
    low, high = interval or (None, None)
    return [milliseconds(low), milliseconds(high)]
