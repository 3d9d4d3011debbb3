"""Seeded fuzzers at everything that comes from outside: an answer or words, never anything else.

python -m tests.campaigns.fuzz [--seconds 600] [--tries N] [--first N] [--seed 1] [KIND …]

Each kind goes on for so many seconds, or makes so many tries. A try is told by its number: --first N --tries 1 makes it
again. A try of `wire` damages 1,000 frames.
"""

import argparse
import itertools
import logging
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path

from tests.campaigns.fuzzers import captures, probe, sessions, settings, wire
from tests.campaigns.telling import Tally, tell

KINDS: Mapping[str, Callable[[Iterable[int], int, Path, Tally], None]] = {
    "wire": wire.fuzz,
    "captures": captures.fuzz,
    "sessions": sessions.fuzz,
    "probe": probe.fuzz,
    "settings": settings.fuzz,
}


def for_seconds(seconds: float, first: int) -> Iterator[int]:
    """Yield the numbers of tries until the time is over."""
    over = time.monotonic() + seconds
    return itertools.takewhile(lambda _: time.monotonic() < over, itertools.count(first))


def main(words: Iterator[str] | None = None) -> int:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("kinds", nargs="*", metavar="KIND", help=f"one of {', '.join(KINDS)}; all where none is named")
    asked.add_argument("--seconds", type=float, default=600)
    asked.add_argument("--tries", type=int)
    asked.add_argument("--first", type=int, default=0)
    asked.add_argument("--seed", type=int, default=1)
    told = asked.parse_args(None if words is None else list(words))
    unknown = [kind for kind in told.kinds if kind not in KINDS]
    if unknown:
        asked.error(f"there is no fuzzer {unknown[0]!r}; there are {', '.join(KINDS)}")
    logging.disable()  # what a recording logs of hostile probes is not what is looked for
    status = 0
    for kind in told.kinds or KINDS:
        tally, begun = Tally(), time.monotonic()
        numbers: Iterable[int] = for_seconds(told.seconds, told.first)
        if told.tries is not None:
            numbers = range(told.first, told.first + told.tries)
        with tempfile.TemporaryDirectory(prefix="fuzz-") as folder:
            KINDS[kind](numbers, told.seed, Path(folder), tally)
        status = max(status, tell(kind, tally, time.monotonic() - begun))
    return status


if __name__ == "__main__":
    sys.exit(main())
