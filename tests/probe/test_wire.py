"""Messages: the vectors, and that cutting the stream or damaging it never changes what is whole."""

import json
from dataclasses import asdict, is_dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from cobs import cobs
from hypothesis import given, settings
from hypothesis import strategies as st

from benchapp.probe.framing import FrameSplitter, crc16, encode_frame
from benchapp.probe.messages import (
    BoardFrame,
    Damage,
    DamageCause,
    EdgeTicks,
    Heartbeat,
    LeadFrame,
    LevelTicks,
    Reply,
)
from benchapp.probe.wire import (
    Commands,
    Decoder,
    Kind,
    pack_board,
    pack_command,
    pack_edges,
    pack_heartbeat,
    pack_lead,
    pack_levels,
    pack_reply,
    unpack_command,
)
from benchapp.records.leads import Board, ClockKind, Lead, LeadKind
from tests.probe.scripted_probe import ScriptedProbe

VECTORS = json.loads((Path(__file__).parent / "vectors.json").read_text(encoding="utf-8"))
FRAMES = {vector["name"]: vector for vector in VECTORS["frames"]}
COMMANDS = {vector["name"]: vector for vector in VECTORS["commands"]}
REFUSED = {vector["name"]: vector for vector in VECTORS["refused"]}


def lead_of(fields: dict) -> Lead:
    return Lead(
        index=fields["index"],
        label=fields["label"],
        kind=LeadKind(fields["kind"]),
        role=fields["role"],
        resolution_ns=fields["resolution_ps"] / 1000,
        bias_ns=fields["bias_ps"] / 1000,
        lateness_typical_ns=fields["lateness_typical_ps"] / 1000,
        lateness_worst_ns=fields["lateness_worst_ps"] / 1000,
        shortest_pulse_ns=float(fields["shortest_pulse_ns"]),
        full_scale_v=fields["full_scale_mv"] / 1000 or None,
        full_scale_counts=fields["full_scale_counts"],
        nonlinearity_lsb=None if fields["nonlinearity_256ths"] == 65535 else fields["nonlinearity_256ths"] / 256,
        highest_safe_v=None if fields["highest_safe_mv"] == 4294967295 else fields["highest_safe_mv"] / 1000,
    )


def board_of(fields: dict) -> Board:
    facts = {key: value for key, value in fields.items() if key != "lead_count"}
    return Board(**{**facts, "clock_kind": ClockKind(fields["clock_kind"])})


def heartbeat_of(fields: dict) -> Heartbeat:
    return Heartbeat(**{**fields, "last_levels": tuple(map(tuple, fields["last_levels"]))})


def reply_of(fields: dict) -> Reply:
    return Reply(**{**fields, "data": bytes.fromhex(fields["data"])})


def plain(message: object) -> object:
    """A message as something `==` can compare."""
    assert is_dataclass(message)
    facts = {
        name: value.tolist() if isinstance(value, np.ndarray) else value for name, value in asdict(message).items()
    }
    return type(message).__name__, facts


def merged(messages: list) -> list:
    """Messages as plain values, neighbouring edges joined: the cuts of a stream may fall between them."""
    found: list = []
    for name, facts in map(plain, messages):
        if name == "EdgeTicks" and found and found[-1][0] == "EdgeTicks":
            found[-1] = (name, {key: found[-1][1][key] + facts[key] for key in facts})
        else:
            found.append((name, facts))
    return found


def packed(vector: dict) -> bytes:
    fields = vector["fields"]
    match vector["message"]:
        case "edges":
            return pack_edges(fields["tags"], fields["ticks"])
        case "levels":
            return pack_levels(**fields)
        case "heartbeat":
            return pack_heartbeat(heartbeat_of(fields))
        case "reply":
            return pack_reply(reply_of(fields))
        case "board":
            return pack_board(board_of(fields), fields["lead_count"])
        case _:
            return pack_lead(lead_of(fields))


def expected(vector: dict) -> object:
    fields = vector["fields"]
    match vector["message"]:
        case "edges":
            return EdgeTicks(tags=np.array(fields["tags"], np.uint8), ticks=np.array(fields["ticks"], np.uint32))
        case "levels":
            return LevelTicks(**{**fields, "counts": np.array(fields["counts"], np.uint16)})
        case "heartbeat":
            return heartbeat_of(fields)
        case "reply":
            return reply_of(fields)
        case "board":
            return BoardFrame(board=board_of(fields), lead_count=fields["lead_count"])
        case _:
            return LeadFrame(lead=lead_of(fields))


@pytest.mark.parametrize("name", FRAMES)
def test_a_frame_is_written_as_the_vectors_say(name):
    vector = FRAMES[name]
    assert encode_frame(vector["kind"], vector["seq"], packed(vector)).hex() == vector["hex"]


