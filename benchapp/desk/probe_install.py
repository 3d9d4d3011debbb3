"""Puts the probe program on a board, and sees that it runs."""

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from benchapp.desk.probe_program import read_program
from benchapp.desk.seen_ports import remember_port
from benchapp.probe.greeting import PATIENCE_NS
from benchapp.probe.opening import greet, open_boot_port
from benchapp.probe.uploading import check_chip, find_boot_loader, leave, upload
from benchapp.records.errors import DiskTrouble, NoBootLoader, ProbeTrouble, UploadBroken
from benchapp.records.probe_install import Installed, InstallProgress, InstallStep

_WHOLE = "The program was written and read back alike."


def install_probe(
    port: str,
    *,
    hex_file: Path | None = None,
    tell: Callable[[InstallProgress], None] = lambda _progress: None,
    stop: Callable[[], bool] = lambda: False,
    seen_file: Path | None = None,
) -> Installed:
    """Write the probe program onto the board on a port, read it back, and greet it. Takes up to 20 s; blocks.

    Call it only for a port that `is_seen`, or after somebody agreed: the board is reset. tell is called in the caller's
    thread with how far it is; stop is asked between pages and tries. Raises WrongInput before the port is opened;
    WrongCall and ProbeTrouble (PortBusy, PortGone, PortNotAllowed, NoBootLoader, WrongChip, UploadBroken …) and
    StoppedByHand after, each with how the board is in `kept`.
    """
    ready = read_program(hex_file)
    boot_port = open_boot_port(port)
    try:
        upload(boot_port, ready.program, tell=tell, stop=stop)
    finally:
        boot_port.close()
    tell(InstallProgress(step=InstallStep.GREET))
    try:
        board = greet(port, patience_ns=PATIENCE_NS)
    except ProbeTrouble as trouble:
        trouble.kept = trouble.kept or _WHOLE
        raise
    with suppress(DiskTrouble):  # then the next time somebody is asked again
        remember_port(port, seen_file)
    return Installed(port=port, file=ready.file, sha256=ready.sha256, size_bytes=len(ready.program), board=board)


def takes_program(port: str, *, stop: Callable[[], bool] = lambda: False) -> bool:
    """Return whether a board that takes the probe program is on a port; nothing is written. Blocks for up to 3 s.

    Tells a board without the program from something else that is silent. Call it only after somebody agreed: the board
    is reset. Raises WrongChip for another board, StoppedByHand, and what opening the port raises.
    """
    boot_port = open_boot_port(port)
    try:
        loader = find_boot_loader(boot_port, tell=lambda _progress: None, stop=stop, rounds=1)
        check_chip(loader, boot_port.name)
        leave(loader)
    except (NoBootLoader, UploadBroken):
        return False
    finally:
        boot_port.close()
    return True
