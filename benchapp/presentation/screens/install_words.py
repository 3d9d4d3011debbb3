"""Words of the page that puts the probe program on a board."""

from benchapp.presentation.screens.port_page_words import PortPageWords
from benchapp.presentation.screens.probe_words import ask_before_installing
from benchapp.records.probe_install import InstallProgress, InstallStep

WORDS = PortPageWords(
    title="Install the probe program",
    sentence="Plug the board in, choose its port, install. It takes about 20 seconds; leave the plug in until it is "
    "done.",
    port="Port of the board",
    no_port="No port yet. Plug the board in, then look again.",
    ask=ask_before_installing,
    agreed="It is the board for the probe, and nothing can move",
    bar="How far the installing is",
    stop="Cancel",
    stop_name="Cancel the installing",
    stopping="Stopping before the next page …",
    run_goes_on="A run goes on. Stop it first: installing lets go of the probe.",
)
INSTALLED = "The probe program is installed"
NEXT = "Connect it, and clip the leads on."


def percent_done(progress: InstallProgress) -> int:
    """Return how far the installing is, 0 to 100 [%]: writing and reading back are most of it."""
    share = progress.done / progress.total if progress.total else 0.0
    start, room = {
        InstallStep.RESET: (0, 0),
        InstallStep.BOOT_LOADER: (0, 0),
        InstallStep.WRITE: (5, 55),
        InstallStep.VERIFY: (60, 35),
        InstallStep.GREET: (95, 0),
    }[progress.step]
    return round(start + room * min(share, 1.0))
