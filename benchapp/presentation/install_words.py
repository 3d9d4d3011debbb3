"""Words of the page that puts the probe program on a board."""

from benchapp.presentation.cleaning import message_line
from benchapp.presentation.messages import Message
from benchapp.records.probe_install import InstallProgress, InstallStep

TITLE = "Install the probe program"
SENTENCE = "Plug the board in, choose its port, install. It takes about 20 seconds; leave the plug in until it is done."
NO_PORT = "No port yet. Plug the board in, then look again."
AGREED = "It is the board for the probe, and nothing can move"
RUN_GOES_ON = "A run goes on. Stop it first: installing lets go of the probe."
STOPPING = "Stopping before the next page …"
NEXT = "Connect it, and clip the leads on."
_LONGEST = 80


def port_words(name: str, words: str) -> str:
    """Return a port as people read it: what it calls itself, then its name."""
    told = message_line(words, limit=_LONGEST)
    return f"{told} ({name})" if told else name


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


def trouble_lines(message: Message) -> str:
    """Return what went wrong, how the board is now, and what to do, one under the other."""
    return "\n".join(part for part in (message.details, message.kept, message.do) if part)
