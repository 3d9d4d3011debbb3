"""What was tested, and how the radio was readied for it."""

from collections.abc import Mapping

from benchapp.presentation.ground.bench_fields import NOT_NOTED, NOTES, READY, TOGETHER, UNDER_TEST
from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.numbers import counted, sentence_start, when
from benchapp.presentation.ground.page import Block, Bullets, Facts, Heading, Paragraph, Photo, Row, Tone
from benchapp.presentation.ground.safety import BY_YES_SAFE, by_yes_safe, is_yes
from benchapp.presentation.ground.wording import PICK_UPS
from benchapp.records.photo import jpeg_size_px
from benchapp.records.run import Origin, SessionFacts

_FEW_MISSING = 2
_MOST_NOTES, _NOTE_LENGTH = 40, 400
_ORIGINS: Mapping[Origin, str] = {
    Origin.PROBE: "recorded with a probe",
    Origin.PRACTICE: "PRACTICE, SIMULATED on the practice bench",
    Origin.CAPTURE: "a capture made with another instrument",
}


def tested_part(facts: SessionFacts, *, flips: bool) -> tuple[Block, ...]:
    """Return what is known of the set and of the bench; what nobody noted is said to be not noted.

    flips : the session has flips, and so a pick-up of the switch
    """
    blocks: list[Block] = [
        Heading(text="What was tested", key="tested"),
        Facts(
            caption="The set and the bench",
            rows=(*_session_rows(facts, flips=flips), *_noted(TOGETHER, facts.bench), *_noted(UNDER_TEST, facts.bench)),
            label_share=0.38,
        ),
        *_not_noted(UNDER_TEST, facts.bench),
    ]
    others = [key for key in facts.bench if key not in (*TOGETHER, *UNDER_TEST, *READY, NOTES)]
    if others:
        told = f"{counted(len(others), 'further field')} of the session file {'is' if len(others) == 1 else 'are'} kept"
        blocks.append(Paragraph(text=f"{told} in it and not printed here.", tone=Tone.SOFT))
    blocks += _photo(facts)
    blocks.append(Heading(text="How the radio was readied", key="readied", level=3))
    blocks.append(Paragraph(text=_readied(facts.bench)))
    notes = [note for note in (facts.bench.get(NOTES, ""), *facts.notes) if note]
    if notes:
        blocks.append(Heading(text="Notes", key="notes", level=3))
        blocks.append(Bullets(items=tuple(clean(note, limit=_NOTE_LENGTH) for note in notes[:_MOST_NOTES])))
        left = len(notes) - _MOST_NOTES
        if left > 0:
            blocks.append(Paragraph(text=f"{counted(left, 'more note')} in the session file.", tone=Tone.SOFT))
    return tuple(blocks)


def _photo(facts: SessionFacts) -> tuple[Block, ...]:
    size = jpeg_size_px(facts.photo) if facts.photo is not None else None
    if facts.photo is None or size is None:
        return ()
    name = clean(facts.name) or "a session without a name"
    return (
        Photo(
            key="photo",
            jpeg=facts.photo,
            width=size[0],
            height=size[1],
            alt=f"Photo of the bench of {name}",
            caption="The bench, as photographed. The photo is a description and no evidence.",
        ),
    )


def _session_rows(facts: SessionFacts, *, flips: bool) -> tuple[Row, ...]:
    return (
        Row(label="Recorded", value=when(facts.started)),
        Row(label="Evidence", value=_ORIGINS[facts.origin]),
        *((Row(label="Pick-up", value=PICK_UPS[facts.pick_up]),) if flips else ()),
        Row(label="Safety list", value=_safety_list(facts)),
    )


def _safety_list(facts: SessionFacts) -> str:
    """Return how many lines hold as they were answered last, and who answered."""
    answers = tuple(dict(facts.safety).values())
    ticked, told = (sum(map(whose, answers)) for whose in (is_yes, by_yes_safe))
    parts = (
        f"{counted(ticked, 'safety line')} ticked before the test" if ticked else "",
        f"{counted(told, 'safety line')} {BY_YES_SAFE}" if told else "",
    )
    return ", ".join(part for part in parts if part) or NOT_NOTED


def _noted(labels: Mapping[str, str], bench: Mapping[str, str]) -> tuple[Row, ...]:
    """Return a line for every field that was noted."""
    return tuple(Row(label=label, value=_said(bench, key)) for key, label in labels.items() if _said(bench, key))


def _not_noted(labels: Mapping[str, str], bench: Mapping[str, str]) -> tuple[Block, ...]:
    """Return one line for whatever was not noted: named where it is little, else counted."""
    missing = [_inside(label) for key, label in labels.items() if not _said(bench, key)]
    if not missing:
        return ()
    told = "; ".join(missing)
    if len(missing) > _FEW_MISSING:
        told = f"{'all' if len(missing) == len(labels) else 'the other'} {counted(len(missing), 'line')}"
    return (Paragraph(text=f"{NOT_NOTED.capitalize()}: {told}.", tone=Tone.SOFT),)


def _readied(bench: Mapping[str, str]) -> str:
    """Return each line of readying under its answer: "Checked: …. Not possible: …. Not noted: …."."""
    answers: dict[str, list[str]] = {}
    for key, label in READY.items():
        answers.setdefault(_said(bench, key) or NOT_NOTED, []).append(_inside(label))
    order = sorted(answers, key=lambda answer: answer == NOT_NOTED)
    return " ".join(f"{sentence_start(answer)}: {'; '.join(answers[answer])}." for answer in order)


def _said(bench: Mapping[str, str], key: str) -> str:
    """Return what was noted of a field; "" where it was left open."""
    text = clean(bench.get(key, ""))
    return "" if text.lower() == NOT_NOTED else text


def _inside(label: str) -> str:
    return (label[:1].lower() + label[1:]).rstrip("?")
