"""The emulated board driven flat out: pins at exact cycles in, the bytes it sends and the truth out."""

import ctypes
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Self

import numpy as np
from numpy.typing import NDArray

from benchapp.probe.messages import Message
from benchapp.probe.wire import Commands, Decoder, pack_command
from tests.emulator import build

HZ = 16_000_000
MS = HZ // 1000
ANY_CONTROL, STICK = 100, 101

EDGE = np.dtype([("cycle", "<u8"), ("pin", "<u4"), ("level", "<u4")])
POINT = np.dtype([("cycle", "<u8"), ("uv", "<u4"), ("unused", "<u4")])
HELD = np.dtype([("cycle", "<u8"), ("channel", "<u4"), ("counts", "<u4")])
SENT = np.dtype([("cycle", "<u8"), ("byte", "<u4"), ("unused", "<u4")])

WORKAROUNDS = (
    "FLAGS_CLEAR_SINGLY",
    "FLAGS_WAIT",
    "CONVERSIONS_TRIGGER",
    "SAMPLES_HOLD",
    "CONVERSIONS_END",
    "COUNTS_OF_1024",
    "BYTES_OF_10_BITS",
    "LINE_BUFFERS",
    "INTERRUPTS_TAKE_TIME",
    "NO_NAPS",
    "LONG_RUNS",
    "RAM_OF_CHANCE",
    "MATCHES_AFTER_TURNS",
)
ALL_WORKAROUNDS = (1 << len(WORKAROUNDS)) - 1


def without(name: str) -> int:
    """Return every work-around but one."""
    return ALL_WORKAROUNDS & ~(1 << WORKAROUNDS.index(name))


class _List(ctypes.Structure):
    _fields_ = (("items", ctypes.c_void_p), ("count", ctypes.c_size_t), ("room", ctypes.c_size_t))


@cache
def _library() -> ctypes.CDLL:
    board, u32, u64 = ctypes.c_void_p, ctypes.c_uint32, ctypes.c_uint64
    loaded = ctypes.CDLL(str(build.library()))
    for name, result, arguments in (
        ("board_new", board, (u32, u32)),
        ("board_free", None, (board,)),
        ("board_load", ctypes.c_int, (board, ctypes.c_char_p)),
        ("board_boot_at", None, (board, u32)),
        ("board_reset", None, (board,)),
        ("board_run", ctypes.c_int, (board, u64)),
        ("board_cycle", u64, (board,)),
        ("board_turned", u64, (board,)),
        ("board_plan", None, (board, ctypes.c_void_p, ctypes.c_size_t)),
        ("board_hear", ctypes.c_size_t, (board, ctypes.c_char_p, ctypes.c_size_t)),
        ("board_host_baud", None, (board, u32)),
        ("board_baud", u32, (board,)),
        ("board_level", None, (board, u32, ctypes.c_void_p, ctypes.c_size_t)),
        ("board_radio", None, (board, u64, u64, u64, u32, u32, u32)),
        ("board_list", ctypes.POINTER(_List), (board, ctypes.c_char)),
        ("board_forget", None, (board, ctypes.c_char)),
        ("board_looks", u64, (board,)),
        ("board_pull_ups", ctypes.c_int, (board,)),
        ("board_ram", ctypes.POINTER(ctypes.c_uint8), (board,)),
        ("board_flash", ctypes.POINTER(ctypes.c_uint8), (board,)),
    ):
        function = getattr(loaded, name)
        function.restype, function.argtypes = result, arguments
    return loaded


