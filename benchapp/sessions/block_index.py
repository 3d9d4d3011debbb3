"""An index of a session's blocks by place: which are whole, which are not, and what time the lost ones covered."""

from collections.abc import Sequence

from benchapp.records.leads import LeadKind, Stretch
from benchapp.records.stream import LOST_BLOCK, Gap
from benchapp.sessions.blocks import NO_LEAD, Block, BlockKind, Place, row_check, unpack_block, unpack_gaps
from benchapp.sessions.hashing import PlaceDigest, place_order
from benchapp.sessions.packing import BadBlock
from benchapp.sessions.reading import Row, StoredRows

_MOST_NAMED = 10
_KIND_OF_LEAD = {LeadKind.LEVEL: BlockKind.LEVELS}
_KINDS = {kind.value: kind for kind in BlockKind}


def is_int(value: object) -> bool:
    """Return whether a cell is a whole number."""
    return type(value) is int


def _block_of(row: Row, known: frozenset[int]) -> Block | None:
    """Return the block of a row, its data not yet looked at; None where its other cells do not match their check."""
    _, stretch, kind, lead, number, first_ns, last_ns, count, data_check, check, data = row
    whole = all(map(is_int, (stretch, lead, number, first_ns, last_ns, count, data_check)))
    if not whole or type(kind) is not str or type(data) is not bytes or check != row_check(*row[1:9]):
        return None
    if kind not in _KINDS or number < 0 or stretch not in known:
        return None
    return Block(
        place=Place(stretch=stretch, kind=_KINDS[kind], lead=lead),
        number=number,
        first_ns=first_ns,
        last_ns=last_ns,
        count=count,
        data=data,
    )


class LeadBlocks:
    """The blocks of one lead's records of one kind, in order of their number; damaged ones stand apart."""

    def __init__(self, place: Place) -> None:
        self.place = place
        self.good: list[Block] = []
        self.lost: list[Block] = []
        self.gaps: list[Gap] = []
        self.digest = PlaceDigest()

    def take(self, block: Block, data_check: int) -> None:
        """Take the next block, among the good ones where it is whole and follows them."""
        try:
            if block.data_check != data_check:
                raise BadBlock("the data do not match their check")
            self._unpack(block)
        except BadBlock:
            self.lost.append(block)
        else:
            self.good.append(block)

    def _unpack(self, block: Block) -> None:
        before = self.good[-1] if self.good else None
        if self.place.kind is BlockKind.GAPS:
            gaps = unpack_gaps(block)
            self.digest.feed_gaps(gaps)
            self.gaps += gaps
            return
        if before is not None and block.first_ns < before.last_ns:
            raise BadBlock("the stamps go back from one block to the next")
        self.digest.feed(unpack_block(block))

    @property
    def holes(self) -> list[tuple[int | None, int, int]]:
        """Where no block has a number: (last stamp before or None, first stamp after, how many numbers)."""
        found: list[tuple[int | None, int, int]] = []
        last_ns, wanted = None, 0
        for block in sorted((*self.good, *self.lost), key=lambda block: block.number):
            if block.number > wanted:
                found.append((last_ns, block.first_ns, block.number - wanted))
            last_ns, wanted = block.last_ns, block.number + 1
        return found

    @property
    def last_ns(self) -> int:
        """The last stamp that any of its blocks names."""
        return max(block.last_ns for block in (*self.good, *self.lost))

    @property
    def first_ns(self) -> int:
        """The first stamp that any of its blocks names."""
        return min(block.first_ns for block in (*self.good, *self.lost))

    def lost_gaps(self, begin_ns: int) -> list[Gap]:
        """Return a gap for every block of edges, samples or gaps that is damaged or not there."""
        if self.place.kind is BlockKind.CLOCK:
            return []
        spans = [(block.first_ns, block.last_ns) for block in self.lost]
        spans += [(begin_ns if before is None else before, after) for before, after, _ in self.holes]
        leads = () if self.place.lead == NO_LEAD else (self.place.lead,)
        return [Gap(leads=leads, from_ns=start, to_ns=end, cause=LOST_BLOCK) for start, end in sorted(spans)]


