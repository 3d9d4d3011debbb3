"""What of a session's rows is whole: every row and block against its check, and what is missing put in words."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from benchapp.records.errors import DamagedEvidence
from benchapp.records.events import Event
from benchapp.records.leads import Stretch
from benchapp.records.run import Origin
from benchapp.records.stream import Gap
from benchapp.sessions.block_index import BlockIndex, is_int
from benchapp.sessions.blocks import Block, Place, row_check
from benchapp.sessions.content_limits import refuse_overfull, refuse_too_many_runs
from benchapp.sessions.evidence import run_spans_ns
from benchapp.sessions.hashing import PlaceDigest
from benchapp.sessions.naming import shown_name
from benchapp.sessions.reading import Row, StoredRows
from benchapp.sessions.rows import Head
from benchapp.sessions.texts import BadText, event_from, stretch_from


@dataclass(frozen=True, kw_only=True, slots=True)
class Scan:
    """What of a session is whole. blocks are in order; gaps hold one for every block that is not there.

    descriptors (the text of its row), gaps and last_ns (its last stamp, None where nothing was recorded) are by
    stretch; good and lost count blocks;
    damage holds one sentence for each thing that is wrong.
    """

    head: Head
    origin: Origin
    stretches: tuple[Stretch, ...]
    descriptors: Mapping[int, str]
    events: tuple[Event, ...]
    blocks: Mapping[Place, tuple[Block, ...]]
    gaps: Mapping[int, tuple[Gap, ...]]
    last_ns: Mapping[int, int | None]
    digests: Mapping[Place, PlaceDigest]
    good: int
    lost: int
    damage: tuple[str, ...]


def _is_date(text: str) -> bool:
    try:
        datetime.fromisoformat(text)
    except ValueError:
        return False
    return True


def _scan_head(rows: StoredRows, path: Path, damage: list[str]) -> tuple[Head, Origin]:
    cells = rows.session[0][1:] if rows.session else ()
    texts = [cell for cell in cells[:5] if cell is not None]
    nameless = len(cells) != 6 or None in (cells[0], cells[2], cells[3]) or not all(type(text) is str for text in texts)
    try:
        origin = Origin(cells[2])
    except (ValueError, IndexError):
        nameless = True
    if nameless:
        raise DamagedEvidence(f"{shown_name(path)} is damaged: what the session says of itself cannot be read.")
    name, started, _, software, code, check = cells
    if check != row_check(*cells[:5]):
        damage.append("What the session says of itself does not match its check.")
    if started is not None and not _is_date(started):
        damage.append("The session's start is no date; it is left out.")
        started = None
    return Head(name=name, started=started, origin=origin.value, software=software, evidence_hash=code), origin


def _scan_stretches(rows: StoredRows, damage: list[str]) -> tuple[Stretch, ...]:
    stretches = []
    for row in rows.stretch:
        number, start_id, origin_tick, origin_ns, tick_hz, text, check = row
        try:
            if not all(map(is_int, row[:5])) or type(text) is not str or check != row_check(*row[:6]):
                raise BadText("does not match its check")
            stretch = stretch_from(number, origin_tick, origin_ns, text)
            if (stretch.board.start_id, stretch.board.tick_hz) != (start_id, tick_hz):
                raise BadText("contradicts itself")
        except BadText as error:
            which = f"Stretch {number}" if is_int(number) else "A stretch without a number"
            damage.append(f"{which}: its description {error}; what it recorded is left out.")
            continue
        stretches.append(stretch)
    return tuple(stretches)


def _event_of(row: Row) -> Event | None:
    _, at_ns, run, kind, text, check = row
    right = is_int(at_ns) and (run is None or is_int(run)) and type(kind) is str and type(text) is str
    if not right or check != row_check(*row[1:5]):
        return None
    try:
        return event_from(at_ns, run, kind, text)
    except BadText:
        return None


def _scan_events(rows: StoredRows, damage: list[str]) -> tuple[Event, ...]:
    read = [_event_of(row) for row in rows.event]
    good = tuple(event for event in read if event is not None)
    if len(good) < len(read):
        damage.append(f"{len(read) - len(good)} of {len(read)} entries of the log are damaged, left out.")
    return good


def scan(rows: StoredRows, path: Path) -> Scan:
    """Return what of the rows is whole.

    Raises DamagedEvidence where not even the session's own row can be read, or where the rows say they hold more than
    a session can.
    """
    damage = [f"The file's structure is damaged: {rows.structure}."] if rows.structure else []
    head, origin = _scan_head(rows, path, damage)
    stretches = _scan_stretches(rows, damage)
    events = _scan_events(rows, damage)
    damage += [f"Parts of its table {table} cannot be read." for table in sorted(rows.unreadable)]
    refuse_overfull(rows.block, path)
    index = BlockIndex(rows, stretches)
    if index.damage:
        damage.append(index.damage)
    end_ns = max((event.at_ns for event in events), default=-(1 << 62))
    refuse_too_many_runs(run_spans_ns(events), path)
    return Scan(
        head=head,
        origin=origin,
        stretches=stretches,
        descriptors={row[0]: row[5] for row in rows.stretch},
        events=events,
        blocks={place: tuple(blocks.good) for place, blocks in index.by_place.items() if blocks.good},
        gaps={stretch.number: index.gaps(stretch, end_ns) for stretch in stretches},
        last_ns={stretch.number: index.last_ns(stretch.number) for stretch in stretches},
        digests={place: blocks.digest for place, blocks in index.by_place.items() if blocks.good},
        good=index.good,
        lost=index.lost,
        damage=tuple(damage),
    )
