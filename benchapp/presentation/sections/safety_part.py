"""The first part of every report: the safety notes."""

from benchapp.presentation.page import Block, Heading, Paragraph, Tone
from benchapp.presentation.safety import MANUALS_WIN, is_yes, notices, put_back_confirmed
from benchapp.procedures.gate import SafetyLine
from benchapp.records.run import Origin, SessionFacts


def safety_part(facts: SessionFacts) -> tuple[Block, ...]:
    """Return the safety notes, with whether the set was put back."""
    practice = facts.origin is Origin.PRACTICE
    return (
        Heading(text="Safety", key="safety"),
        Paragraph(text=_bench(facts, practice=practice)),
        *notices(),
        Paragraph(text=MANUALS_WIN),
        Paragraph(text=_put_back(facts, practice=practice), tone=Tone.LEAD),
    )


def _bench(facts: SessionFacts, *, practice: bool) -> str:
    if practice:
        return "This was recorded on the practice bench, where nothing can move. On a bench with a real set:"
    latest = dict(facts.safety)
    if is_yes(latest.get(SafetyLine.RECEIVER_ONLY, "")):
        return "Confirmed before the test: receiver and servo only; nothing that drives a motor was connected."
    return "The safest bench has receiver and servo only, with nothing connected that drives a motor."


def _put_back(facts: SessionFacts, *, practice: bool) -> str:
    if put_back_confirmed(facts.put_back):
        return "After the test – put back: confirmed, line by line."
    if practice:
        return "Practice bench, nothing to fly – put back: not confirmed."
    return "Not ready to fly – put back: not confirmed."
