"""Has a person switch a real bench off and on between switch-ons, and asks whether it was done as it must be."""

import os
import select
import sys
from collections.abc import Callable

from benchapp.cli.printing import one_line
from benchapp.presentation.ground.run_words import pause_sentence
from benchapp.presentation.ground.safety import SAFETY
from benchapp.procedures.gate import switching_lines
from benchapp.procedures.ground.progress import RunProgress
from benchapp.records.errors import WrongCall

LOOK_EVERY_S = 0.2
QUESTION = (
    "Switched off and on in this order, does all of this hold, and every other line confirmed before the run? [yes/no] "
)
_YES = frozenset(("y", "yes"))
_NO = frozenset(("n", "no"))


def check_terminal(switch_ons: int | None) -> None:
    """Raise WrongCall where a real bench is to be switched off and on and nobody can be told when."""
    if (switch_ons or 1) > 1 and not sys.stdin.isatty():
        raise WrongCall(
            f"Between {switch_ons} switch-ons you are told when to switch the transmitter off and on, and there is no "
            "terminal to tell you at. Call from a terminal, or leave --switch-ons out."
        )


def ask_switched_on(
    run: RunProgress, confirmed: tuple[str, ...], still_wanted: Callable[[], bool]
) -> tuple[str, ...] | None:
    """Return the safety lines confirmed with the switching that a run waits for; None where they were not.

    confirmed are the lines of the run's start: a power-up undoes all of them, so the yes is to all of them again, those
    that belong to the switching read once more. still_wanted is asked while nothing is typed: a run that has ended
    needs no answer any more.
    """
    lines = switching_lines(confirmed)
    _say(f"Switch-on {run.blocks + 1} of {run.switch_ons}. {pause_sentence(run.paused)}")
    for line in lines:
        words = SAFETY[line]
        _say(f"{words.signal.upper()}: {words.text}" if words.signal else words.text)
    while True:
        print(QUESTION, end="", file=sys.stderr, flush=True)
        typed = _typed_line(still_wanted)
        word = (typed or "no").strip().lower()
        if word in _YES:
            return tuple(dict.fromkeys((*(line.value for line in lines), *confirmed)))
        if word in _NO:
            if typed is not None:
                _say("Not confirmed, so the run is stopped and kept.")
            return None


def _say(text: str) -> None:
    print(one_line(text), file=sys.stderr, flush=True)


def _typed_line(still_wanted: Callable[[], bool]) -> str | None:
    """Return the next line typed, "" where no more can come, None once it is no longer wanted."""
    try:
        typed_at = sys.stdin.fileno()
    except (OSError, ValueError):  # no file of the system's behind it
        return sys.stdin.readline()
    while os.name == "posix" and not select.select([typed_at], [], [], LOOK_EVERY_S)[0]:
        if not still_wanted():
            print(file=sys.stderr)
            return None
    return sys.stdin.readline()
