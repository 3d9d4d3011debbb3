"""How far the installing of the probe program has come, and what came of it."""

from dataclasses import dataclass
from enum import StrEnum

from benchapp.records.leads import Board


class InstallStep(StrEnum):
    """What is being done, in this order."""

    RESET = "reset"
    BOOT_LOADER = "boot-loader"
    WRITE = "write"
    VERIFY = "verify"
    GREET = "greet"


@dataclass(frozen=True, kw_only=True, slots=True)
class InstallProgress:
    """One step, and how much of it is done: pages written or read back, tries made; both 0 where nothing is counted."""

    step: InstallStep
    done: int = 0
    total: int = 0


@dataclass(frozen=True, kw_only=True, slots=True)
class Installed:
    """A probe program that was written, read back alike, and has greeted. sha256 is the file's, in hexadecimal."""

    port: str
    file: str
    sha256: str
    size_bytes: int
    board: Board
