"""The verdict in plain words, what it means, and what to keep in mind about it."""

from collections.abc import Iterable, Sequence

from benchapp.presentation.ground.page import Block, Bullets, Heading, Paragraph, Tone
from benchapp.presentation.ground.wording import OUTCOMES, note_sentence
from benchapp.presentation.shown import flag_words, shown_test
from benchapp.records.findings import RunFindings
from benchapp.records.run import Outcome


def verdict(run: RunFindings) -> str:
    """Return one sentence: the figure, or why it cannot be told."""
    return shown_test(run.test).verdict(run, run.result)


def meaning(run: RunFindings, others: Iterable[RunFindings] = ()) -> tuple[str, ...]:
    """Return sentences that say what the verdict means, the most useful first; empty without a figure.

    others : the session's other runs, against which one test may hold itself
    """
    return shown_test(run.test).meaning(run, run.result, others)


def verdict_part(run: RunFindings, *, key: str, others: Sequence[RunFindings] = ()) -> tuple[Block, ...]:
    """Return the verdict, what it means, and what to keep in mind about it; others: the session's other runs."""
    blocks: list[Block] = [
        Heading(text="Verdict", key=f"{key}verdict"),
        Paragraph(text=verdict(run), tone=Tone.LEAD),
    ]
    definition = shown_test(run.test).definition(run.result)
    if definition:
        blocks.append(Paragraph(text=definition, tone=Tone.SOFT))
    sentences = meaning(run, others)
    if sentences:
        blocks.append(Bullets(items=sentences))
    minded = keep_in_mind(run)
    if minded:
        blocks.append(Heading(text="Keep in mind", key=f"{key}mind", level=3))
        blocks.append(Bullets(items=minded))
    return tuple(blocks)


def keep_in_mind(run: RunFindings) -> tuple[str, ...]:
    """Return a sentence for every flag and note of the run, and for one that was stopped early."""
    sentences = [_flag_sentence(code, run) for code in run.flags]
    sentences += [note_sentence(note) for note in run.notes]
    if run.outcome is Outcome.CUT_SHORT:
        sentences.append(f"The run was {OUTCOMES[run.outcome]}; everything up to there was kept.")
    return tuple(sentences)


def _flag_sentence(code: str, run: RunFindings) -> str:
    own = shown_test(run.test).flag_sentence(code, run, run.result)
    return own or flag_words(code, run.test).sentence
