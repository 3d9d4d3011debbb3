"""The tables of a comparison: its sets, every pair, and the quantities of sweeps and holds."""

from collections.abc import Iterator, Sequence

from benchapp.presentation.comparison.comparison_lines import probability_words
from benchapp.presentation.comparison.comparison_words import (
    by_figure,
    level_words,
    rank_words,
    set_basis,
    set_figure_words,
    shown_pairs,
    unlike_words,
)
from benchapp.presentation.comparison.quantity_words import quantity_rows
from benchapp.presentation.comparison.side_words import field_words, listed
from benchapp.presentation.ground.numbers import DASH, NBSP, at_places, interval_places
from benchapp.presentation.ground.page import Cell, Column, Table
from benchapp.presentation.ground.table_making import with_reasons
from benchapp.records.comparison import CANNOT_TELL, DIFFERENT, NOT_THE_SAME_TEST, Comparison, More, Pair

_VERDICTS = {DIFFERENT: "different", CANNOT_TELL: "cannot tell", NOT_THE_SAME_TEST: "not the same test"}
_NO_SHIFT = "not the same test, too few flips, or no times to compare"
_NO_MORE = "told already, or no reasonable number would tell"


def sets_table(comparison: Comparison, labels: Sequence[str]) -> Table:
    """Return the sets, the quickest first, with the place each can have."""
    columns = (
        Column(title="Place", share=0.8),
        Column(title="Set", share=2.2),
        Column(title="Figure, any switch-on", share=2.4),
        Column(title="From", share=2.6),
        Column(title="Keeps step", share=0.9),
    )
    rows = [
        (
            _words(rank_words(own.rank), "not ranked"),
            Cell(text=labels[place]),
            Cell(text=set_figure_words(own)),
            Cell(text=set_basis(own)),
            _keeps_step(None if own.figure is None else own.figure.keeps_step),
        )
        for place in by_figure(comparison)
        for own in (comparison.sets[place],)
    ]
    note = (
        "A place counts only sets that are surely quicker or slower: “1 to 3” is anywhere from the first to the third."
    )
    return with_reasons("sets", "The sets", columns, rows, notes=(note,), splits=len(rows) > 20)


def _keeps_step(kept: bool | None) -> Cell:
    if kept is None:
        return Cell(
            text=DASH, why="too few flips a switch-on, or in all, to show whether a set keeps step with its frame"
        )
    return Cell(text="yes" if kept else "no")


def pairs_table(comparison: Comparison, labels: Sequence[str]) -> Table:
    """Return every pair with its difference, its interval, the verdict and what would tell."""
    columns = (
        Column(title="Less this", share=1.7),
        Column(title="Set", share=1.7),
        Column(title="Difference", unit="ms", numeric=True),
        Column(title="Interval", unit="ms", numeric=True, share=1.6),
        Column(title="Verdict", share=1.4),
        Column(title="At most", unit="ms", numeric=True),
        Column(title="Would tell", share=1.5),
        Column(title="By ranks", unit="ms", numeric=True),
    )
    shown = shown_pairs(comparison)
    rows = [_pair_row(pair, labels) for pair in shown]
    levels = sorted({pair.level for pair in comparison.pairs if pair.level is not None})
    notes = []
    if levels:
        stated = listed([level_words(level) for level in levels])
        notes.append(f"Interval: {stated}, so that all verdicts together are wrong in at most 5{NBSP}%.")
    if any(pair.hl_shift_ms is not None for pair in comparison.pairs):
        notes.append(
            "By ranks: the middle of all differences between switch-ons; it stands beside and decides nothing."
        )
    if len(shown) < len(comparison.pairs):
        notes.append(
            f"{len(shown)} of {len(comparison.pairs)} pairs: those with the quickest set, and those of neighbours. All "
            "of them stand in pairs.csv and comparison.json."
        )
    notes += _unlike(shown, labels)
    return with_reasons("pairs", "Every pair", columns, rows, notes=notes, splits=len(rows) > 20)


