"""What a comparison says in whole sentences: which is quickest, how sure, and what would tell more."""

from collections.abc import Sequence
from itertools import pairwise

from benchapp.presentation.comparison.side_words import LIKENESS, listed, quantity_words
from benchapp.presentation.ground.numbers import (
    NBSP,
    at_places,
    counted,
    give_or_take,
    in_words,
    interval_places,
    sentence_start,
    value_and_u,
    with_unit,
)
from benchapp.presentation.shown import test_words
from benchapp.records.comparison import (
    DAY_UNIT,
    DIFFERENT,
    FEW_SWITCH_ONS,
    NAMED,
    NOT_ASKED,
    NOT_THE_SAME_TEST,
    ONE_POWER_UP,
    PHASE_LOCKED,
    SHOWN,
    TOO_FEW_FLIPS,
    ComparedSet,
    Comparison,
    More,
    Pair,
)
from benchapp.records.method import FEWEST_ANSWERED

REASONS = {
    ONE_POWER_UP: "One or two switch-ons say little of the next: each may lie anywhere in a frame, however many flips "
    "it has.",
    PHASE_LOCKED: "Flips kept step with the radio, so the figure may be off by as much as half a frame.",
    FEW_SWITCH_ONS: "From eight switch-ons on nothing has to be assumed of a set, and the answer gets narrower.",
    TOO_FEW_FLIPS: f"A figure needs {FEWEST_ANSWERED} answered flips.",
    SHOWN: "Nothing here carries an uncertainty of its own: shown, not judged. Three runs each would be judged by "
    "their own scatter.",
}
"""What stands in the way of an answer."""
NO_NUMBER = "No reasonable number of switch-ons would tell, if the difference is what it looks like."
LEADING_EDGE = (
    "The sets' output ranges differ, and a longer pulse ends later by itself: everything here is timed to the "
    "beginning of the answering pulse, not to its end."
)


def answer(comparison: Comparison, labels: Sequence[str]) -> str:
    """Return the answer in one sentence, the headline of page and terminal."""
    asked = comparison.quickest
    if asked.verdict == NOT_ASKED:
        return _without_race(comparison, labels)
    if len(asked.asked) == 2:
        return pair_sentence(_pair_of(comparison, asked.asked), labels)
    several = in_words(len(asked.asked))
    if asked.verdict == NAMED:
        return f"{labels[asked.sets[0]]} is the quickest of the {several}."
    if len(asked.sets) == len(asked.asked):
        return f"These flips cannot tell which of the {several} is the quickest."
    return f"{listed([labels[place] for place in asked.sets], 'or')}: these flips cannot tell which is the quickest."


def _without_race(comparison: Comparison, labels: Sequence[str]) -> str:
    if len(comparison.sets) == 2:
        return pair_sentence(comparison.pairs[0], labels)
    told = [pair for pair in comparison.pairs if pair.verdict == DIFFERENT]
    if any(own.timed for own in comparison.sets) or not any(pair.quantities for pair in comparison.pairs):
        return "These sets cannot be ranked: they did not all go through the same test, or have too few flips."
    if not told:
        return "These sets cannot be told apart."
    return f"{len(told)} of {counted(len(comparison.pairs), 'pair')} differ for sure."


def _pair_of(comparison: Comparison, places: tuple[int, ...]) -> Pair:
    return next(pair for pair in comparison.pairs if (pair.a, pair.b) == places)


def pair_sentence(pair: Pair, labels: Sequence[str]) -> str:
    """Return what can be said of two sets, in one sentence."""
    a, b = labels[pair.a], labels[pair.b]
    if pair.verdict == NOT_THE_SAME_TEST:
        return f"{a} and {b} are not compared: {unlike_words(pair)}."
    if pair.shift_ms is None or pair.shift_ci_ms is None:
        if pair.quantities and pair.reason != TOO_FEW_FLIPS:
            return _quantities_sentence(pair, a, b)
        return f"{a} and {b} cannot be compared: too few flips."
    if pair.verdict != DIFFERENT:
        return f"{a} or {b}: these flips cannot tell which is quicker."
    quicker, slower = (a, b) if pair.shift_ms > 0.0 else (b, a)
    half = (pair.shift_ci_ms[1] - pair.shift_ci_ms[0]) / 2
    value, give = value_and_u(abs(pair.shift_ms), half)
    return f"{quicker} is quicker than {slower}, by {value}{NBSP}ms, give or take {give}{NBSP}ms."


def unlike_words(pair: Pair) -> str:
    """Return why two sets went not through the same test."""
    return listed([LIKENESS.get(field, field) for field in pair.differs_in])


def _quantities_sentence(pair: Pair, a: str, b: str) -> str:
    told = [quantity_words(one.key)[0] for one in pair.quantities if one.verdict == DIFFERENT]
    if told:
        return f"{a} and {b} differ in {listed(told)}."
    if all(one.verdict == SHOWN for one in pair.quantities):
        return f"{a} and {b} stand side by side: shown, not judged."
    return f"{a} and {b} cannot be told apart by these runs."


