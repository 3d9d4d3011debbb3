"""A practice bench behind a hostile probe: its frames are whole, and what stands in them is not to be believed."""

import random
import struct
from collections.abc import Callable

from benchapp.probe.framing import PAYLOAD_MAX, FrameSplitter, Spoilt, encode_frame
from benchapp.probe.link import Arrival, Link
from benchapp.probe.wire import Commands, Kind, pack_edges, pack_levels
from benchapp.records.errors import PortGone
from benchapp.records.run import Origin

READS = 4_000
"""Reads after which its cable is pulled, so that every recording ends."""
_TICKS = (0, 1, 1 << 31, (1 << 32) - 1, 1 << 32, 1 << 40, 1 << 62, (1 << 63) - 1, 1 << 63, (1 << 64) - 1)
_U32 = 0xFFFF_FFFF


class HostileLink:
    """Passes on what the bench says, some of it changed, and says more; every frame's check and number are right.

    How much it lies is drawn once, so that some of them get far and others never greet; some describe themselves
    wildly from the first frame on. frames counts the lies.
    """

    stands_still = True

    def __init__(self, link: Link, chance: random.Random) -> None:
        self._link, self._chance = link, chance
        self._share = chance.choice((0.002, 0.01, 0.05, 0.2, 0.5))
        self._from_read = chance.choice((0, 0, 30, 200, 600))
        self._favourite = chance.choice((None, None, *range(len(_LIES))))
        self._numbered = chance.random() < 0.9
        self._wild = chance.random() < 0.4
        self._described: dict[bytes, bytes] = {}
        self._splitter = FrameSplitter()
        self._seq = self.reads = self.frames = 0
        self._last: list[bytes] = []

    @property
    def name(self) -> str:
        return self._link.name

    @property
    def origin(self) -> Origin:
        return self._link.origin

    def read(self) -> Arrival:
        self.reads += 1
        if self.reads > READS:
            raise PortGone("The cable was pulled.")
        arrival = self._link.read()
        bodies = [body for body in self._splitter.feed(arrival.data) if not isinstance(body, Spoilt)]
        data = b"".join(self._said(body) for body in bodies)
        return Arrival(data=data, host_ns=arrival.host_ns)

    def write(self, data: bytes) -> None:
        self._link.write(data)

    def host_ns(self) -> int:
        return self._link.host_ns()

    def close(self) -> None:
        self._link.close()

    def _said(self, body: bytes) -> bytes:
        if self._wild and body[0] == Kind.DESCRIPTOR:
            body = body[:2] + self._described.setdefault(body[2:], _wild(body[2:], self._chance))
        self._last = [*self._last[-20:], body]
        if self.reads <= self._from_read or self._chance.random() >= self._share:
            return self._frame(body[0], body[2:])
        lie = self._favourite if self._favourite is not None else self._chance.randrange(len(_LIES))
        frames = _LIES[lie](self, body)
        self.frames += len(frames)
        return b"".join(self._frame(kind, payload) for kind, payload in frames)

    def _frame(self, kind: int, payload: bytes) -> bytes:
        whole = encode_frame(kind, self._seq, payload[:PAYLOAD_MAX])
        self._seq += 1 if self._numbered else self._chance.choice((1, 1, 1, 0, 7))
        return whole

    def random_frame(self, body: bytes) -> list[tuple[int, bytes]]:
        """A frame of chance after the true one."""
        chance = self._chance
        size = chance.randrange(PAYLOAD_MAX + 1)
        return [(body[0], body[2:]), (chance.randrange(1, 7), chance.randbytes(size))]

    def changed(self, body: bytes) -> list[tuple[int, bytes]]:
        """The true frame with some of its bytes others."""
        payload = bytearray(body[2:])
        for _ in range(self._chance.randrange(1, 4)):
            if payload:
                payload[self._chance.randrange(len(payload))] = self._chance.choice((0, 1, 0x7F, 0x80, 0xFF))
        return [(body[0], bytes(payload))]

    def lost(self, _body: bytes) -> list[tuple[int, bytes]]:
        """Nothing, and the numbers go on as if nothing was to be said."""
        return []

    def reply_to_nothing(self, body: bytes) -> list[tuple[int, bytes]]:
        """A reply nobody asked for, at a tick of its own."""
        chance = self._chance
        command = chance.choice((*Commands, 0, 99, Commands.START, Commands.START, Commands.START))
        reply = struct.pack("<BBBQ", command, chance.randrange(256), chance.choice((0, 0, 1, 3, 9)), self._tick())
        return [(body[0], body[2:]), (Kind.REPLY, reply + chance.randbytes(chance.choice((0, 4, 53))))]

    def heartbeat(self, body: bytes) -> list[tuple[int, bytes]]:
        """A heartbeat whose tick and counts are invented, its start id now and then the true one."""
        true = next((one[2:] for one in reversed(self._last) if one[0] == Kind.HEARTBEAT), bytes(30))
        fields = list(struct.unpack_from("<BQHBHIHHHBBI", true))
        for place in range(len(fields)):
            if self._chance.random() < (0.1 if place == 0 else 0.3):
                width = (8, 64, 16, 8, 16, 32, 16, 16, 16, 8, 8, 32)[place]
                fields[place] = self._tick() if place == 1 else self._chance.getrandbits(width)
        beat = struct.pack("<BQHBHIHHHBBI", *fields)
        return [(body[0], body[2:]), (Kind.HEARTBEAT, beat)]

    def edges(self, body: bytes) -> list[tuple[int, bytes]]:
        """Edges at far ticks, of leads that may not be there, going back and forth."""
        chance = self._chance
        count = chance.randrange(1, 13)
        tags = [chance.randrange(256) for _ in range(count)]
        ticks = [chance.choice((chance.getrandbits(32), self._tick() & _U32)) for _ in range(count)]
        return [(body[0], body[2:]), (Kind.EDGES, pack_edges(tags, ticks))]

    def samples(self, body: bytes) -> list[tuple[int, bytes]]:
        """Samples with a far step, of any lead."""
        chance = self._chance
        counts = [chance.randrange(1 << 16) for _ in range(chance.randrange(1, 17))]
        step = chance.choice((0, 1, 1 << 31, _U32, chance.getrandbits(32)))
        return [
            (body[0], body[2:]),
            (Kind.LEVELS, pack_levels(chance.randrange(16), chance.getrandbits(32), step, counts)),
        ]

    def descriptor(self, body: bytes) -> list[tuple[int, bytes]]:
        """A board of its own with wild leads: other numbers, sizes, roles and texts than before."""
        chance = self._chance
        count = chance.choice((0, 1, 3, 16, 255))
        hz = chance.choice((1_000, 999, 0, 16_000_000, _U32, chance.getrandbits(32)))
        board = struct.pack(
            "<BBIIBBHB", 0, 1, chance.getrandbits(32), hz, 32, chance.randrange(256), chance.choice((0, 65_535)), count
        )
        frames = [(Kind.DESCRIPTOR, board + _texts(chance, 47))]
        for lead in range(min(count, 16)):
            index = chance.choice((lead, lead, lead, chance.randrange(256)))
            wild = [chance.choice((0, 62_500, _U32, chance.getrandbits(32))) for _ in range(6)]
            head = struct.pack(
                "<BBBIIIIIIHHI",
                1,
                index,
                chance.randrange(4),
                *wild,
                *(chance.getrandbits(16) for _ in "ab"),
                chance.getrandbits(32),
            )
            frames.append((Kind.DESCRIPTOR, head + _texts(chance, 27)))
        return [(body[0], body[2:]), *frames]

    def again(self, body: bytes) -> list[tuple[int, bytes]]:
        """Something said before, once more."""
        return [(body[0], body[2:]), *((one[0], one[2:]) for one in self._chance.choices(self._last, k=3))]

    def flood(self, body: bytes) -> list[tuple[int, bytes]]:
        """The same frame a hundred times, or a hundred frames of chance."""
        if self._chance.random() < 0.5:
            return [(body[0], body[2:])] * 100
        return [frame for _ in range(100) for frame in self.random_frame(body)[1:]]

    def _tick(self) -> int:
        return self._chance.choice((*_TICKS, self._chance.getrandbits(64), self._chance.getrandbits(36)))


