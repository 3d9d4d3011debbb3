"""The end of every report: definitions used, the evidence, and how far the findings reach."""

import re
from collections.abc import Iterable, Mapping

from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.numbers import DASH, exists, marked, when
from benchapp.presentation.ground.page import Block, Bullets, Definitions, Facts, Heading, Paragraph, Row, Tone
from benchapp.presentation.report_page.definitions import definitions_of
from benchapp.presentation.shown import test_words
from benchapp.records.findings import SessionFindings
from benchapp.records.named_tests import names_of_tests
from benchapp.records.run import Origin, SessionFacts

_UNITS: Mapping[str, str] = {
    "ms": "ms", "us": "µs", "ns": "ns", "s": "s", "frames": "frames", "sigmas": "σ", "pct": "%", "ppm": "ppm",
}  # fmt: skip
_SETTING = re.compile(r"(?P<name>[a-z0-9_]+)_(?P<unit>[a-z]+)")

REACH = "One set, this program version, this date; others may differ, also others of the same kind."


def definitions_part(findings: SessionFindings) -> tuple[Block, ...]:
    """Return the definitions that these findings use."""
    entries = definitions_of(findings.runs)
    return (Heading(text="Definitions used", key="definitions"), Definitions(entries=entries))


def evidence_part(facts: SessionFacts, findings: SessionFindings) -> tuple[Block, ...]:
    """Return where the evidence is from, its code, and what computed the findings."""
    rows = [
        Row(label="Session", value=clean(facts.name) or "no name"),
        Row(label="Date", value=when(facts.started)),
        Row(label="Evidence code", value=clean(facts.evidence_hash) or "none yet", code=True),
        Row(label="Recorded by", value=clean(facts.software) or "not noted"),
        Row(label="Reduction", value=f"version {findings.version}"),
        Row(label="Settings of the reduction", value="; ".join(_settings(findings)) or "none"),
    ]
    blocks: list[Block] = [
        Heading(text="Evidence", key="evidence"),
        Facts(caption="Where the findings come from", rows=tuple(rows)),
    ]
    if facts.damage:
        blocks.append(Heading(text="Damage found in the session file", key="damage", level=3))
        blocks.append(Bullets(items=tuple(clean(line, limit=200) for line in facts.damage[:40])))
    blocks.append(Paragraph(text=_recompute(facts), tone=Tone.SOFT))
    return tuple(blocks)


def reach_part(facts: SessionFacts) -> tuple[Block, ...]:
    """Return the sentence that says how far the findings reach."""
    blocks: list[Block] = [Heading(text="How far this reaches", key="reach"), Paragraph(text=REACH, tone=Tone.LEAD)]
    if facts.origin is Origin.PRACTICE:
        blocks.append(
            Paragraph(
                text="PRACTICE, SIMULATED: the radio of this report exists only in the practice bench, and its figures "
                "are invented. Never compare them with a real set."
            )
        )
    return tuple(blocks)


def no_runs_part() -> tuple[Block, ...]:
    """Return what stands in place of findings where no test was run."""
    return (
        Heading(text="Verdict", key="verdict"),
        Paragraph(text="No test finished yet.", tone=Tone.LEAD),
        Paragraph(text=f"Run a test, “{test_words(names_of_tests()[0])}” for a start, and its findings stand here."),
    )


def _settings(findings: SessionFindings) -> Iterable[str]:
    return (setting_words(clean(name, limit=60), value) for name, value in findings.settings.items())


def _recompute(facts: SessionFacts) -> str:
    kept = "The session file holds everything that was recorded; every finding here can be computed from it again."
    if facts.origin is Origin.CAPTURE:
        return f"{kept} The times are those of the instrument that made the capture."
    return kept


def setting_words(name: str, value: float) -> str:
    """Return one setting of the reduction with its unit: "hold off 20 ms"."""
    match = _SETTING.fullmatch(name)
    unit = _UNITS.get(match["unit"]) if match else None
    plain = marked(f"{value:g}") if exists(value) else DASH
    if match is None or unit is None:
        return f"{name.replace('_', ' ')} = {plain}"
    return f"{match['name'].replace('_', ' ')} {plain} {unit}"
