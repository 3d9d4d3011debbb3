"""Emulated boards behind pseudo terminals, at the pace of real time: a probe with a radio, and a bare boot loader."""

import subprocess
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Self

import numpy as np
from numpy.typing import NDArray

from tests.emulator import build
from tests.emulator.emulated import EDGE, HZ

BOOT_ADDRESS = 0x7C00  # of a boot loader of our own
FLASH_SIZE = 0x8000


class _Terminal:
    """A board's program; `port` is what a program opens. Opening it resets the board.

    So do boards whose bridge pulls the reset line; a pseudo terminal has no modem lines of its own.
    """

    def __init__(self, *words: object) -> None:
        self._process = subprocess.Popen(
            [str(build.program()), *map(str, words)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        assert self._process.stdout is not None
        self.port = self._process.stdout.readline().strip()
        assert self.port, "the emulated board did not start"

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_fault: object) -> None:
        self.unplug()

    def unplug(self) -> None:
        """End the board: its port goes away."""
        if self._process.poll() is None:
            self._process.terminate()
        self._process.communicate()

    def _say(self, line: str) -> None:
        stdin, stdout = self._process.stdin, self._process.stdout
        assert stdin is not None
        assert stdout is not None
        stdin.write(f"{line}\n")
        stdin.flush()
        assert stdout.readline().strip() == "done"

    def reset(self) -> None:
        """Pull the reset line."""
        self._say("reset")

    def flash(self, folder: Path) -> bytes:
        """Return the program memory; the folder takes a file on the way."""
        self._say(f"flash {folder / 'flash'}")
        return (folder / "flash").read_bytes()


class ProbeBench(_Terminal):
    """The probe's program on an emulated board, and a radio that turns its control into servo pulses on D8.

    A pulse that begins at t tells how the control stood at t - delay_us, so that a flip is answered by the first pulse
    that begins delay_us after it or later: within a frame. The control is D2, or a voltage (STICK, A0).

    flips_ms : (first, mean, count) of the flips of a hand on D2
    wire_us  : a wire from D9, the probe's own drive lead, to D2, that takes so long, as through an opto-isolator
    levels   : each of A0 to A3 goes through these (ms, volts) in straight lines
    """

    def __init__(
        self,
        hex_file: Path | None = None,
        *,
        frame_us: float = 11_000,
        delay_us: float = 8_000,
        pulse_us: tuple[float, float] = (1_100, 1_900),
        flips_ms: tuple[float, float, int] | None = None,
        wire_us: float | None = None,
        control: int = 2,
        levels: Mapping[int, Sequence[tuple[float, float]]] | None = None,
        seed: int = 1,
    ) -> None:
        words: list[object] = ["--hex", hex_file or build.firmware(), "--seed", seed]
        words += ["--radio", frame_us, 0, delay_us, *pulse_us, control]
        for channel, points in (levels or {}).items():
            words += ["--level", channel, ",".join(f"{ms:g}:{volts * 1000:g}" for ms, volts in points)]
        if wire_us is not None:
            words += ["--wire", wire_us]
        if flips_ms is not None:
            words += ["--flips", *flips_ms]
        super().__init__(*words)

    def edge(self, pin: int, level: int) -> None:
        """Put a pin to a level now."""
        self._say(f"edge {pin} {level}")

    def truth(self, folder: Path) -> tuple[NDArray[np.void], NDArray[np.void]]:
        """Return the control's moves and the edges of the radio's pulses so far, in cycles since power-up."""
        self._say(f"truth {folder / 'truth'}")
        lines = [line.split() for line in (folder / "truth").read_text().splitlines()]
        moves, answers = (
            np.array([(int(c), int(p), int(v)) for kind, c, p, v in lines if kind == name], EDGE) for name in "ma"
        )
        return moves, answers


class BootBench(_Terminal):
    """A board that holds nothing but a boot loader; opening the port, or reset(), starts it."""

    def __init__(self, boot_loader: Path | None = None, *, address: int = BOOT_ADDRESS) -> None:
        super().__init__("--boot", boot_loader or build.boot_loader(), hex(address))


def latencies_ms(moves: NDArray[np.void], answers: NDArray[np.void]) -> NDArray[np.float64]:
    """Return, for each move of the control, the time to the start of the first pulse of another width [ms]."""
    rises, falls = answers[answers["level"] == 1]["cycle"], answers[answers["level"] == 0]["cycle"]
    count = min(rises.size, falls.size)
    rises, widths = rises[:count].astype(np.int64), (falls[:count] - rises[:count]).astype(np.int64)
    long = widths > (widths.min() + widths.max()) / 2
    turns = rises[1:][long[1:] != long[:-1]]
    found = []
    for move in moves["cycle"].astype(np.int64):
        after = turns[turns > move]
        if after.size:
            found.append((int(after[0]) - int(move)) * 1000 / HZ)
    return np.array(found)
