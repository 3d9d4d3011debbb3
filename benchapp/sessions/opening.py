"""A session opened for reading, whoever wrote it: checked, folded, and never changed."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from types import MappingProxyType, TracebackType
from typing import Self, cast

import numpy as np

from benchapp.records.events import SWITCHED_ON, Event, EventKind
from benchapp.records.leads import Stretch
from benchapp.records.photo import PHOTO, photo_of
from benchapp.records.run import PickUp, RunEvidence, SessionFacts
from benchapp.records.stream import LOST_END, ClockPairs, Edges, Gap, Levels
from benchapp.sessions.blocks import NO_LEAD, Block, BlockKind, Place, Series, joined, record_of, unpack_block
from benchapp.sessions.evidence import fold_runs, missing_stops
from benchapp.sessions.hashing import evidence_hash
from benchapp.sessions.lock import Saved, saved_note
from benchapp.sessions.missing import Missing, missing_end
from benchapp.sessions.naming import shown_name, sidecars
from benchapp.sessions.packing import Values
from benchapp.sessions.reading import StoredRows, read_beyond, read_rows
from benchapp.sessions.rows import Head
from benchapp.sessions.runs import run_start_of
from benchapp.sessions.scanning import Scan, scan

_FIRST_NS, _LAST_NS = -(1 << 63), (1 << 63) - 1
_NOTHING: dict[BlockKind, Values] = {
    BlockKind.EDGES: np.empty(0, dtype=np.uint8),
    BlockKind.LEVELS: np.empty(0, dtype=np.uint16),
    BlockKind.CLOCK: np.empty(0, dtype=np.int64),
}

NAME = "name"
"""The field of what is on the bench that names the session."""


class SessionReader:
    """The whole of one session, held packed in memory: the file is closed again once it is made.

    damage holds a sentence for everything that does not match its check, kept says what there is of a session that
    was not closed, "" for one that was; missing its end that was saved and is not here, None where nothing is known to
    be missing. Records are unpacked when asked for.
    """

    def __init__(self, path: Path, content: Scan, rows: StoredRows) -> None:
        self.path = path
        self.live = rows.live
        self.stretches: tuple[Stretch, ...] = content.stretches
        self.events: tuple[Event, ...] = content.events
        self.descriptors = content.descriptors
        self._content = content
        self.head: Head = content.head
        self.closed = content.head.evidence_hash is not None
        stops = [] if self.closed else missing_stops(self.events, self)
        self.evidence_hash = evidence_hash(
            [(stretch, self.descriptors[stretch.number]) for stretch in self.stretches],
            content.digests,
            [*self.events, *stops],
        )
        self.missing = None if self.closed or self.live else self._missing(rows)
        self.damage: tuple[str, ...] = (*content.damage, *self._lost_ends(), *self._beyond(rows))
        if self.missing is not None:
            self.damage += (self.missing.sentence,)
        if self.closed and self.evidence_hash != content.head.evidence_hash:
            self.damage += (
                f"The evidence code of what could be read is {self.evidence_hash}, not "
                f"{str(content.head.evidence_hash)[:80]} as when the session was closed.",
            )

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        return None

    @property
    def packed(self) -> tuple[Block, ...]:
        """The blocks that are whole, place by place in order of their first records, whenever each was saved."""
        return tuple(block for blocks in self._content.blocks.values() for block in blocks)

    @property
    def good_blocks(self) -> int:
        """The number of blocks that are whole."""
        return self._content.good

    @property
    def blocks(self) -> int:
        """The number of blocks that are whole or known to be lost."""
        return self._content.good + self._content.lost

    @property
    def saved(self) -> Saved:
        """How far the session is saved, as far as it can be read."""
        last_ns = max((last for last in self._content.last_ns.values() if last is not None), default=0)
        return Saved(records=sum(block.count for block in self.packed), last_ns=last_ns)

    @property
    def kept(self) -> str:
        """What there is of a session that was not closed, as the end of a sentence; "" for one that was."""
        if self.closed:
            return ""
        how = "is still being recorded" if self.live else "was stopped early"
        missing = f", and {self.missing.short}" if self.missing is not None else ""
        return f"{how}; {self.good_blocks} of {self.blocks} blocks good{missing}"

    def _missing(self, rows: StoredRows) -> Missing | None:
        content = self._content
        return missing_end(
            rows,
            self.path,
            saved=saved_note(self.path, whose=content.head.check),
            records=sum(block.count for block in self.packed),
            last_ns=max((last for last in content.last_ns.values() if last is not None), default=None),
            counted=content.lost == 0,
        )

    def _lost_ends(self) -> list[str]:
        """Return a sentence for each end that was missing already when this session was copied."""
        gaps = [gap for gaps in self._content.gaps.values() for gap in gaps if gap.cause == LOST_END]
        return [f"What was saved after {gap.from_ns / 1e9:.3f} s was missing when this copy was made." for gap in gaps]

    def _beyond(self, rows: StoredRows) -> list[str]:
        if not rows.read_beyond:
            return []
        name = shown_name(sidecars(self.path)[0])
        return [f"{name} is damaged in one place; what lies behind it was read as far as it matches its own checks."]

    @cached_property
    def facts(self) -> SessionFacts:
        """What the session says of itself, beside its runs."""
        head = self._content.head
        bench = {key: _typed(value) for event in self._of(EventKind.BENCH) for key, value in event.detail.items()}
        starts = [start for start in map(run_start_of, self._of(EventKind.RUN_START)) if start is not None]
        return SessionFacts(
            name=bench.pop(NAME, "") or head.name,  # it may be given, or given again, until the session ends
            started=head.started,
            origin=self._content.origin,
            pick_up=starts[0].pick_up if starts else PickUp.UNKNOWN,
            evidence_hash=self.evidence_hash,
            software=head.software,
            bench=MappingProxyType({key: text for key, text in bench.items() if key != PHOTO}),
            safety=_answers(self._of(EventKind.SAFETY)),
            put_back=_answers(self._of(EventKind.PUT_BACK)),
            notes=tuple(_typed(event.detail.get("text")) for event in self._of(EventKind.NOTE)),
            damage=self.damage,
            photo=photo_of(bench.get(PHOTO, "")),
            switched_on_ns=tuple(
                sorted(event.at_ns for event in self._of(EventKind.BENCH) if event.detail.get(SWITCHED_ON))
            ),
        )

    def _of(self, kind: EventKind) -> list[Event]:
        return [event for event in self.events if event.kind is kind]

    def runs(self) -> tuple[RunEvidence, ...]:
        """Return the runs in order of their starts, each with its own leads, unpacked when first asked for."""
        return fold_runs(self.events, self, origin=self._content.origin, damaged=bool(self.damage))

    def last_ns(self, stretch: int) -> int | None:
        """Return the last stamp of a stretch, None where nothing was recorded in it."""
        return self._content.last_ns.get(stretch)

    def edges(self, stretch: int, lead: int, from_ns: int = _FIRST_NS, to_ns: int = _LAST_NS) -> Edges:
        """Return a lead's edges from one stamp to another, both included; none where it recorded none."""
        place = Place(stretch=stretch, kind=BlockKind.EDGES, lead=lead)
        return cast("Edges", record_of(place, self._series(place, from_ns, to_ns)))

    def levels(self, stretch: int, lead: int, from_ns: int = _FIRST_NS, to_ns: int = _LAST_NS) -> Levels:
        """Return a lead's samples from one stamp to another, both included; none where it recorded none."""
        place = Place(stretch=stretch, kind=BlockKind.LEVELS, lead=lead)
        return cast("Levels", record_of(place, self._series(place, from_ns, to_ns)))

    def clock(self, stretch: int, from_ns: int = _FIRST_NS, to_ns: int = _LAST_NS) -> ClockPairs | None:
        """Return the clock pairs between two stamps of the probe, None where there are none."""
        place = Place(stretch=stretch, kind=BlockKind.CLOCK, lead=NO_LEAD)
        series = self._series(place, from_ns, to_ns)
        return cast("ClockPairs", record_of(place, series)) if series.times_ns.size else None

    def gaps(
        self, stretch: int, lead: int | None = None, from_ns: int = _FIRST_NS, to_ns: int = _LAST_NS
    ) -> tuple[Gap, ...]:
        """Return the gaps that touch a lead (None: any) between two stamps, those of lost blocks included, sorted."""
        found = [
            gap
            for gap in self._content.gaps.get(stretch, ())
            if gap.to_ns >= from_ns and gap.from_ns <= to_ns and (lead is None or not gap.leads or lead in gap.leads)
        ]
        return tuple(sorted(found, key=lambda gap: (gap.from_ns, gap.to_ns)))

    def _series(self, place: Place, from_ns: int, to_ns: int) -> Series:
        """Return the records of a place from one stamp to another, both included."""
        blocks = self._content.blocks.get(place, ())
        parts = [unpack_block(block) for block in blocks if block.last_ns >= from_ns and block.first_ns <= to_ns]
        if not parts:
            return Series(times_ns=np.empty(0, dtype=np.int64), values=_NOTHING[place.kind])
        whole = joined(parts)
        start = int(np.searchsorted(whole.times_ns, from_ns, side="left"))
        stop = int(np.searchsorted(whole.times_ns, to_ns, side="right"))
        return whole.slice(start, stop)


