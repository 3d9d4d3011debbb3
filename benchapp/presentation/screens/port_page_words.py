"""Words that every page has which works on a port: installing the probe program, testing a probe."""

from collections.abc import Callable
from dataclasses import dataclass

from benchapp.presentation.ground.cleaning import message_line
from benchapp.presentation.ground.messages import Message

INSTALL_OFFER = "Install the probe program…"
TEST_OFFER = "Test the probe…"
_LONGEST = 80


@dataclass(frozen=True, kw_only=True, slots=True)
class PortPageWords:
    """What one such page says. ask returns the question before a port is opened on which no probe was seen."""

    title: str
    sentence: str
    port: str
    no_port: str
    ask: Callable[[str], str]
    agreed: str
    bar: str
    stop: str
    stop_name: str
    stopping: str
    run_goes_on: str


def port_words(name: str, words: str) -> str:
    """Return a port as people read it: what it calls itself, then its name."""
    told = message_line(words, limit=_LONGEST)
    return f"{told} ({name})" if told else name


def trouble_lines(message: Message) -> str:
    """Return what went wrong, what was kept or how the board is now, and what to do, one under the other."""
    return "\n".join(part for part in (message.details, message.kept, message.do) if part)