def _pair_row(pair: Pair, labels: Sequence[str]) -> tuple[Cell, ...]:
    names = (Cell(text=labels[pair.a]), Cell(text=labels[pair.b]))
    verdict = Cell(text=_VERDICTS.get(pair.verdict, pair.verdict))
    if pair.shift_ci_ms is None:
        nothing = Cell(text=DASH, why=_NO_SHIFT)
        return (*names, nothing, nothing, verdict, nothing, nothing, nothing)
    places = interval_places(pair.shift_ci_ms)
    low, high = (at_places(end, places) for end in pair.shift_ci_ms)
    told = pair.verdict == DIFFERENT
    ranks = at_places(pair.hl_shift_ms, places)
    return (
        *names,
        Cell(text=at_places(pair.shift_ms, places)),
        Cell(text=f"{low} to {high}"),
        verdict,
        Cell(text=at_places(pair.at_most_ms, places)),
        _words("" if told else _more(pair.more), _NO_MORE),
        Cell(text=ranks, why="a set of one switch-on has no ranks" if ranks == DASH else ""),
    )


def _more(more: More | None) -> str:
    if more is None or (more.switch_ons is None and more.days is None):
        return ""
    return f"{more.days} days each" if more.days is not None else f"{more.switch_ons} switch-ons each"


def _words(text: str, why: str) -> Cell:
    return Cell(text=text) if text else Cell(text=DASH, why=why)


def _unlike(pairs: Sequence[Pair], labels: Sequence[str]) -> Iterator[str]:
    for pair in pairs:
        if pair.verdict == NOT_THE_SAME_TEST:
            yield f"{labels[pair.a]} and {labels[pair.b]}: {unlike_words(pair)}."


def chances_table(comparison: Comparison, labels: Sequence[str]) -> Table | None:
    """Return the probabilities that stand beside the verdicts, and what was noted differently; None without any."""
    pairs = [pair for pair in shown_pairs(comparison) if pair.p is not None]
    if not pairs:
        return None
    columns = (
        Column(title="Pair", share=2.6),
        Column(title="p (Welch)"),
        Column(title="p (Holm)"),
        Column(title="p (Mann, Whitney)", share=1.2),
        Column(title="Also different, as noted", share=3.0),
    )
    rows = [
        (
            Cell(text=f"{labels[pair.a]}, {labels[pair.b]}"),
            *(_probability(p) for p in (pair.p, pair.p_adjusted, pair.mw_p)),
            Cell(text=listed([field_words(key) for key in pair.differs_in]) or "nothing noted"),
        )
        for pair in pairs
    ]
    return with_reasons("chances", "Beside the verdicts", columns, rows, splits=len(rows) > 20)


def _probability(p: float | None) -> Cell:
    if p is None:
        return Cell(text=DASH, why="a set of one switch-on has no ranks")
    return Cell(text=probability_words(p).removeprefix("=").strip())


def quantities_table(comparison: Comparison, labels: Sequence[str]) -> Table | None:
    """Return the quantities of sweeps or holds, pair by pair; None where there are none."""
    columns = (
        Column(title="Quantity", share=2.6),
        Column(title="One", share=1.6),
        Column(title="Its value", share=1.2),
        Column(title="Other", share=1.6),
        Column(title="Its value", share=1.2),
        Column(title="Verdict", share=1.5),
    )
    rows = [
        (
            Cell(text=row.name),
            Cell(text=labels[pair.a]),
            Cell(text=row.a),
            Cell(text=labels[pair.b]),
            Cell(text=row.b),
            Cell(text=row.verdict),
        )
        for pair in shown_pairs(comparison)
        for row in quantity_rows(pair)
    ]
    if not rows:
        return None
    note = (
        "Judged where both values carry an uncertainty of their own, or come from three runs each; all that is judged "
        "of a pair shares one level. The rest is shown, not judged."
    )
    return with_reasons("quantities", "Side by side", columns, rows, notes=(note,), splits=len(rows) > 20)