@pytest.mark.parametrize("name", FRAMES)
def test_a_frame_is_read_as_the_vectors_say(name):
    vector = FRAMES[name]
    assert [plain(m) for m in Decoder().feed(bytes.fromhex(vector["hex"]))] == [plain(expected(vector))]


def test_the_vectors_hold_every_kind_of_frame_and_every_command():
    assert {vector["kind"] for vector in FRAMES.values()} == set(Kind) - {Kind.COMMAND}
    assert {vector["command"] for vector in COMMANDS.values()} == set(Commands)


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_is_written_and_read_as_the_vectors_say(name):
    vector = COMMANDS[name]
    command = Commands(vector["command"])
    frame = pack_command(command, vector["token"], seq=vector["seq"], **vector["fields"])
    assert frame.hex() == vector["hex"]
    (body,) = FrameSplitter().feed(frame)
    read = unpack_command(body[2:])
    assert (read.command, read.token, read.fields) == (command, vector["token"], vector["fields"])


@pytest.mark.parametrize("name", REFUSED)
def test_a_refused_frame_shows_as_damage_before_the_next_good_one(name):
    vector = REFUSED[name]
    decoder = Decoder()
    next_beat = encode_frame(Kind.HEARTBEAT, 1, bytes(30))
    messages = decoder.feed(bytes.fromhex(vector["hex"]) + next_beat)
    assert [type(message) for message in messages] == [Damage, Heartbeat]
    assert messages[0].cause == vector["why"]
    assert decoder.bad_frames == 1


def test_a_command_with_a_field_missing_or_too_many_is_the_caller_s_mistake():
    with pytest.raises(ValueError, match="DRIVE takes lead, level, got lead"):
        pack_command(Commands.DRIVE, 1, lead=3)
    with pytest.raises(ValueError, match="PING takes no field, got lead"):
        pack_command(Commands.PING, 1, lead=3)


@pytest.mark.parametrize("payload", [b"", b"\x01", b"\x63\x01", b"\x05\x01\x02", b"\x09\x01\x02"])
def test_a_command_that_cannot_be_read_is_none(payload):
    assert unpack_command(payload) is None


def test_an_unknown_type_is_skipped_and_its_number_counts():
    decoder = Decoder()
    frames = [encode_frame(3, 0, bytes(30)), encode_frame(77, 1, b"?"), encode_frame(3, 2, bytes(30))]
    assert [type(m) for m in decoder.feed(b"".join(frames))] == [Heartbeat, Heartbeat]


@pytest.mark.parametrize("lost", [1, 2, 100, 255])
def test_missing_frames_are_counted_where_they_are_missing(lost):
    probe = ScriptedProbe()
    frames = [probe.edges((0, 1, 100 * number)) for number in range(300)]
    kept = frames[:20] + frames[20 + lost :]
    before, damage, after = Decoder().feed(b"".join(kept))
    assert before.ticks.size == 20
    assert damage == Damage(cause=DamageCause.FRAMES_MISSING, lost_frames=lost)
    assert after.ticks.tolist() == [100 * number for number in range(20 + lost, 300)]


def test_a_spoilt_frame_and_the_break_it_leaves_are_one_damage():
    probe = ScriptedProbe()
    first, second, third = (bytearray(probe.edges((0, 1, tick))) for tick in (1, 2, 3))
    second[3] ^= 0x40
    messages = Decoder().feed(bytes(first + second + third))
    assert messages[1] == Damage(cause=DamageCause.BAD_CHECK, lost_frames=1)
    assert len(messages) == 3


def test_noise_between_frames_shows_though_no_frame_is_missing():
    probe = ScriptedProbe()
    stream = probe.edges((0, 1, 1)) + b"noise\0" + probe.edges((0, 0, 2))
    assert Decoder().feed(stream)[1] == Damage(cause=DamageCause.BAD_CODING, lost_frames=0)


EDGE = st.tuples(st.integers(0, 15), st.integers(0, 1), st.integers(0, 2**32 - 1))
ACTIONS = st.lists(
    st.one_of(
        st.tuples(st.just("edges"), st.lists(EDGE, min_size=1, max_size=30)),
        st.tuples(st.just("samples"), st.lists(st.integers(0, 65535), min_size=1, max_size=16)),
        st.tuples(st.just("beat"), st.integers(0, 2**63 - 1)),
        st.tuples(st.just("noise"), st.binary(min_size=1, max_size=90)),
        st.tuples(st.just("lose"), st.integers(1, 3)),
        st.tuples(st.just("descriptor"), st.none()),
    ),
    max_size=12,
)