def _wild(payload: bytes, chance: random.Random) -> bytes:
    """Return the true descriptor with other numbers in it: whose it is and which leads there are stays."""
    fields = bytearray(payload)
    numbers = (
        {6: 4, 10: 1, 11: 1, 12: 2} if payload[0] == 0 else {**dict.fromkeys(range(3, 27, 4), 4), 27: 2, 29: 2, 31: 4}
    )
    for place, width in numbers.items():
        if chance.random() < 0.5:
            value = chance.choice((0, 1, 1_000, 16_000_000, (1 << 8 * width) - 1, chance.getrandbits(8 * width)))
            fields[place : place + width] = (value & ((1 << 8 * width) - 1)).to_bytes(width, "little")
    return bytes(fields)


def _texts(chance: random.Random, most: int) -> bytes:
    one = chance.choice((b"", b"switch", b"output-9", b"\xff\xfe", "\u202e".encode(), b"<b>", b"x" * 20))
    other = chance.choice((b"", b"D2", b"\0", b"\n", b"y" * 20))[: most - len(one)]
    return bytes((len(one),)) + one + bytes((len(other),)) + other


_LIES: tuple[Callable[[HostileLink, bytes], list[tuple[int, bytes]]], ...] = (
    HostileLink.random_frame, HostileLink.changed, HostileLink.lost, HostileLink.reply_to_nothing,
    HostileLink.heartbeat, HostileLink.edges, HostileLink.samples, HostileLink.descriptor,
    HostileLink.again, HostileLink.flood,
)  # fmt: skip
