"""Words about a probe's program, its ports and how it is looked after."""

from collections.abc import Mapping

from benchapp.presentation.cleaning import clean
from benchapp.records.probe_install import Installed, InstallProgress, InstallStep

ASK_BEFORE_OPENING = (
    "No probe has been seen on {port} yet. Opening it can reset the board behind it: make sure that nothing it drives "
    "can move or switch. Open it?"
)
ASK_BEFORE_INSTALLING = (
    "No probe has been seen on {port} yet. Installing resets the board behind it and replaces its program: make sure "
    "that it is the board for the probe, and that nothing it drives can move or switch. Go on?"
)

_STEPS: Mapping[InstallStep, str] = {
    InstallStep.RESET: "Resetting the board",
    InstallStep.BOOT_LOADER: "Looking for the boot loader (press the board's reset button if this takes long)",
    InstallStep.WRITE: "Writing",
    InstallStep.VERIFY: "Reading back",
    InstallStep.GREET: "Starting the probe",
}
_COUNTED = {InstallStep.BOOT_LOADER: "try", InstallStep.WRITE: "page", InstallStep.VERIFY: "page"}


def ask_before_opening(port: str) -> str:
    """Return the question before a port is opened on which no probe was seen."""
    return ASK_BEFORE_OPENING.format(port=clean(port))


def ask_before_installing(port: str) -> str:
    """Return the question before the program of a board on which no probe was seen is replaced."""
    return ASK_BEFORE_INSTALLING.format(port=clean(port))


def install_text(progress: InstallProgress) -> str:
    """Return how far the installing is, as one line."""
    words = _STEPS[progress.step]
    unit = _COUNTED.get(progress.step)
    if unit is None or not progress.total:
        return words
    return f"{words}, {unit} {progress.done} of {progress.total}"


def installed_text(installed: Installed) -> str:
    """Return what was installed, and that it runs."""
    board = installed.board
    serial = f", serial {clean(board.serial)}" if board.serial else ""
    return (
        f"The probe program is on the board on {clean(installed.port)}: {installed.size_bytes} bytes written and read "
        f"back alike. It answers as {clean(board.program) or 'a probe'}{serial}."
    )