def _typed(value: object) -> str:
    return value if isinstance(value, str) else "" if value is None else str(value)


def _answers(events: Sequence[Event]) -> tuple[tuple[str, str], ...]:
    """Return (line, answer) for every line in the order it was first asked, with its last answer."""
    answers: dict[str, str] = {}
    for event in events:
        answers[_typed(event.detail.get("line"))] = _typed(event.detail.get("answer"))
    return tuple(answers.items())


def open_session(path: Path, *, own_lock: bool = False) -> SessionReader:
    """Return the session in a file, checked as far as it can be; the file is not changed and not kept open.

    A session that is damaged in parts is returned with its damage in words and a gap for every block that is lost.
    Raises WrongInput for anything that is no session, NewerSession for one this program cannot read yet, and
    DamagedEvidence where nothing in it can be read. own_lock: the caller holds the session's lock and is not writing.
    """
    rows = read_rows(path, own_lock=own_lock)
    session = SessionReader(path, scan(rows, path), rows)
    if not rows.beyond or (session.missing is None and not session.closed):
        return session  # the step a kill cut short was never said to be saved
    further = read_beyond(path, rows)
    return session if further is None else SessionReader(path, scan(further, path), further)


@dataclass(frozen=True, kw_only=True, slots=True)
class Verification:
    """What a check of a session found. blocks counts the whole ones and those known to be lost."""

    ok: bool
    blocks: int
    damaged: tuple[str, ...]
    evidence_hash: str
    kept: str


def verify(path: Path) -> Verification:
    """Return what a check of every row, every block and the evidence hash finds. Raises as open_session does."""
    session = open_session(path)
    return Verification(
        ok=not session.damage,
        blocks=session.blocks,
        damaged=session.damage,
        evidence_hash=session.evidence_hash,
        kept=session.kept,
    )