class Board:
    """One emulated board. Times are cycles of its clock since power-up; nothing sleeps."""

    def __init__(self, hex_file: Path, *, seed: int = 1, workarounds: int = ALL_WORKAROUNDS) -> None:
        self._c = _library()
        self._board = self._c.board_new(seed, workarounds)
        assert self._board, "the emulator knows no such chip"
        assert self._c.board_load(self._board, str(hex_file).encode()), f"{hex_file} is no Intel HEX file"
        self.decoder = Decoder()
        self._seq = self._token = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_fault: object) -> None:
        self._c.board_free(self._board)

    @property
    def cycle(self) -> int:
        """Now."""
        return int(self._c.board_cycle(self._board))

    @property
    def turned(self) -> int:
        """When timer 1 last turned over, or began."""
        return int(self._c.board_turned(self._board))

    @property
    def baud(self) -> int:
        """The rate the board's line is set to."""
        return int(self._c.board_baud(self._board))

    @property
    def looks(self) -> int:
        """How often the emulator looked at what is due."""
        return int(self._c.board_looks(self._board))

    @property
    def pull_ups(self) -> int:
        """The ports that ever had an internal pull-up: bit 0 B, 1 C, 2 D."""
        return int(self._c.board_pull_ups(self._board))

    @property
    def ram(self) -> NDArray[np.uint8]:
        """A copy of registers and RAM, 0 to 0x8ff."""
        return np.ctypeslib.as_array(self._c.board_ram(self._board), (0x900,)).copy()

    @property
    def flash(self) -> bytes:
        """A copy of the program memory."""
        return np.ctypeslib.as_array(self._c.board_flash(self._board), (0x8000,)).tobytes()

    def poke(self, address: int, byte: int) -> None:
        """Put a byte into RAM."""
        self._c.board_ram(self._board)[address] = byte

    def reset(self) -> None:
        """Pull the reset line."""
        self._c.board_reset(self._board)
        self._seq = 0

    def run(self, ms: float) -> None:
        """Run on for so long."""
        self.run_to(self.cycle + round(ms * MS))

    def run_to(self, cycle: int) -> None:
        """Run up to this cycle."""
        assert self._c.board_run(self._board, cycle), "the program crashed"

    def plan(self, edges: Iterable[tuple[int, int, int]] | NDArray[np.void]) -> None:
        """Plan (cycle, pin, level): pins as printed on the board, D0 to D13."""
        array = edges if isinstance(edges, np.ndarray) else np.array(list(edges), EDGE)
        array = np.ascontiguousarray(array)
        self._c.board_plan(self._board, array.ctypes.data, array.size)

    def hear(self, data: bytes) -> None:
        """Bytes from the host, at the line's pace."""
        assert self._c.board_hear(self._board, data, len(data)) == len(data)

    def ask(self, command: Commands, *, token: int | None = None, **fields: int) -> int:
        """Send a command; return its token."""
        self._token = (self._token + 1) & 0xFF if token is None else token
        self.hear(pack_command(command, self._token, seq=self._seq, **fields))
        self._seq = (self._seq + 1) & 0xFF
        return self._token

    def host_baud(self, baud: int) -> None:
        """Set the host's rate; 0 follows the board."""
        self._c.board_host_baud(self._board, baud)

    def level(self, channel: int, points: Iterable[tuple[int, float]]) -> None:
        """Lead a level lead through points of (cycle, volts), in order of time, in straight lines."""
        path = np.array([(cycle, round(volts * 1e6), 0) for cycle, volts in points], POINT)
        self._c.board_level(self._board, channel, path.ctypes.data, path.size)

    def radio(self, *, frame: int, phase: int = 0, delay: int, pulse: tuple[int, int], control: int) -> None:
        """Close the loop from a pin (or ANY_CONTROL, STICK) to servo pulses on D8. All in cycles."""
        self._c.board_radio(self._board, frame, phase, delay, *pulse, control)

    def sent(self) -> bytes:
        """Return the bytes that left the line, and forget them."""
        data = self.log("s")["byte"].astype(np.uint8).tobytes()
        self._c.board_forget(self._board, b"s")
        return data

    def messages(self) -> list[Message]:
        """Return what the bytes sent since the last call mean."""
        return self.decoder.feed(self.sent())

    def log(self, name: str) -> NDArray[np.void]:
        """Return a list of the board's: landed, driven, moves, answers, held, sent."""
        kept = self._c.board_list(self._board, name[0].encode()).contents
        kind = {"h": HELD, "s": SENT}.get(name[0], EDGE)
        if not kept.count:
            return np.empty(0, kind)
        raw = ctypes.string_at(kept.items, kept.count * kind.itemsize)
        return np.frombuffer(raw, kind)
