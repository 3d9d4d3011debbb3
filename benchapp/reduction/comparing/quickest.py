"""Which of several sets is the quickest, asked directly."""

from collections.abc import Mapping, Sequence

from benchapp.records.comparison import DIFFERENT, NAMED, NOT_ASKED, ONE_OF, Pair, Quickest, SetFigure
from benchapp.reduction.comparing.difference import difference


def quickest(figures: Mapping[int, SetFigure], pairs: Sequence[Pair]) -> Quickest:
    """Return the quickest of these sets (by place), or those that no other beats for sure.

    i beats j for sure where the lower end of j less i, at the one-sided level 1 - 0.05/(s - 1) for s sets, is above 0.
    Naming is wrong in at most 5 %: a wrong name must beat the true quickest, one comparison for each of the s - 1 sets
    that could be named, each of which fails at most once in 20(s - 1). The true quickest stays among those not beaten
    in at least 95 %, by the same sum. (The question: multiple comparisons with the best, Hsu 1996, and subset
    selection, Gupta 1965, both from memory; the bound is our own.) Of two sets the pair's own verdict answers.
    """
    places = tuple(sorted(figures))
    if len(places) < 2:
        return Quickest(verdict=NOT_ASKED, sets=(), asked=(), level=None)
    if len(places) == 2:
        return _of_two(places, pairs)
    one_sided = 1.0 - 0.05 / (len(places) - 1)

    def beats(i: int, j: int) -> bool:
        if figures[j].value_ms <= figures[i].value_ms:
            return False
        found = difference(figures[i], figures[j], level=2.0 * one_sided - 1.0)
        return found.shift_ms - found.half_ms > 0.0

    for i in places:
        if all(beats(i, j) for j in places if j != i):
            return Quickest(verdict=NAMED, sets=(i,), asked=places, level=one_sided)
    left = tuple(j for j in places if not any(beats(i, j) for i in places if i != j))
    return Quickest(verdict=ONE_OF, sets=left, asked=places, level=one_sided)


def _of_two(places: tuple[int, ...], pairs: Sequence[Pair]) -> Quickest:
    pair = next(pair for pair in pairs if (pair.a, pair.b) == places)
    if pair.verdict == DIFFERENT and pair.shift_ms is not None:
        named = pair.a if pair.shift_ms > 0.0 else pair.b
        return Quickest(verdict=NAMED, sets=(named,), asked=places, level=pair.level)
    return Quickest(verdict=ONE_OF, sets=places, asked=places, level=pair.level)


def rank_of(place: int, figures: Mapping[int, SetFigure], pairs: Sequence[Pair]) -> tuple[int, int]:
    """Return the best and the worst place a set can have, by the pairs that are surely different."""
    quicker, slower = 0, 0
    for pair in pairs:
        if place not in (pair.a, pair.b) or pair.verdict != DIFFERENT or pair.shift_ms is None:
            continue
        own_shift = pair.shift_ms if pair.b == place else -pair.shift_ms
        quicker, slower = quicker + (own_shift > 0.0), slower + (own_shift < 0.0)
    return 1 + quicker, len(figures) - slower
