"""A comparison as lines of text, for a terminal."""

from collections.abc import Iterator, Sequence

from benchapp.presentation.comparison.comparison_words import (
    LEADING_EDGE,
    answer,
    beside_pair,
    by_figure,
    level_words,
    pair_sentence,
    rank_words,
    set_basis,
    set_figure_words,
)
from benchapp.presentation.comparison.quantity_words import quantity_rows
from benchapp.presentation.comparison.side_words import field_words, listed
from benchapp.presentation.ground.numbers import NBSP, at_places, interval_places, sentence_start, span, with_unit
from benchapp.presentation.ground.page import PRACTICE_MARK
from benchapp.records.comparison import NOT_THE_SAME_TEST, Comparison, Pair

_MOST_WIDTH = 34
_MANY_DOF = 200.0
"""Beyond, t is the normal law's to within 1 %, and the number says nothing more."""


def comparison_lines(comparison: Comparison, labels: Sequence[str], asides: Sequence[str]) -> list[str]:
    """Return a comparison as lines: the answer, the sets by their figures, every pair, and what is to be minded.

    labels : what each set is called;  asides : sentences on what was assumed
    """
    practice = any(own.likeness is not None and own.likeness.origin == "practice" for own in comparison.sets)
    lines = [*([PRACTICE_MARK] if practice else []), answer(comparison, labels), ""]
    lines += _sets(comparison, labels)
    for pair in comparison.pairs:
        own = list(_pair(pair, comparison, labels))
        lines += ["", *own] if own else []
    if comparison.point != "mid":
        lines += ["", LEADING_EDGE]
    if asides:
        lines += ["", *asides]
    return lines


def _sets(comparison: Comparison, labels: Sequence[str]) -> Iterator[str]:
    width = min(max(len(label) for label in labels), _MOST_WIDTH)
    for place in by_figure(comparison):
        own = comparison.sets[place]
        yield f"  {rank_words(own.rank):>8}  {labels[place]:<{width}}  {set_figure_words(own)}  ({set_basis(own)})"


def _pair(pair: Pair, comparison: Comparison, labels: Sequence[str]) -> Iterator[str]:
    sentence = pair_sentence(pair, labels)
    if sentence != answer(comparison, labels):
        yield sentence
    yield from (f"  {sentence}" for sentence in beside_pair(pair, comparison.sets, comparison.aim_ms))
    if pair.shift_ci_ms is not None:
        yield f"  {interval_words(pair, labels)}"
        beside = ranks_words(pair)
        if beside:
            yield f"  {beside}"
    for row in quantity_rows(pair):
        yield f"  {row.name}: {labels[pair.a]} {row.a}, {labels[pair.b]} {row.b} – {row.verdict}"
    if pair.verdict != NOT_THE_SAME_TEST and pair.differs_in:
        fields = listed([field_words(key) for key in pair.differs_in])
        yield f"  Also different, as noted: {fields}."


def interval_words(pair: Pair, labels: Sequence[str]) -> str:
    """Return the difference with its interval, level and degrees of freedom."""
    if pair.shift_ci_ms is None:
        return ""
    places = interval_places(pair.shift_ci_ms)
    shift = with_unit(pair.shift_ms, places, "ms")
    interval = span(*pair.shift_ci_ms, places, "ms")
    dof = "" if pair.dof is None or pair.dof > _MANY_DOF else f", {at_places(pair.dof, 1)} degrees of freedom"
    return f"{labels[pair.b]} less {labels[pair.a]}: {shift}, {level_words(pair.level)} interval {interval}{dof}."


def probability_words(p: float) -> str:
    """Return "= 0.151", or "below 0.001"."""
    return f"={NBSP}{at_places(p, 3)}" if p >= 0.001 else f"below{NBSP}0.001"


def ranks_words(pair: Pair) -> str:
    """Return the figures by ranks that stand beside, never decide; "" where there are none."""
    if pair.hl_shift_ms is None:
        return ""
    places = interval_places(pair.shift_ci_ms or (None, None))
    interval = "" if pair.hl_ci95_ms is None else f" ({span(*pair.hl_ci95_ms, places, 'ms')})"
    p = "" if pair.mw_p is None else f", p {probability_words(pair.mw_p)}"
    return sentence_start(f"by ranks, which decide nothing: {with_unit(pair.hl_shift_ms, places, 'ms')}{interval}{p}.")
