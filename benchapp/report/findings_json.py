"""The findings document: what a session says, as JSON others can rely on."""

import json
from collections.abc import Mapping

from benchapp.presentation.ground.wording import PREDICTIONS
from benchapp.presentation.report_page.versions import recorded_with
from benchapp.records.events import Json
from benchapp.records.findings import Frame, RunFindings, SessionFindings, Stage
from benchapp.records.run import SessionFacts
from benchapp.report.filed_test import FILED, Tree
from benchapp.report.json_numbers import budget_line, milliseconds, number

FORMAT = "benchapp findings 1"


def findings_document(facts: SessionFacts, findings: SessionFindings) -> Tree:
    """Return the findings as a tree that JSON can hold.

    Milliseconds have 6 decimals, seconds 9. What does not exist (None, NaN) is null, never 0.
    """
    return {
        "format": FORMAT,
        "session": session_block(facts, findings),
        "runs": [_run(run) for run in findings.runs],
    }


def session_block(facts: SessionFacts, findings: SessionFindings) -> Tree:
    """Return what a document says of one session."""
    return {
        "name": facts.name,
        "started": facts.started,
        "origin": facts.origin.value,
        "pick_up": facts.pick_up.value,
        "evidence_hash": facts.evidence_hash,
        "software": facts.software,
        "damage": list(facts.damage),
        "recorded_reduction": recorded_with(facts.software),
        "reduction": {"version": findings.version, "settings": _plain(findings.settings)},
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
    filed = FILED.find(run.test)
    if filed is not None:
        tree[filed.block_name] = filed.block(run, run.result)
    tree["stages"] = [_stage(stage) for stage in run.stages]
    tree["uncertainty"] = [budget_line(line) for line in run.uncertainty]
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


def _plain(settings: Mapping[str, float]) -> Tree:
    return {key: number(value) for key, value in settings.items()}
