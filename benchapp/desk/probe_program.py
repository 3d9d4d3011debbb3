"""The program for a probe's board: the one that came with this version, or a file somebody names."""

from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from benchapp.assets import resource
from benchapp.desk.inputs import read_bytes
from benchapp.desk.names import shown
from benchapp.probe.intel_hex import LARGEST_FILE, read_intel_hex
from benchapp.probe.uploading import ROOM
from benchapp.records.errors import WrongInput

_SUM_LARGEST = 1000


@dataclass(frozen=True, kw_only=True, slots=True)
class ProbeProgram:
    """A program, checked. sha256 is the file's, in hexadecimal; shipped: it is the one that came with this version."""

    file: str
    sha256: str
    program: bytes
    shipped: bool


def read_program(hex_file: Path | None = None) -> ProbeProgram:
    """Return the program in an Intel HEX file, by default the shipped one, whose checksum is verified first.

    Raises WrongInput with the reason, DiskTrouble where reading fails half-way.
    """
    file = hex_file or resource("probe/probe.hex")
    text = read_bytes(file, most=LARGEST_FILE)
    code = sha256(text).hexdigest()
    if hex_file is None:
        _check_sum(file, code)
    return ProbeProgram(
        file=file.name,
        sha256=code,
        program=read_intel_hex(text, file=shown(file.name), room=ROOM),
        shipped=hex_file is None,
    )


def _check_sum(file: Path, code: str) -> None:
    stated = read_bytes(file.with_name(f"{file.name}.sha256"), most=_SUM_LARGEST).split()
    if not stated or stated[0].decode("ascii", "replace").lower() != code:
        raise WrongInput(
            f"The probe program that came with this version is damaged: {shown(file)} does not match its checksum. "
            "Install this program again.",
            kept="Nothing was sent to the board.",
        )