def stream_of(actions: list) -> bytes:
    probe, whole = ScriptedProbe(), b""
    for what, value in actions:
        match what:
            case "edges":
                whole += probe.edges(*value)
            case "samples":
                whole += probe.samples(8, 5, 6, value)
            case "beat":
                whole += probe.heartbeat(value)
            case "noise":
                whole += value + b"\0"
            case "lose":
                for _ in range(value):
                    probe.heartbeat(0)
            case _:
                whole += probe.descriptor()
    return whole


@given(ACTIONS, st.binary(max_size=80), st.lists(st.integers(0, 2000), max_size=20))
@settings(max_examples=150, deadline=None)
def test_cutting_the_stream_anywhere_gives_the_same_messages(actions, trailing, cuts):
    stream = stream_of(actions) + trailing
    whole = merged(Decoder().feed(stream))
    bytewise = Decoder()
    assert merged([m for byte in stream for m in bytewise.feed(bytes((byte,)))]) == whole
    edges = [0, *sorted(min(cut, len(stream)) for cut in cuts), len(stream)]
    pieces = Decoder()
    assert merged([m for a, b in pairwise(edges) for m in pieces.feed(stream[a:b])]) == whole


@given(ACTIONS, st.binary(max_size=200))
@settings(max_examples=100, deadline=None)
def test_noise_before_a_stream_costs_no_more_than_a_damage_at_its_head(actions, noise):
    stream = stream_of(actions)
    clean = merged(Decoder().feed(stream))
    noisy = merged(Decoder().feed(noise + b"\0" + stream))
    while noisy and noisy[0][0] == "Damage":
        noisy.pop(0)
    while clean and clean[0][0] == "Damage":
        clean.pop(0)
    assert noisy == clean


@given(ACTIONS, st.data())
@settings(max_examples=100, deadline=None)
def test_damage_never_raises_and_never_invents_more_than_the_check_lets_through(actions, data):
    stream = bytearray(stream_of(actions))
    clean = merged(Decoder().feed(bytes(stream)))
    if not stream:
        return
    at = data.draw(st.integers(0, len(stream) - 1))
    stream[at] ^= data.draw(st.integers(1, 255))
    messages = merged(Decoder().feed(bytes(stream)))
    # one changed byte spoils at most the frames on either side of it
    kept = [m for m in messages if m[0] not in ("Damage", "EdgeTicks")]
    assert all(m in clean for m in kept)
    edges = sorted(tick for m in messages if m[0] == "EdgeTicks" for tick in m[1]["ticks"])
    sent = sorted(tick for m in clean if m[0] == "EdgeTicks" for tick in m[1]["ticks"])
    assert set(edges) <= set(sent)


@pytest.mark.parametrize(
    ("kind", "size"),
    [(1, 5), (1, 60), (2, 11), (2, 41), (3, 30), (3, 54), (4, 11)],
    ids=["an edge", "12 edges", "a sample", "16 samples", "heartbeat", "heartbeat with levels", "reply"],
)
def test_a_frame_that_lost_or_won_a_zero_at_its_end_passes_the_check_and_is_refused_by_its_length(kind, size):
    bodies = [bytes((kind, 0, 1, *number.to_bytes(2, "little"), *[1] * (size - 3))) for number in range(1 << 11)]
    body = next(body for body in bodies if crc16(body) < 256)  # its check ends with a zero
    whole = body + crc16(body).to_bytes(2, "little")
    assert [type(message) for message in read_with_the_next(whole)] != [Damage, Heartbeat]
    spoilt = [whole[:-1]] if kind == Kind.REPLY else [whole[:-1], whole + b"\0"]  # a longer reply has data
    for other in spoilt:
        (passed,) = FrameSplitter().feed(cobs.encode(other) + b"\0")
        assert passed == other[:-2]
        assert [type(message) for message in read_with_the_next(other)] == [Damage, Heartbeat]


def read_with_the_next(coded: bytes) -> list:
    return Decoder().feed(cobs.encode(coded) + b"\0" + encode_frame(Kind.HEARTBEAT, 1, bytes(30)))


def test_of_many_damaged_frames_hardly_any_pass_the_check():
    rng = np.random.default_rng(20)
    passed = 0
    for _ in range(20_000):
        ticks = rng.integers(0, 2**32, 8).tolist()
        frame = bytearray(ScriptedProbe().edges(*[(3, 1, tick) for tick in ticks]))[:-1]
        for at in rng.integers(0, len(frame), rng.integers(1, 20)):
            frame[at] ^= int(rng.integers(1, 256))
        passed += any(isinstance(m, EdgeTicks) for m in Decoder().feed(bytes(frame) + b"\0"))
    # 2**-16 of them would pass by chance: 0.3 of 20,000
    assert passed <= 3
