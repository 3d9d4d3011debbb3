"""Sessions compared: opened one by one, put into sets, and every question asked whose answer nobody wrote down."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path

from benchapp.desk.loading import Loaded, load
from benchapp.desk.names import shown
from benchapp.presentation.comparison.side_words import set_labels
from benchapp.records.comparison import (
    ANSWERED_NO,
    ANSWERED_YES,
    APART_IN_TIME,
    NOT_KNOWN,
    SAID,
    Between,
    ComparedSession,
    Comparison,
    RunSpan,
)
from benchapp.records.errors import BenchError, WrongCall, WrongInput
from benchapp.records.events import SET
from benchapp.reduction.comparing.comparing import WantedSet, compare

MOST_SETS = 50
APART = timedelta(hours=12)
"""Sessions of a set that began further apart are distinct switch-ons: nobody leaves a transmitter on for so long (from
experience, no source)."""

Answer = bool | None
Ask = Callable[[str, str], Answer]
"""Asked with the names of two sessions whether the set was switched off and on between them; None: not known."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Refused:
    """A session that could not be taken in, with the reason."""

    path: Path
    why: str


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Compared:
    """A comparison with the sessions it rests on, in the order of their places; labels : what each set is called."""

    comparison: Comparison
    sessions: tuple[Loaded, ...]
    labels: tuple[str, ...]
    paths: tuple[Path, ...]
    between: tuple[Between, ...] = ()
    refused: tuple[Refused, ...] = ()


def compare_sessions(
    paths: Sequence[Path], *, by_set: bool = False, aim_ms: float | None = None, ask: Ask = lambda _one, _other: None
) -> Compared:
    """Return the sessions side by side; the files are not changed.

    by_set : sessions of the same set are taken together; else each is a set of its own
    A session that cannot be read is left out and said, as long as two sets remain. Raises WrongCall for fewer than two
    sets or more than MOST_SETS, WrongInput for one session twice, and for practice and real sessions under one name.
    """
    if len(paths) < 2:
        raise WrongCall("Comparing needs two sessions at least. Name two or more.")
    taken, opened, refused = _opened(paths)
    if len(opened) < 2:
        raise _too_few(refused)
    _check_once(taken, opened)
    sets = _sets(opened, taken, by_set=by_set)
    _check_number(sets)
    between = tuple(one for wanted in sets for one in _between(wanted, opened, taken, ask))
    fresh = {one.after for one in between if one.distinct}
    sessions = [replace(compared_session(one), fresh=place in fresh) for place, one in enumerate(opened)]
    found = compare(sessions, sets, aim_ms=aim_ms)
    return Compared(
        comparison=found,
        sessions=tuple(opened),
        labels=set_labels([one.name for one in sets], [taken[one.sessions[0]].stem for one in sets]),
        paths=tuple(taken),
        between=between,
        refused=tuple(refused),
    )


def compared_session(loaded: Loaded) -> ComparedSession:
    """Return a loaded session as it goes into a comparison."""
    spans = {
        run.run: RunSpan(
            start_ns=run.start_ns, stop_ns=run.stop_ns, pick_up=run.pick_up, stopped_itself=run.stopped_itself
        )
        for run in loaded.runs
    }
    return ComparedSession(facts=loaded.facts, findings=loaded.findings, spans=spans)


def _opened(paths: Sequence[Path]) -> tuple[list[Path], list[Loaded], list[Refused]]:
    taken, opened, refused = [], [], []
    for path in paths:
        try:
            opened.append(load(path))
            taken.append(path)
        except BenchError as error:
            refused.append(Refused(path=path, why=error.message))
    return taken, opened, refused


def _too_few(refused: Sequence[Refused]) -> WrongInput:
    why = " ".join(_named(one) for one in refused)
    return WrongInput(f"Fewer than two of these sessions can be read, so there is nothing to compare. {why}")


def _named(one: Refused) -> str:
    return one.why if shown(one.path) in one.why or shown(one.path.name) in one.why else f"{shown(one.path)}: {one.why}"


def _check_once(paths: Sequence[Path], opened: Sequence[Loaded]) -> None:
    seen: dict[str, Path] = {}
    for path, loaded in zip(paths, opened, strict=True):
        code = loaded.facts.evidence_hash
        if code in seen:
            raise WrongInput(
                f"{shown(seen[code])} and {shown(path)} hold the same session, evidence code {code}. Name it once."
            )
        seen[code] = path


def _check_number(sets: Sequence[WantedSet]) -> None:
    if len(sets) < 2:
        raise WrongCall(f"All of these sessions are of one set, {shown(sets[0].name)}; comparing needs two at least.")
    if len(sets) > MOST_SETS:
        raise WrongCall(f"These are {len(sets)} sets; up to {MOST_SETS} can be compared. Name fewer.")


def set_name(loaded: Loaded) -> str:
    """Return the name of the set a session is about, blanks collapsed; "" where it names none."""
    return " ".join(loaded.facts.bench.get(SET, "").split())


def _sets(opened: Sequence[Loaded], paths: Sequence[Path], *, by_set: bool) -> list[WantedSet]:
    """Return the sets in the order of their first sessions; each one's sessions in the order of their dates."""
    together: dict[str, list[int]] = {}
    for place, loaded in enumerate(opened):
        name = set_name(loaded).casefold() if by_set else ""
        together.setdefault(f"set {name}" if name else f"session {place}", []).append(place)
    return [_wanted(places, opened, paths, by_set=by_set) for places in together.values()]


def _wanted(places: list[int], opened: Sequence[Loaded], paths: Sequence[Path], *, by_set: bool) -> WantedSet:
    ordered = sorted(places, key=lambda place: _order(opened[place]))
    first = opened[ordered[0]]
    origins = {opened[place].facts.origin.value == "practice" for place in ordered}
    if len(origins) > 1:
        names = ", ".join(shown(paths[place]) for place in ordered)
        raise WrongInput(f"The set {shown(set_name(first))} holds practice and real sessions (origin): {names}.")
    name = (set_name(first) if by_set else "") or first.facts.name
    return WantedSet(name=name, sessions=tuple(ordered))


def _began(loaded: Loaded) -> float | None:
    """Return when a session began, [s]; None where it states no date, or none with its time zone."""
    try:
        moment = datetime.fromisoformat(loaded.facts.started or "")
    except ValueError:
        return None
    return moment.timestamp() if moment.tzinfo is not None else None


def _order(loaded: Loaded) -> tuple[bool, float]:
    """Return what sessions are put in order by: their dates, those without one at the end."""
    began = _began(loaded)
    return began is None, began or 0.0


def _between(wanted: WantedSet, opened: Sequence[Loaded], paths: Sequence[Path], ask: Ask) -> list[Between]:
    pairs = zip(wanted.sessions, wanted.sessions[1:], strict=False)
    return [Between(before=a, after=b, how=_how(a, b, opened, paths, ask)) for a, b in pairs]


def _how(a: int, b: int, opened: Sequence[Loaded], paths: Sequence[Path], ask: Ask) -> str:
    later, runs = opened[b], opened[b].runs
    first_ns = min((run.start_ns for run in runs), default=0)
    if any(at_ns <= first_ns for at_ns in later.facts.switched_on_ns):
        return SAID
    began, began_later = _began(opened[a]), _began(later)
    if began is not None and began_later is not None and began_later - began > APART.total_seconds():
        return APART_IN_TIME
    answer = ask(paths[a].name, paths[b].name)
    return NOT_KNOWN if answer is None else ANSWERED_YES if answer else ANSWERED_NO
