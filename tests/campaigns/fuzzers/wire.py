"""Damaged frames and noise at the framing and the decoder: hardly any passes the check, and nothing grows."""

import math
import random
from collections.abc import Iterable
from pathlib import Path

from cobs import cobs

from benchapp.probe.framing import PAYLOAD_MAX, FrameSplitter, Spoilt, crc16, encode_frame
from benchapp.probe.messages import Damage, EdgeTicks, Heartbeat
from benchapp.probe.timebase import Timebase
from benchapp.probe.wire import Decoder, Kind
from tests.campaigns.fuzzers.chances import chance_of
from tests.campaigns.telling import Tally
from tests.probe.scripted_probe import ScriptedProbe

FRAMES = 1_000
"""Damaged frames a try."""
BURSTS = 50
MOST_KEPT = 70
"""Bytes of the longest frame without its zero, and one that proves that it is none (faults: bounded buffer)."""


def fuzz(tries: Iterable[int], seed: int, _folder: Path, tally: Tally) -> None:
    """Damage frames, put bursts into them, and bury good ones in noise; then hold the share against the check's."""
    for number in tries:
        chance = chance_of("wire", seed, number)
        with tally.counted(f"wire {number}: damaged frames"):
            frames, passed, accepted = damaged_frames(chance)
            tally.note("damaged frames", frames)
            tally.note("passed the check", passed)
            tally.note("accepted", accepted)
        with tally.counted(f"wire {number}: bursts"):
            assert not any(burst_passes(chance) for _ in range(BURSTS)), "a burst of up to 16 bits was accepted"
            tally.note("bursts refused", BURSTS)
        with tally.counted(f"wire {number}: noise"):
            bury_in_noise(chance)
    with tally.counted("wire: the share accepted"):
        frames, accepted = tally.notes["damaged frames"], tally.notes["accepted"]
        assert accepted <= most_accepted(frames), f"{accepted} of {frames} damaged frames were accepted"


def most_accepted(frames: int) -> int:
    """Return how many of so many may be accepted: a check of 16 bits lets 1 of 65,536 by, and four deviations of luck.

    Of 200,000 these are the 10 that are promised (faults). The check alone lets more by: see `framing`.
    """
    mean = frames / 65_536
    return math.floor(mean + 4 * math.sqrt(mean))


def damaged_frames(chance: random.Random) -> tuple[int, int, int]:
    """Return how many frames were damaged, of how many something else passed the check, and was taken for a message."""
    damaged = passed = accepted = 0
    splitter = FrameSplitter()
    for _ in range(FRAMES):
        body = _true_body(chance)
        frame = encode_frame(body[0], body[1], body[2:])
        spoilt = _damaged(frame, chance)
        if spoilt == frame:
            continue
        damaged += 1
        found = splitter.feed(spoilt)
        found += splitter.feed(b"\0")
        others = [one for one in found if not isinstance(one, Spoilt) and one != body]
        passed += bool(others)
        accepted += any(_is_message(other) for other in others)
        assert len(splitter._rest) <= MOST_KEPT
    return damaged, passed, accepted


def _true_body(chance: random.Random) -> bytes:
    """Return type, number and payload of a frame as probes send them: every field of chance, every length right."""
    kind = chance.choice((Kind.EDGES, Kind.EDGES, Kind.LEVELS, Kind.HEARTBEAT, Kind.REPLY))
    sizes = {
        Kind.EDGES: 5 * chance.randrange(1, 13),
        Kind.LEVELS: 9 + 2 * chance.randrange(1, 17),
        Kind.HEARTBEAT: 30 + 3 * chance.randrange(9),
        Kind.REPLY: 11,
    }
    payload = bytearray(chance.randbytes(sizes[kind]))
    if kind in (Kind.LEVELS, Kind.REPLY):
        payload[0] &= 0x0F
    return bytes((kind, chance.randrange(256))) + payload


