"""What was tested, and how the radio was readied for it."""

from collections.abc import Mapping

from benchapp.presentation.ground.bench_fields import NOT_NOTED, NOTES, READY, TOGETHER, UNDER_TEST
from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.numbers import counted, when
from benchapp.presentation.ground.page import Block, Bullets, Facts, Heading, Paragraph, Photo, Row, Tone
from benchapp.presentation.ground.safety import BY_YES_SAFE, by_yes_safe, is_yes
from benchapp.presentation.ground.wording import PICK_UPS
from benchapp.records.photo import jpeg_size_px
from benchapp.records.run import Origin, SessionFacts

_ALWAYS = ("transmitter", "module", "receiver", "servo")
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
        Facts(caption="The set and the bench", rows=(*_session_rows(facts, flips=flips), *_bench_rows(facts.bench))),
    ]
    others = [key for key in facts.bench if key not in (*TOGETHER, *UNDER_TEST, *READY, NOTES)]
    if others:
        told = f"{counted(len(others), 'further field')} of the session file {'is' if len(others) == 1 else 'are'} kept"
        blocks.append(Paragraph(text=f"{told} in it and not printed here.", tone=Tone.SOFT))
    blocks += _photo(facts)
    blocks += [
        Heading(text="How the radio was readied", key="readied", level=3),
        Facts(
            caption="Made ready for the test",
            rows=tuple(_ready_row(key, facts.bench) for key in READY),
            label_share=0.72,
        ),
    ]
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


def _bench_rows(bench: Mapping[str, str]) -> tuple[Row, ...]:
    values = {key: clean(bench.get(key, "")) for key in UNDER_TEST}
    rows = [Row(label=label, value=text) for key, label in TOGETHER.items() if (text := clean(bench.get(key, "")))]
    rows += [
        Row(label=label, value=values[key] or NOT_NOTED)
        for key, label in UNDER_TEST.items()
        if values[key] or key in _ALWAYS
    ]
    missing = [_inside(label) for key, label in UNDER_TEST.items() if not values[key] and key not in _ALWAYS]
    if missing:
        rows.append(Row(label=NOT_NOTED.capitalize(), value=", ".join(missing)))
    return tuple(rows)


def _ready_row(key: str, bench: Mapping[str, str]) -> Row:
    return Row(label=READY[key], value=clean(bench.get(key, "")) or NOT_NOTED)


def _inside(label: str) -> str:
    return (label[:1].lower() + label[1:]).rstrip("?")
