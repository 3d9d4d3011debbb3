"""A comparison as one page: the answer first, on one sheet with its picture; then every pair, and how it was found."""

from collections.abc import Iterator, Sequence

from benchapp.presentation.comparison.comparison_tables import (
    chances_table,
    pairs_table,
    quantities_table,
    sets_table,
)
from benchapp.presentation.comparison.comparison_words import LEADING_EDGE, answer, beside_pair
from benchapp.presentation.comparison.side_by_side import side_by_side
from benchapp.presentation.comparison.side_definitions import DEFINITIONS
from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.numbers import counted, when
from benchapp.presentation.ground.page import (
    PRACTICE_MARK,
    Block,
    Bullets,
    Definitions,
    Facts,
    Heading,
    Page,
    Paragraph,
    Row,
    Tone,
)
from benchapp.presentation.shown import test_words
from benchapp.records.comparison import NOT_THE_SAME_TEST, ComparedSession, Comparison
from benchapp.records.run import Origin

REACH = (
    "These sets, these sessions, this program version; others may differ, also others of the same kind. What was not "
    "alike beside the sets themselves may be what differs."
)
_CODES_SHOWN = 6
_CONTENDERS = 4
"""Of so many sets that may be the quickest every pair is said in sentences; the table holds the others."""


def comparison_page(
    comparison: Comparison, sessions: Sequence[ComparedSession], labels: Sequence[str], asides: Sequence[str] = ()
) -> Page:
    """Return the page. labels : what each set is called; asides : sentences on what was assumed."""
    practice = any(session.facts.origin is Origin.PRACTICE for session in sessions)
    blocks = [
        *_answer_part(comparison, labels, practice=practice),
        *_pairs_part(comparison, labels),
        *_method_part(comparison, asides),
        *_evidence_part(sessions),
        Heading(text="How far this reaches", key="reach"),
        Paragraph(text=REACH, tone=Tone.LEAD),
    ]
    if practice:
        blocks.append(Paragraph(text=f"{PRACTICE_MARK}: the radios exist only in the practice bench."))
    return Page(
        title="Side by side",
        subtitle=_subtitle(comparison, practice=practice),
        practice=practice,
        session=f"Side by side: {counted(len(comparison.sets), 'set')}, {counted(len(sessions), 'session')}",
        evidence_code=_codes(sessions),
        software=clean(sessions[0].facts.software) if sessions else "",
        blocks=tuple(blocks),
    )


def _subtitle(comparison: Comparison, *, practice: bool) -> str:
    parts = [test_words(comparison.test) if comparison.test else "No test", counted(len(comparison.sets), "set")]
    return " · ".join([*parts, *([PRACTICE_MARK] if practice else [])])


def _codes(sessions: Sequence[ComparedSession]) -> str:
    """Return the beginnings of the sessions' evidence codes, for the foot of a sheet; the whole codes stand below."""
    codes = [clean(session.facts.evidence_hash).removeprefix("sha256:")[:8] for session in sessions]
    shown = ", ".join(f"{code}…" for code in codes[:_CODES_SHOWN])
    more = len(codes) - _CODES_SHOWN
    return f"{shown} and {more} more" if more > 0 else shown


def _answer_part(comparison: Comparison, labels: Sequence[str], *, practice: bool) -> Iterator[Block]:
    timed = any(own.power_ups for own in comparison.sets)
    yield Heading(text="Which is quickest" if timed else "Side by side", key="answer")
    yield Paragraph(text=answer(comparison, labels), tone=Tone.LEAD)
    if len(comparison.pairs) == 1:
        beside = beside_pair(comparison.pairs[0], comparison.sets, comparison.aim_ms)
        if beside:
            yield Bullets(items=beside)
    figure = side_by_side(comparison, labels, practice=practice)
    if figure is not None:
        yield figure
    yield sets_table(comparison, labels)


def _pairs_part(comparison: Comparison, labels: Sequence[str]) -> Iterator[Block]:
    if any(pair.shift_ms is not None or pair.verdict == NOT_THE_SAME_TEST for pair in comparison.pairs):
        yield Heading(text="Every pair", key="pairs-part")
        yield pairs_table(comparison, labels)
    contenders = set(comparison.quickest.sets[:_CONTENDERS])
    if len(comparison.pairs) > 1:
        sentences = [
            f"{labels[pair.a]}, {labels[pair.b]}: {' '.join(beside)}"
            for pair in comparison.pairs
            if {pair.a, pair.b} <= contenders
            if (beside := beside_pair(pair, comparison.sets, comparison.aim_ms))
        ]
        if sentences:
            yield Bullets(items=tuple(sentences))
    quantities = quantities_table(comparison, labels)
    if quantities is not None:
        yield Heading(text="Quantities", key="quantities-part")
        yield quantities
    chances = chances_table(comparison, labels)
    if chances is not None:
        yield chances


def _method_part(comparison: Comparison, asides: Sequence[str]) -> Iterator[Block]:
    minded = [*([LEADING_EDGE] if comparison.point != "mid" else []), *asides]
    if minded:
        yield Heading(text="Keep in mind", key="mind")
        yield Bullets(items=tuple(minded))
    yield Heading(text="How it was computed", key="definitions")
    yield Definitions(entries=DEFINITIONS)


def _evidence_part(sessions: Sequence[ComparedSession]) -> Iterator[Block]:
    yield Heading(text="Evidence", key="evidence")
    rows = []
    for number, session in enumerate(sessions, 1):
        facts = session.facts
        rows.append(Row(label=f"Session {number}", value=f"{clean(facts.name) or 'no name'}, {when(facts.started)}"))
        rows.append(Row(label="Evidence code", value=clean(facts.evidence_hash) or "none yet", code=True))
    yield Facts(caption="The sessions compared", rows=tuple(rows))