def _is_message(body: bytes) -> bool:
    """Return whether the decoder takes a whole frame for something a probe said."""
    messages = Decoder().feed(encode_frame(body[0], body[1], body[2:]))
    return any(not isinstance(message, Damage) for message in messages)


def _damaged(frame: bytes, chance: random.Random) -> bytes:
    data = bytearray(frame[:-1])
    what = chance.randrange(6)
    if what == 0:
        for _ in range(chance.randrange(1, 20)):
            data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
    elif what == 1:
        begin = chance.randrange(len(data))
        size = min(len(data) - begin, chance.randrange(1, 12))
        data[begin : begin + size] = chance.randbytes(size)
    elif what == 2:
        begin = chance.randrange(len(data))
        data[begin:begin] = chance.randbytes(chance.randrange(1, 6))
    elif what == 3:
        begin = chance.randrange(len(data))
        del data[begin : begin + chance.randrange(1, 6)]
    elif what == 4:
        del data[chance.randrange(len(data)) :]
    else:
        one, other = sorted(chance.randrange(len(data) + 1) for _ in range(2))
        data = data[:one] + data[other:] + data[one:other]
    return bytes(data) + b"\0"


def burst_passes(chance: random.Random) -> bool:
    """Return whether a frame with one burst of up to 16 changed bits is taken for whole."""
    body = bytes((chance.randrange(256), chance.randrange(256))) + chance.randbytes(chance.randrange(PAYLOAD_MAX + 1))
    whole = body + crc16(body).to_bytes(2, "little")
    length = chance.randrange(16)
    pattern = 1 | 1 << length | chance.getrandbits(length + 1)
    spoilt = int.from_bytes(whole, "little") ^ pattern << chance.randrange(len(whole) * 8 - length)
    coded = cobs.encode(spoilt.to_bytes(len(whole), "little"))
    return FrameSplitter().feed(coded + b"\0") != [Spoilt.BAD_CHECK]


def bury_in_noise(chance: random.Random) -> None:
    """Feed noise, valid frames of chance and good frames in pieces: all good ones after a zero are read."""
    noise = b"".join(_noise(chance) for _ in range(chance.randrange(1, 8)))
    probe = ScriptedProbe()
    ticks = [chance.getrandbits(32) for _ in range(chance.randrange(1, 40))]
    good = b"".join(probe.edges((0, 1, tick)) for tick in ticks)
    # without a zero between them the noise swallows the first good frame, and no more
    joined = chance.random() < 0.5
    stream = noise + (b"" if joined else b"\0") + good + probe.heartbeat(5)
    decoder, timebase = Decoder(), Timebase()
    messages = []
    while stream:
        size = chance.choice((1, 3, 17, 256, 4_096))
        found = decoder.feed(stream[:size])
        stream = stream[size:]
        assert len(decoder._splitter._rest) <= MOST_KEPT
        timebase.feed(found, chance.getrandbits(40))
        messages += found
    assert isinstance(messages[-1], Heartbeat), f"the last good frame was not read: {messages[-1]}"
    read = [tick for message in messages if isinstance(message, EdgeTicks) for tick in message.ticks.tolist()]
    wanted = ticks[1:] if joined else ticks
    assert read[len(read) - len(wanted) :] == wanted, "good frames after noise were not read"


def _noise(chance: random.Random) -> bytes:
    match chance.randrange(5):
        case 0:
            return chance.randbytes(chance.randrange(300))
        case 1:
            return bytes(chance.choices(b"\0\1\2\xff", k=chance.randrange(300)))
        case 2:
            return chance.randbytes(1).replace(b"\0", b"U") * chance.choice((70, 71, 5_000))
        case 3:
            size = chance.randrange(PAYLOAD_MAX + 1)
            return encode_frame(chance.randrange(256), chance.randrange(256), chance.randbytes(size))
        case _:
            return b"AT+CGMI\r\nERROR\r\n" * chance.randrange(1, 9)
