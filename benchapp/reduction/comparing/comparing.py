"""Sessions in, a comparison out: sets, pairs, and which is quickest."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import median

from benchapp.records.comparison import (
    NOT_ASKED,
    ComparedSession,
    ComparedSet,
    Comparison,
    Pair,
    Quickest,
)
from benchapp.records.findings import Latency
from benchapp.records.method import FEWEST_ANSWERED
from benchapp.records.named_tests import names_of_tests
from benchapp.records.power_ups import PowerUp
from benchapp.reduction.comparing.pairs import all_pairs, is_comparable
from benchapp.reduction.comparing.power_ups import on_the_leading_edge, power_ups
from benchapp.reduction.comparing.quantities import quantities_of
from benchapp.reduction.comparing.quickest import quickest, rank_of
from benchapp.reduction.comparing.set_figure import set_figure
from benchapp.reduction.comparing.set_parts import RunPart, like_parts, run_parts, wanted_test

TRAILING, LEADING = "mid", "mid_lead"
LEADING_EDGE = "leading-edge"
"""The note of a pair that was timed to the leading edge: its shift is not that of the headlines."""
RANGES_DIFFER_US = 50.0
"""Middles of two sets' output ranges this far apart: a longer pulse ends later, so the leading edge is compared."""


@dataclass(frozen=True, kw_only=True, slots=True)
class WantedSet:
    """A set by its name and its sessions, as places in the comparison in the order of their dates."""

    name: str
    sessions: tuple[int, ...]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class _Own:
    """What was gathered of one set: the runs that decide, those of other tests beside them, and all there are."""

    wanted: WantedSet
    parts: tuple[RunPart, ...]
    beside: tuple[RunPart, ...]
    every: tuple[RunPart, ...]
    power_ups: tuple[PowerUp, ...]


def compare(
    sessions: Sequence[ComparedSession], sets: Sequence[WantedSet], *, aim_ms: float | None = None
) -> Comparison:
    """Return the sets side by side. aim_ms : a difference that would matter to the reader, None where none is stated.

    All sets are timed to the same edge of the answering pulse: the trailing one, or, where their output ranges differ,
    the leading one.
    """
    every = [tuple(part for place in wanted.sessions for part in run_parts(place, sessions[place])) for wanted in sets]
    test = wanted_test(every, names_of_tests())
    gathered = [_gather(wanted, parts, test, sessions) for wanted, parts in zip(sets, every, strict=True)]
    point = _point(gathered)
    compared = [_compared_set(own, point) for own in gathered]
    pairs = all_pairs(compared, [bench_fields(wanted, sessions) for wanted in sets], aim_ms=aim_ms)
    if point == LEADING:
        pairs = tuple(replace(pair, notes=(LEADING_EDGE,)) if pair.shift_ms is not None else pair for pair in pairs)
    asked = _quickest(compared, pairs)
    figures = {place: own.figure for place, own in enumerate(compared) if own.figure is not None}
    ranked = [
        replace(own, rank=rank_of(place, {i: figures[i] for i in asked.asked}, pairs)) if place in asked.asked else own
        for place, own in enumerate(compared)
    ]
    return Comparison(sets=tuple(ranked), pairs=pairs, quickest=asked, test=test, point=point, aim_ms=aim_ms)


def bench_fields(wanted: WantedSet, sessions: Sequence[ComparedSession]) -> dict[str, str]:
    """Return what was noted of a set's bench; a field on which its sessions disagree holds all they say."""
    fields: dict[str, list[str]] = {}
    for place in wanted.sessions:
        for key, text in sessions[place].facts.bench.items():
            fields.setdefault(key, []).append(" ".join(text.split()))
    return {key: " / ".join(dict.fromkeys(texts)) for key, texts in fields.items()}


def _gather(wanted: WantedSet, every: tuple[RunPart, ...], test: str, sessions: Sequence[ComparedSession]) -> _Own:
    parts = like_parts(every, test)
    main = parts[0].likeness.test if parts else ""
    others = (name for name in names_of_tests() if name != main)
    beside = tuple(
        part for name in others for part in like_parts([one for one in every if one.likeness.test == name], name)
    )
    return _Own(wanted=wanted, parts=parts, beside=beside, every=every, power_ups=power_ups(parts, sessions))


def _point(gathered: Sequence[_Own]) -> str:
    middles = [
        median((trial.before_us + trial.after_us) / 2.0 for one in own.power_ups for trial in one.trials)
        for own in gathered
        if own.power_ups
    ]
    return LEADING if middles and max(middles) - min(middles) > RANGES_DIFFER_US else TRAILING


def _compared_set(own: _Own, point: str) -> ComparedSet:
    latencies = [part.run.own(Latency) for part in own.parts if part.compared.timed]
    flips, answered = sum(one.flips for one in latencies), sum(len(one.trials) for one in latencies)
    ups = own.power_ups if point == TRAILING else tuple(on_the_leading_edge(one) for one in own.power_ups)
    enough = answered >= FEWEST_ANSWERED
    return ComparedSet(
        name=own.wanted.name,
        sessions=own.wanted.sessions,
        likeness=own.parts[0].likeness if own.parts else None,
        timed=bool(own.parts) and own.parts[0].compared.timed,
        figure=set_figure(ups, own.parts, flips=flips) if enough else None,
        power_ups=ups,
        quantities=quantities_of((*own.parts, *own.beside)),
        answered=answered,
        flips=flips,
        left_out=tuple((part.session, part.run.run) for part in own.every if part not in (*own.parts, *own.beside)),
    )


def _quickest(sets: Sequence[ComparedSet], pairs: Sequence[Pair]) -> Quickest:
    """Return which is quickest of all sets with a figure; not asked where any two of these are no same test."""
    figures = {place: own.figure for place, own in enumerate(sets) if own.figure is not None}
    timed = [sets[place] for place in figures]
    if any(not is_comparable(timed[0], other) for other in timed[1:]):
        return Quickest(verdict=NOT_ASKED, sets=(), asked=(), level=None)
    return quickest(figures, pairs)
