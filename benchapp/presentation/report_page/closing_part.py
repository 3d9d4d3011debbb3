"""The end of every report: definitions used, the evidence, and how far the findings reach."""

import re
from collections.abc import Iterable, Mapping

from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.numbers import DASH, exists, marked
from benchapp.presentation.ground.page import Block, Bullets, Definitions, Heading, Paragraph, Tone
from benchapp.presentation.report_page.definitions import definitions_of
from benchapp.presentation.shown import SHOWN, test_words
from benchapp.records.findings import SessionFindings
from benchapp.records.named_tests import names_of_tests
from benchapp.records.run import Origin, SessionFacts

_UNITS: Mapping[str, str] = {
    "ms": "ms", "us": "µs", "ns": "ns", "s": "s", "frames": "frames", "sigmas": "σ", "pct": "%", "ppm": "ppm",
}  # fmt: skip
_SETTING = re.compile(r"(?P<name>[a-z0-9_]+)_(?P<unit>[a-z]+)")

_INVENTED = (
    "PRACTICE, SIMULATED: the radio of this report exists only in the practice bench, and its figures are invented. "
    "Never compare them with a real set."
)


def definitions_part(findings: SessionFindings) -> tuple[Block, ...]:
    """Return the definitions that these findings use."""
    entries = definitions_of(findings.runs)
    return (Heading(text="Definitions used", key="definitions"), Definitions(entries=entries))


def evidence_part(facts: SessionFacts, findings: SessionFindings) -> tuple[Block, ...]:
    """Return where the evidence is from, its code, and what computed the findings."""
    recorded = clean(facts.software) or "not noted"
    settings = "; ".join(_settings(findings)) or "none"
    blocks: list[Block] = [
        Heading(text="Evidence", key="evidence"),
        Paragraph(
            text=f"Recorded by: {recorded}. Computed by: reduction version {findings.version}. {_recompute(facts)}"
        ),
        Paragraph(text=f"Settings of the reduction: {settings}.", tone=Tone.SOFT),
    ]
    if facts.damage:
        blocks.append(Heading(text="Damage found in the session file", key="damage", level=3))
        blocks.append(Bullets(items=tuple(clean(line, limit=200) for line in facts.damage[:40])))
    if facts.origin is Origin.PRACTICE:
        blocks.append(Paragraph(text=_INVENTED))
    return tuple(blocks)


def no_runs_part() -> tuple[Block, ...]:
    """Return what stands in place of findings where no test was run."""
    return (
        Heading(text="Verdict", key="verdict", quiet=True),
        Paragraph(text="No test finished yet.", tone=Tone.LEAD),
        Paragraph(text=f"Run a test, “{test_words(names_of_tests()[0])}” for a start, and its findings stand here."),
    )


def _settings(findings: SessionFindings) -> Iterable[str]:
    """Return the settings that had a say in these findings: those of a test that was not run had none."""
    runs = findings.runs
    named = {run.test for run in runs}
    idle = tuple(start for test, part in SHOWN.named() if runs and test not in named for start in part.own_settings)
    return (
        setting_words(clean(name, limit=60), value)
        for name, value in findings.settings.items()
        if not name.startswith(idle)
    )


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
