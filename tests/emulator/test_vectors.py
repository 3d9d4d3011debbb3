"""The probe's C code writes and reads the same test vectors as the instrument's Python."""

import json
import subprocess
from pathlib import Path
from typing import Any

import pytest

from tests.emulator import build

VECTORS = json.loads((Path(__file__).resolve().parent.parent / "probe" / "vectors.json").read_text())
CLOCKS = ("unknown", "crystal", "resonator", "practice")
KINDS = ("edge", "level", "drive")
HEARTBEAT = (
    "start_id_low tick lead_levels state muted records_sent lost folded level_lost high_water bad_received frames_sent"
)
LEAD = (
    "resolution_ps bias_ps lateness_typical_ps lateness_worst_ps shortest_pulse_ns full_scale_mv full_scale_counts "
    "nonlinearity_256ths highest_safe_mv"
)


def c_says(*orders: str) -> list[str]:
    """What the C code prints for each line."""
    program = build.vectors_program()
    done = subprocess.run([str(program)], input="\n".join(orders) + "\n", capture_output=True, text=True, check=True)
    return done.stdout.splitlines()


def texts(*words: str) -> str:
    """Texts as the wire has them, in hexadecimal; a sign that ends them."""
    return b"".join(bytes((len(word.encode()),)) + word.encode() for word in words).hex()


def order_of(vector: dict[str, Any]) -> str:
    """A vector's numbers in the order of the C structure."""
    f, kind = vector["fields"], vector["message"]
    numbers: list[object] = []
    match kind:
        case "edges":
            numbers = [n for pair in zip(f["tags"], f["ticks"], strict=True) for n in pair]
        case "levels":
            numbers = [f["lead"], f["first_tick"], f["step"], *f["counts"]]
        case "heartbeat":
            numbers = [*(f[name] for name in HEARTBEAT.split()), *(n for pair in f["last_levels"] for n in pair)]
        case "reply":
            numbers = [f["command"], f["token"], f["status"], f["tick"]]
        case "board":
            tolerance = 0xFFFF if f["tolerance_ppm"] is None else f["tolerance_ppm"]
            numbers = [f["wire_version"], f["start_id"], f["tick_hz"], f["tick_bits"], CLOCKS.index(f["clock_kind"])]
            numbers += [tolerance, f["lead_count"], texts(f["serial"], f["program"])]
        case "lead":
            numbers = [f["index"], KINDS.index(f["kind"]), *(f[name] for name in LEAD.split())]
            numbers += [texts(f["role"], f["label"])]
    return " ".join(map(str, [kind, vector["seq"], *numbers]))


# This board's replies carry no data.
FRAMES = {vector["name"]: vector for vector in VECTORS["frames"] if not vector["fields"].get("data")}
COMMANDS = {vector["name"]: vector for vector in VECTORS["commands"]}
REFUSED = {vector["name"]: vector for vector in VECTORS["refused"] if vector["why"] != "unreadable"}


@pytest.mark.parametrize("name", FRAMES)
def test_a_frame_is_written_as_the_vectors_say(name: str) -> None:
    assert c_says(order_of(FRAMES[name])) == [FRAMES[name]["hex"]]


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_is_read_as_the_vectors_say(name: str) -> None:
    vector = COMMANDS[name]
    wanted = " ".join(map(str, (vector["command"], vector["token"], *vector["fields"].values())))
    assert c_says(f"hear {vector['hex']}") == [wanted]


def test_frames_one_after_the_other_are_read_however_long() -> None:
    frames = [vector["hex"] for vector in (*VECTORS["frames"], *VECTORS["commands"])]
    said = c_says(*(f"hear {frame}" for frame in frames))
    assert said[: len(VECTORS["frames"])] == ["frame"] * len(VECTORS["frames"])
    assert not {"damage", "nothing", "wrong"} & set(said)


@pytest.mark.parametrize("name", REFUSED)
def test_a_spoilt_frame_is_refused_and_the_next_is_read(name: str) -> None:
    ping = COMMANDS["ping"]
    said = c_says(f"hear {REFUSED[name]['hex']}", f"hear {ping['hex']}")
    assert said == ["damage", f"{ping['command']} {ping['token']}"]


def test_a_command_of_a_wrong_length_is_noticed() -> None:
    # drive with one byte: the check is right, the length is not.
    from benchapp.probe.framing import encode_frame  # noqa: PLC0415

    assert c_says(f"hear {encode_frame(16, 0, bytes((5, 1, 7))).hex()}") == ["wrong"]