def beside_pair(pair: Pair, sets: Sequence[ComparedSet], aim_ms: float | None) -> tuple[str, ...]:
    """Return what else is to be said of two sets: how large a difference could be, why, and what would tell."""
    sentences = []
    if pair.verdict not in (DIFFERENT, NOT_THE_SAME_TEST):
        # Where a smaller one is certain, that says more: the aim is tried on one side at a time.
        if pair.at_most_ms is not None and pair.shift_ci_ms is not None and not pair.alike:
            most = with_unit(pair.at_most_ms, interval_places(pair.shift_ci_ms), "ms")
            sentences.append(f"If there is a difference, it is no larger than {most}.")
        if pair.reason in REASONS:
            sentences.append(REASONS[pair.reason])
        if pair.more is not None:
            sentences.append(more_sentence(pair.more, sets[pair.a], sets[pair.b]))
    if aim_ms is not None and pair.alike is not None:
        sentences.append(_aim_sentence(pair, sets, aim_ms))
    return tuple(sentences)


def more_sentence(more: More, a: ComparedSet, b: ComparedSet, condition: str = "") -> str:
    """Return how many more switch-ons would tell, "" for none; condition : under which, as the end of a sentence."""
    condition = condition or "if the difference is what it looks like"
    number = more.switch_ons or more.days
    if number is None:
        return NO_NUMBER
    unit = "day" if more.days is not None else "switch-on"
    have = [own.figure.units for own in (a, b) if own.figure is not None]
    alike = len(set(have)) == 1 and not (more.days is None and any(_by_days(own) for own in (a, b)))
    many = counted(number - have[0], f"more {unit}") if alike else counted(number, unit)
    flips = f" ({counted(more.flips, 'flip')} a set in all)" if more.flips is not None else ""
    return f"{sentence_start(many)} each{flips} would tell, {condition}."


def _by_days(own: ComparedSet) -> bool:
    return own.figure is not None and own.figure.unit == DAY_UNIT


def _aim_sentence(pair: Pair, sets: Sequence[ComparedSet], aim_ms: float) -> str:
    aim = f"{at_places(aim_ms, 9).rstrip('0').rstrip('.')}{NBSP}ms"
    if pair.alike:
        return f"Any difference is smaller than {aim}."
    said = f"A difference of {aim} or more is not ruled out."
    if pair.more_for_aim is None or pair.more_for_aim == More():
        return said
    return f"{said} {more_sentence(pair.more_for_aim, sets[pair.a], sets[pair.b], f'if the difference is {aim}')}"


def set_figure_words(own: ComparedSet) -> str:
    """Return "13.31 ms, give or take 0.66 ms", or how many flips are missing."""
    if own.figure is not None:
        return give_or_take(own.figure.value_ms, own.figure.wide_ms, "ms")
    if own.flips:
        return f"{own.answered} of {FEWEST_ANSWERED} flips that a figure needs"
    return "no figure of time"


def set_basis(own: ComparedSet) -> str:
    """Return what a set's figure rests on: "5 switch-ons, 60 of 60 flips"."""
    if own.likeness is None:
        return "no test to compare"
    if own.figure is None and not own.flips:
        return test_words(own.likeness.test)
    ups = counted(len(own.power_ups), "switch-on")
    days = f"{counted(own.figure.units, 'day')}, " if own.figure is not None and _by_days(own) else ""
    return f"{days}{ups}, {own.answered} of {counted(own.flips, 'flip')}"


def rank_words(rank: tuple[int, int] | None) -> str:
    """Return the place of a set: "1", "1 to 3", "" for none."""
    if rank is None:
        return ""
    return str(rank[0]) if rank[0] == rank[1] else f"{rank[0]} to {rank[1]}"


def by_figure(comparison: Comparison) -> list[int]:
    """Return the places of the sets, the quickest first, those without a figure at the end."""
    values = [None if own.figure is None else own.figure.value_ms for own in comparison.sets]
    return sorted(range(len(values)), key=lambda place: (values[place] is None, values[place] or 0.0))


MOST_PAIRS = 66
"""Pairs that a page shows; of more, those with the quickest set and those of neighbours by their figures."""


def shown_pairs(comparison: Comparison) -> tuple[Pair, ...]:
    """Return the pairs that a page has room for."""
    if len(comparison.pairs) <= MOST_PAIRS:
        return comparison.pairs
    order = by_figure(comparison)
    wanted = {frozenset((order[0], other)) for other in order[1:]}
    wanted |= {frozenset(two) for two in pairwise(order)}
    return tuple(pair for pair in comparison.pairs if frozenset((pair.a, pair.b)) in wanted)


def level_words(level: float | None) -> str:
    """Return "95 %", "99.2 %" of a level."""
    return "–" if level is None else f"{at_places(100 * level, 1).removesuffix('.0')}{NBSP}%"
