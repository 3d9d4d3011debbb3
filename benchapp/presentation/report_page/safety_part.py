"""The cautions in full; what stands first on the sheet are four lines of them."""

from benchapp.presentation.ground.on_bench import bench_told
from benchapp.presentation.ground.page import Block, Heading, Paragraph
from benchapp.presentation.ground.safety import (
    MANUALS_WIN,
    PUT_BACK,
    PUT_BACK_NOTE,
    by_yes_safe,
    is_yes,
    notices,
    put_back_ticked,
)
from benchapp.procedures.gate import SafetyLine
from benchapp.records.run import Origin, SessionFacts


def safety_part(facts: SessionFacts) -> tuple[Block, ...]:
    """Return the safety notes, with what was ticked before the test and afterwards."""
    practice = facts.origin is Origin.PRACTICE
    return (
        Heading(text="The cautions in full", key="cautions"),
        Paragraph(text=_bench(facts, practice=practice)),
        *notices(),
        Paragraph(text=MANUALS_WIN),
        Paragraph(text=_put_back(facts, practice=practice)),
    )


def _bench(facts: SessionFacts, *, practice: bool) -> str:
    if practice:
        return "This was recorded on the practice bench, where nothing can move. On a bench with a real set:"
    latest = dict(facts.safety)
    told = bench_told(latest)
    if told:
        by_call = any(by_yes_safe(answer) for answer in latest.values())
        rest = " The lines of the safety list were answered by --yes-safe, as a whole." if by_call else ""
        return f"Said before the test to be on the bench: {told}.{rest}"
    if is_yes(latest.get(SafetyLine.RECEIVER_ONLY, "")):
        return "Ticked before the test: receiver and servo only; nothing that drives a motor was connected."
    if any(by_yes_safe(answer) for answer in latest.values()):
        return (
            "The safety list was answered by --yes-safe, as a whole: nobody ticked its lines, and whether a motor "
            "could run was not asked."
        )
    return "The safest bench has receiver and servo only, with nothing connected that drives a motor."


def _put_back(facts: SessionFacts, *, practice: bool) -> str:
    ticked = put_back_ticked(facts.put_back)
    if ticked == len(PUT_BACK):
        return f"After the test – put back: ticked line by line. {PUT_BACK_NOTE}"
    some = f" ({ticked} of {len(PUT_BACK)} lines ticked)" if ticked else ""
    if practice:
        return f"Practice bench, nothing to fly – put back: not confirmed{some}."
    return f"Not ready to fly – put back: not confirmed{some}."