class BlockIndex:
    """All blocks of a session, sorted by stretch, kind and lead, with how many there are and how many there were."""

    def __init__(self, rows: StoredRows, stretches: Sequence[Stretch]) -> None:
        known = frozenset(stretch.number for stretch in stretches)
        self.by_place: dict[Place, LeadBlocks] = {}
        found = [(_block_of(row, known), row[8]) for row in rows.block]
        placed = [(block, check) for block, check in found if block is not None]
        for block, check in sorted(placed, key=lambda item: item[0].number):
            self.by_place.setdefault(block.place, LeadBlocks(block.place)).take(block, check)
        everywhere = self.by_place.values()
        self.good = sum(len(blocks.good) for blocks in everywhere)
        missing = sum(count for blocks in everywhere for _, _, count in blocks.holes)
        placeless = len(found) - len(placed)
        self.lost = sum(len(blocks.lost) for blocks in everywhere) + max(placeless, missing)
        self.may_lack_ends = placeless > missing or "block" in rows.unreadable

    def begin_ns(self, stretch: Stretch) -> int:
        """Return the first stamp of a stretch."""
        mine = [blocks for place, blocks in self.by_place.items() if place.stretch == stretch.number]
        return min([stretch.origin_ns, *(blocks.first_ns for blocks in mine)])

    def last_ns(self, stretch: int) -> int | None:
        """Return the last stamp of a stretch, None where nothing was recorded in it."""
        mine = [blocks.last_ns for place, blocks in self.by_place.items() if place.stretch == stretch]
        return max(mine, default=None)

    def gaps(self, stretch: Stretch, end_ns: int) -> tuple[Gap, ...]:
        """Return the gaps of a stretch: those recorded, and one for every block that is damaged or not there."""
        mine = [blocks for place, blocks in self.by_place.items() if place.stretch == stretch.number]
        begin_ns = self.begin_ns(stretch)
        gaps = [gap for blocks in mine for gap in (*blocks.gaps, *blocks.lost_gaps(begin_ns))]
        return (*gaps, *(self._ends(stretch, begin_ns, end_ns) if self.may_lack_ends else ()))

    def _ends(self, stretch: Stretch, begin_ns: int, end_ns: int) -> list[Gap]:
        """Return a gap from the last stamp of every lead to the end: the last block of any of them may be missing.

        So may the last gaps recorded, and they may lie anywhere after the ones before them.
        """
        end_ns = max(end_ns, self.last_ns(stretch.number) or begin_ns)
        places = [((lead.index,), _KIND_OF_LEAD.get(lead.kind, BlockKind.EDGES), lead.index) for lead in stretch.leads]
        gaps = []
        for leads, kind, index in (*places, ((), BlockKind.GAPS, NO_LEAD)):
            blocks = self.by_place.get(Place(stretch=stretch.number, kind=kind, lead=index))
            start_ns = begin_ns if blocks is None else blocks.last_ns
            gaps.append(Gap(leads=leads, from_ns=start_ns, to_ns=end_ns, cause=LOST_BLOCK))
        return gaps

    @property
    def damage(self) -> str:
        """What is lost, in one sentence; "" for nothing."""
        if not self.lost:
            return ""
        places = []
        for place, blocks in sorted(self.by_place.items(), key=lambda item: place_order(item[0])):
            whose = place.kind.value if place.lead == NO_LEAD else f"{place.kind.value} of lead {place.lead}"
            spans = [(block.first_ns, block.last_ns) for block in blocks.lost]
            spans += [(after if before is None else before, after) for before, after, _ in blocks.holes]
            places += [f"{whose} from {start / 1e9:.3f} s to {end / 1e9:.3f} s" for start, end in sorted(spans)]
        more = f", and {len(places) - _MOST_NAMED} more" if len(places) > _MOST_NAMED else ""
        where = ", ".join(places[:_MOST_NAMED]) + more
        return f"{self.lost} of {self.good + self.lost} blocks damaged, left out{': ' if where else ''}{where}."
