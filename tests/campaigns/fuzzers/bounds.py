"""What every try may cost, and what no message may hold."""

import re
import resource
import time
from collections.abc import Iterator
from contextlib import contextmanager

from benchapp.records.errors import BenchError, WrongCall
from tests.campaigns.telling import Tally

MOST_CPU_S = 30.0
"""Processor time of one try; what a person would wait for, many times over."""
MOST_GROWN_KB = 600_000
"""By how much one try may raise the most memory this process ever held."""
NOT_FOR_PEOPLE = re.compile(
    r"\bNone\b|Errno|[Ss][Qq][Ll]ite|CREATE TABLE|\bbtree\b|main \*\*\*|Traceback|<class|object at 0x|"
    r"is not a valid|dtype|numpy|JSONDecode|"
    r"group 'root'|group root|\bnan\b",
)
UNSEEN = re.compile(r"[\x00-\x1f\x7f\u200e\u200f\u202a-\u202e\u2028\u2029\u2066-\u2069]")
_QUOTED = re.compile(r"'[^']*'")
LONGEST = 2_000


def clear(message: str) -> None:
    """Hold a message against what no person should have to read; what stands in quotes is the file's own."""
    found = NOT_FOR_PEOPLE.search(_QUOTED.sub("''", message)) or UNSEEN.search(message)
    assert found is None, f"a message holds {found.group()!r}: {message!r}"
    assert 0 < len(message) < LONGEST, f"a message of {len(message)} signs"


def refused(refusal: BenchError, *kinds: type[BenchError], naming: str) -> None:
    """Hold a refusal against its classes, the file it must name where the file is at fault, and its words."""
    assert type(refusal) in kinds or not kinds, f"{type(refusal).__name__}: {refusal.message}"
    clear(refusal.message)
    named = naming in refusal.message or type(refusal) is WrongCall
    assert named, f"the file is not named: {refusal.message}"


@contextmanager
def bounded(tally: Tally) -> Iterator[None]:
    """Hold what happens inside against the processor time and memory of one try; note the worst."""
    before_kb, before_s = _peak_kb(), time.process_time()
    yield
    took_s, grown_kb = time.process_time() - before_s, _peak_kb() - before_kb
    for what, value in (("ms of the slowest", round(took_s * 1_000)), ("MB held at most", _peak_kb() // 1_000)):
        tally.notes[what] = max(tally.notes[what], value)
    assert took_s < MOST_CPU_S, f"it took {took_s:.0f} s"
    assert grown_kb < MOST_GROWN_KB, f"it took {grown_kb / 1_000:.0f} MB more than anything before"


def _peak_kb() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
