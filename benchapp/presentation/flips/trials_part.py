"""The table of every flip that counts, and the table of those left out with their reasons."""

from collections import Counter
from collections.abc import Iterable

from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.numbers import (
    at_places,
    counted,
    grouped,
    in_words,
    percent,
    sentence_start,
    uncertainty_places,
)
from benchapp.presentation.ground.page import Block, Bullets, Cell, Column, Heading, Paragraph, Table, Tone
from benchapp.presentation.ground.table_making import number_cell, with_reasons
from benchapp.presentation.ground.wording import EXCLUSIONS, direction_words, exclusion_reason
from benchapp.records.findings import Latency, Trial

_SMALL_STEP = "the step is too small beside the noise for this point, or it never came"
_PLACES = 3
_FEW_ROWS = 12
_MOST_REASONS = 3


def trials_part(latency: Latency, *, key: str, width_u_us: float | None = None) -> tuple[Block, ...]:
    """Return every flip that counts, in the order of time; width_u_us : how well one pulse's length is known."""
    if not latency.trials:
        return ()
    return (trials_table(latency, key=key, width_u_us=width_u_us),)


def trials_table(latency: Latency, *, key: str, width_u_us: float | None = None) -> Table:
    """Return one row a flip: when, which way, its delays, where in the frame it fell, and the pulses around it."""
    columns = [
        Column(title="Flip", unit="no.", numeric=True, share=0.7),
        Column(title="At", unit="s", numeric=True, share=1.1),
        Column(title="Way", share=0.9),
        Column(title="Starts", unit="ms", numeric=True),
        Column(title="Half-way", unit="ms", numeric=True),
        Column(title="Nearly there", unit="ms", numeric=True),
        Column(title="Pulse begins", unit="ms", numeric=True),
        Column(title="In the frame", unit="%", numeric=True, share=0.8),
        Column(title="Missing", unit="pulses", numeric=True, share=0.9),
        Column(title="Before", unit="µs", numeric=True),
        Column(title="After", unit="µs", numeric=True),
    ]
    several = latency.switch_ons > 1
    if several:
        columns.append(Column(title="Switch-on", unit="no.", numeric=True, share=0.9))
    us_places = min(max(uncertainty_places(width_u_us, default=2) - 1, 0), 3)
    rows = ((*_trial_row(t, us_places), *((Cell(text=str(t.block)),) if several else ())) for t in latency.trials)
    note = "Delays run from the flip to the end of the pulse; “pulse begins” to the beginning of the half-way pulse."
    return with_reasons(
        f"{key}trials",
        "All flips that count",
        columns,
        rows,
        notes=(note,),
        splits=len(latency.trials) > _FEW_ROWS,
        by_request=True,
    )


def _trial_row(trial: Trial, us_places: int) -> Iterable[Cell]:
    yield Cell(text=grouped(trial.flip))
    yield Cell(text=at_places(trial.at_ns / 1e9, 3))
    yield Cell(text=direction_words(trial.direction))
    for value in (trial.first_ms, trial.mid_ms, trial.near_final_ms, trial.mid_lead_ms):
        yield number_cell(value, _PLACES, _SMALL_STEP)
    yield number_cell(None if trial.phase is None else 100.0 * trial.phase, 0, "no pulse just before the flip")
    yield Cell(text=grouped(trial.missing_pulses))
    yield number_cell(trial.before_us, us_places, "not known")
    yield number_cell(trial.after_us, us_places, "not known")


def left_out_part(latency: Latency, *, key: str) -> tuple[Block, ...]:
    """Return the flips that do not count, each with its one reason: nothing is dropped silently."""
    heading = Heading(text="Flips left out", key=f"{key}left-out")
    answered, left = len(latency.trials), len(latency.excluded)
    if not left:
        if not latency.flips:
            return (heading, Paragraph(text="No flip was seen in this run."))
        return (Paragraph(text=f"None left out: {_of(answered, latency.flips)} count.", tone=Tone.SOFT),)
    were = "one was" if left == 1 else f"{in_words(left)} were"
    return (
        heading,
        Paragraph(text=f"{sentence_start(_of(answered, latency.flips))}, and why {were} left out."),
        Bullets(items=tuple(_summary_lines(latency))),
        left_out_table(latency, key=key),
    )


def left_out_table(latency: Latency, *, key: str) -> Table:
    """Return one row for each flip left out, in the order of time."""
    columns = (
        Column(title="Flip", unit="no.", numeric=True, share=0.7),
        Column(title="At", unit="s", numeric=True),
        Column(title="Why it was left out", share=7.0),
    )
    rows = [
        (
            Cell(text=grouped(flip.flip)),
            Cell(text=at_places(flip.at_ns / 1e9, 3)),
            Cell(text=exclusion_reason(flip, window_s=latency.window_s)),
        )
        for flip in latency.excluded
    ]
    return with_reasons(
        f"{key}left-out", "Each flip left out", columns, rows, splits=len(rows) > _FEW_ROWS, by_request=True
    )


def left_out_line(latency: Latency) -> str:
    """Return how many flips do not count and why, in one line: "3 of 61 flips: no answer in time, 3 flips"; "none"."""
    if not latency.excluded:
        return "none"
    reasons = Counter(EXCLUSIONS.get(flip.code, flip.code) for flip in latency.excluded).most_common(_MOST_REASONS)
    told = "; ".join(f"{clean(reason, limit=60)}, {counted(number, 'flip')}" for reason, number in reasons)
    return clean(f"{grouped(len(latency.excluded))} of {counted(latency.flips, 'flip')}: {told}", limit=150)


def _summary_lines(latency: Latency) -> Iterable[str]:
    for code, number in Counter(flip.code for flip in latency.excluded).most_common():
        first = next(flip for flip in latency.excluded if flip.code == code)
        # Facts that differ from flip to flip stand in the table only.
        same = code not in ("dropped", "step-too-small") or number == 1
        reason = exclusion_reason(first, window_s=latency.window_s) if same else EXCLUSIONS[code]
        share = f" ({percent(number / latency.flips)} of all)" if latency.flips else ""
        yield f"{counted(number, 'flip')}{share}: {reason}."


def _of(answered: int, flips: int) -> str:
    return f"{grouped(answered)} of {grouped(flips)} {'flip' if flips == 1 else 'flips'}"
