"""The first sheet of a report, to be handed over by itself: safety, verdict, figure, dots, ruler, what was tested."""

from collections.abc import Iterable, Sequence

from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.human_ruler import Flight, flown_sentence, human_ruler
from benchapp.presentation.ground.page import Block, Facts, Heading, KeyFigure, Notice, Paragraph, Row, Signal, Tone
from benchapp.presentation.ground.safety import PUT_BACK, SHORT_SAFETY, put_back_ticked
from benchapp.presentation.report_page.in_short import in_short
from benchapp.presentation.report_page.verdict import verdict
from benchapp.presentation.shown import shown_test
from benchapp.records.findings import RunFindings, SessionFindings
from benchapp.records.named_tests import times_flips
from benchapp.records.run import Origin, SessionFacts

REACH = "One set, this program version, this date; others may differ, also others of the same kind."
_LINES_ON_SHEET = 2


def first_sheet(facts: SessionFacts, findings: SessionFindings, flight: Flight) -> tuple[Block, ...]:
    """Return the sheet of a session with one run, or without any."""
    run = findings.runs[0] if findings.runs else None
    return (
        *safety_lines(facts),
        *(run_head(run, key="", practice=facts.origin is Origin.PRACTICE, flight=flight) if run is not None else ()),
        *tested_lines(facts, run),
        *last_lines(facts),
    )


def safety_lines(facts: SessionFacts) -> tuple[Block, ...]:
    """Return safety in four lines, the propeller first; the cautions in full follow behind."""
    put_back = _NOT_FLOWN if facts.origin is Origin.PRACTICE else _PUT_BACK_LINE
    return (
        Heading(text="Safety", key="safety", quiet=True),
        Notice(signal=Signal.WARNING, lines=(*SHORT_SAFETY[:2], put_back, SHORT_SAFETY[2])),
    )


_PUT_BACK_LINE = "A set changed for a test is not ready to fly: first put it back, try its fail-safe and its range."
_NOT_FLOWN = "On a real bench: a set changed for a test is not ready to fly before it is put back and checked."


def run_head(run: RunFindings, *, key: str, practice: bool, flight: Flight | None) -> tuple[Block, ...]:
    """Return one run in short: its verdict, its figure, its dots or curve, and the human ruler (with flight)."""
    blocks: list[Block] = [
        Heading(text="Verdict", key=f"{key}verdict", quiet=True),
        Paragraph(text=sheet_verdict(run), tone=Tone.LEAD),
    ]
    if is_empty(run):
        return tuple(blocks)
    test = shown_test(run.test)
    for block in test.figure(run, run.result, key=key, practice=practice):
        if isinstance(block, KeyFigure):
            blocks += [Heading(text="The figure", key=f"{key}figure", quiet=True), on_sheet(block, run)]
    drawn = test.first_drawing(run.result, practice=practice)
    blocks += [drawn] if drawn is not None else []
    return (*blocks, *(ruler_part(run, flight, key=key, practice=practice) if flight is not None else ()))


def sheet_verdict(run: RunFindings) -> str:
    """Return the verdict as it stands over a figure that shows its gives or takes itself."""
    return shown_test(run.test).short_verdict(run, run.result) or verdict(run)


def on_sheet(figure: KeyFigure, run: RunFindings) -> KeyFigure:
    """Return a run's figure with the lines that the first sheet has room for."""
    skip = 1 if len(figure.bands) > 1 else 0  # the second band says what the first line would
    lines = figure.lines[skip : skip + (1 if times_flips(run.test) else _LINES_ON_SHEET)]
    return KeyFigure(
        label=figure.label, value=figure.value, unit=figure.unit, spread=figure.spread, lines=lines, bands=figure.bands
    )


def ruler_part(run: RunFindings, flight: Flight, *, key: str, practice: bool) -> Iterable[Block]:
    """Return how far a model flies in the time found; nothing for a test without one."""
    timed = shown_test(run.test).timed(run.result)
    drawn = human_ruler(timed.value_ms, flight, bands=timed.bands, practice=practice) if timed is not None else None
    if timed is None or drawn is None:
        return ()
    return (
        Heading(text=flown_sentence(timed.value_ms, flight).removesuffix("."), key=f"{key}ruler", level=3),
        drawn,
    )


def tested_lines(facts: SessionFacts, run: RunFindings | None) -> tuple[Block, ...]:
    """Return what was tested in six lines."""
    return (
        Heading(text="In short", key="short", quiet=True),
        Facts(caption="What was tested, in short", rows=in_short(facts, run), label_share=0.12, one_line=True),
    )


def last_lines(facts: SessionFacts) -> tuple[Block, ...]:
    """Return what stands at the foot of the sheet: whether the set was put back, the evidence code, the reach."""
    rows = (
        Row(label="Put it back", value=put_back_state(facts)),
        Row(label="Evidence", value=clean(facts.evidence_hash) or "none yet", code=True),
    )
    return (
        Heading(text="Put it back, evidence", key="state", quiet=True),
        Facts(caption="State of the set, and the evidence code", rows=rows, label_share=0.12, one_line=True),
        Paragraph(text=REACH, tone=Tone.SOFT),
    )


def put_back_state(facts: SessionFacts) -> str:
    """Return whether the set was put back, in one line: what was ticked, and no claim beyond."""
    ticked = put_back_ticked(facts.put_back)
    if ticked == len(PUT_BACK):
        return "ticked line by line; a ticked list is no statement that the set is fit to fly"
    some = f" ({ticked} of {len(PUT_BACK)} lines ticked)" if ticked else ""
    if facts.origin is Origin.PRACTICE:
        return f"put back: not confirmed{some}; practice bench, nothing to fly"
    return f"put back: not confirmed{some}; not ready to fly"


def is_empty(run: RunFindings) -> bool:
    """Return whether a run ended before there was anything to show of it."""
    return shown_test(run.test).is_empty(run, run.result)


def shown(runs: Sequence[RunFindings]) -> tuple[RunFindings, ...]:
    """Return the runs that have something to show."""
    return tuple(run for run in runs if not is_empty(run))
