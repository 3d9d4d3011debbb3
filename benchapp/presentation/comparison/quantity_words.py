"""Quantities of sweeps and holds of two sets in words: both values, and what follows from them."""

from collections.abc import Iterator
from dataclasses import dataclass

from benchapp.presentation.comparison.side_words import quantity_words
from benchapp.presentation.ground.numbers import digits, interval_places, sentence_start, with_unit
from benchapp.records.comparison import CANNOT_TELL, DIFFERENT, SHOWN, Pair, QuantityPair

VERDICTS = {DIFFERENT: "different", CANNOT_TELL: "cannot tell", SHOWN: "shown, not judged"}


@dataclass(frozen=True, kw_only=True, slots=True)
class QuantityRow:
    """One row: what it is, both values with their unit, and the verdict."""

    name: str
    a: str
    b: str
    verdict: str


def quantity_rows(pair: Pair) -> Iterator[QuantityRow]:
    """Yield the quantities of a pair, both values to the place that their difference's interval leaves a meaning."""
    for one in pair.quantities:
        name, unit = quantity_words(one.key)
        yield QuantityRow(
            name=sentence_start(name),
            a=_value(one, one.a, unit),
            b=_value(one, one.b, unit),
            verdict=VERDICTS.get(one.verdict, one.verdict),
        )


def _value(one: QuantityPair, value: float, unit: str) -> str:
    if one.ci is None or one.in_log:
        return digits(value, 3, unit)
    return with_unit(value, interval_places(one.ci), unit)
