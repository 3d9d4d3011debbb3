"""A program that writes a session until it is killed, saying after each commit what was acknowledged.

    python -m tests.sessions.dying_writer FILE SEED

Each batch is a random number of edges and samples that can be told from nothing but its number; a line
"batch records last_ns" follows its commit. It writes faster than a recording, so that commits are what it mostly does.
"""

import os
import sys
from pathlib import Path

import numpy as np

from benchapp.records.stream import Edges
from tests.sessions.session_builder import OUTPUT, STICK, SWITCH, edges, new_writer, samples, start, stretch

BATCH_NS = 250_000_000
MOST_BATCHES = 100_000


def batch(seed: int, number: int) -> tuple[Edges, Edges, int]:
    """The output's and the switch's edges of a batch, and how many samples go with them."""
    random = np.random.default_rng((seed, number))
    begin = number * BATCH_NS
    output = np.sort(random.integers(begin, begin + BATCH_NS, int(random.integers(1, 3000))))
    switch = edges(SWITCH, [begin + 5], first_level=number & 1)
    return edges(OUTPUT, output, first_level=1), switch, int(random.integers(1, 400))


def write(path: Path, seed: int) -> None:
    """Write batch after batch until killed, telling of each on the standard output."""
    writer = new_writer(path)
    writer.add_stretch(stretch())
    writer.add_event(start(at_ns=0))
    for number in range(MOST_BATCHES):
        output, switch, count = batch(seed, number)
        writer.add_record(1, output)
        writer.add_record(1, switch)
        writer.add_record(1, samples(number * BATCH_NS, count, step_ns=BATCH_NS // 400))
        acknowledged = writer.commit()
        os.write(1, f"{number} {acknowledged} {STICK}\n".encode())


if __name__ == "__main__":
    write(Path(sys.argv[1]), int(sys.argv[2]))
