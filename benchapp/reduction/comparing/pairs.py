"""Every two sets: different, not to be told apart, or not the same test."""

from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from itertools import combinations

from benchapp.records.comparison import (
    CANNOT_TELL,
    DIFFERENT,
    FEW_SWITCH_ONS,
    NOT_THE_SAME_TEST,
    ONE_POWER_UP,
    PHASE_LOCKED,
    SHOWN,
    SWITCH_ON_UNIT,
    TOO_FEW_FLIPS,
    ComparedSet,
    Likeness,
    More,
    Pair,
    SetFigure,
)
from benchapp.records.events import SET, SWITCHED_ON
from benchapp.records.findings import ONE_FRAME
from benchapp.reduction.comparing.difference import alike_p, difference
from benchapp.reduction.comparing.holm import holm
from benchapp.reduction.comparing.how_many_more import more_units
from benchapp.reduction.comparing.quantity_pairs import quantity_pairs
from benchapp.reduction.comparing.rank_tests import hodges_lehmann, mann_whitney_p
from benchapp.reduction.flips.switch_ons import MANY_SWITCH_ONS

ERROR_SHARE = 0.05
"""What all "different" of a comparison together may be wrong in."""
PRIVATE = frozenset((SET, SWITCHED_ON, "job", "customer", "serial_transmitter", "serial_receiver", "limits"))
"""Fields of the bench that are no fact of what is under test, or nobody else's business."""


def all_pairs(
    sets: Sequence[ComparedSet], benches: Sequence[Mapping[str, str]], *, aim_ms: float | None = None
) -> tuple[Pair, ...]:
    """Return every pair of sets, a before b, at the level 1 - 0.05/m for m pairs that can be told apart.

    benches : what was noted of each set;  aim_ms : a difference that would matter
    """
    places = list(combinations(range(len(sets)), 2))
    judged = sum(_is_judged(sets[a], sets[b]) for a, b in places)
    share = ERROR_SHARE / max(judged, 1)
    pairs = [_pair(a, b, sets, benches, share=share, aim_ms=aim_ms) for a, b in places]
    known = [place for place, pair in enumerate(pairs) if pair.p is not None]
    for place, adjusted in zip(known, holm([pairs[i].p or 0.0 for i in known]), strict=True):
        pairs[place] = replace(pairs[place], p_adjusted=adjusted)
    return tuple(pairs)


def is_comparable(a: ComparedSet, b: ComparedSet) -> bool:
    """Return whether two sets went through the same test."""
    return not unlike(a.likeness, b.likeness)


def unlike(a: Likeness | None, b: Likeness | None) -> tuple[str, ...]:
    """Return the names of the fields that make two tests unlike, () for none.

    None stands for a set without a test to compare. Where the tests differ, only the origin is named beside.
    """
    if a is None or b is None:
        return ("test",)
    names = tuple(field.name for field in fields(Likeness) if getattr(a, field.name) != getattr(b, field.name))
    return tuple(name for name in names if name in ("test", "origin")) if "test" in names else names


def _is_judged(a: ComparedSet, b: ComparedSet) -> bool:
    return is_comparable(a, b) and (not a.timed or (a.figure is not None and b.figure is not None))


def _pair(
    a: int,
    b: int,
    sets: Sequence[ComparedSet],
    benches: Sequence[Mapping[str, str]],
    *,
    share: float,
    aim_ms: float | None,
) -> Pair:
    one, other = sets[a], sets[b]
    apart = unlike(one.likeness, other.likeness)
    if apart:
        return Pair(a=a, b=b, verdict=NOT_THE_SAME_TEST, differs_in=apart)
    found = Pair(a=a, b=b, verdict=CANNOT_TELL, differs_in=_differing(benches[a], benches[b]))
    if not one.timed:
        return _of_quantities(found, one, other, share)
    found = replace(found, quantities=quantity_pairs(one.quantities, other.quantities, level=1.0 - share))
    if one.figure is None or other.figure is None:
        return replace(found, reason=TOO_FEW_FLIPS)
    return _of_figures(found, one.figure, other.figure, share, aim_ms)


def _of_figures(pair: Pair, a: SetFigure, b: SetFigure, share: float, aim_ms: float | None) -> Pair:
    level = 1.0 - share
    found = difference(a, b, level=level)
    low, high = found.shift_ms - found.half_ms, found.shift_ms + found.half_ms
    told = low > 0.0 or high < 0.0
    several = a.units > 1 and b.units > 1
    hl, hl_interval = hodges_lehmann(a.unit_means_ms, b.unit_means_ms) if several else (None, None)
    p_alike = None if aim_ms is None else alike_p(found, aim_ms)
    return replace(
        pair,
        verdict=DIFFERENT if told else CANNOT_TELL,
        shift_ms=found.shift_ms,
        shift_ci_ms=(low, high),
        level=level,
        dof=found.dof,
        at_most_ms=max(abs(low), abs(high)),
        hl_shift_ms=hl,
        hl_ci95_ms=hl_interval,
        p=found.p,
        mw_p=mann_whitney_p(a.unit_means_ms, b.unit_means_ms) if several else None,
        reason=None if told else _reason(a, b),
        more=None if told else more_units(a, b, shift_ms=found.shift_ms, level=level),
        more_for_aim=_for_aim(a, b, aim_ms, told, level),
        alike=None if p_alike is None else p_alike < share,
        alike_p=p_alike,
    )


def _for_aim(a: SetFigure, b: SetFigure, aim_ms: float | None, told: bool, level: float) -> More | None:
    return None if aim_ms is None or told else more_units(a, b, shift_ms=aim_ms, level=level)


def _reason(a: SetFigure, b: SetFigure) -> str | None:
    if ONE_FRAME in (a.rule, b.rule):
        return ONE_POWER_UP
    if a.locked or b.locked:
        return PHASE_LOCKED
    few = any(one.unit == SWITCH_ON_UNIT and one.units < MANY_SWITCH_ONS for one in (a, b))
    return FEW_SWITCH_ONS if few else None


def _of_quantities(pair: Pair, a: ComparedSet, b: ComparedSet, share: float) -> Pair:
    """Return the pair of two sweeps or holds: different where any judged quantity is, all of them sharing the level."""
    level = 1.0 - share
    found = quantity_pairs(a.quantities, b.quantities, level=level)
    told = any(one.verdict == DIFFERENT for one in found)
    judged = any(one.verdict != SHOWN for one in found)
    return replace(
        pair,
        verdict=DIFFERENT if told else CANNOT_TELL,
        level=level if judged else None,
        reason=None if judged else SHOWN,
        quantities=found,
    )


def _differing(a: Mapping[str, str], b: Mapping[str, str]) -> tuple[str, ...]:
    """Return the fields of the bench on which two sets differ; one that only one of them notes differs too."""
    return tuple(key for key in sorted({*a, *b} - PRIVATE) if a.get(key, "") != b.get(key, ""))
