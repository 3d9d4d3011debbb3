"""Recordings that are there to be killed: each in a process of its own, which says what has been acknowledged.

One process loads everything once; for each line it reads (the bench's URL and the file, a tab between them) it forks,
says the child's process number, and says "gone" once that was killed. It commits ten times as often as usual, so that
a kill falls into a commit the more often, and the moments to kill at come sooner.
"""

import os
import sys
from pathlib import Path

from benchapp.acquisition import conductor
from tests.acquisition.fakes import ask_for_run, practice

COMMIT_EVERY_NS = conductor.COMMIT_EVERY_NS // 10


def say(words: object) -> None:
    os.write(sys.stdout.fileno(), f"{words}\n".encode())


def record(url: str, path: Path) -> None:
    recording = practice(url)
    ask_for_run(recording, path, flips=100_000)
    recording.start()
    said = -1
    while not recording.wait_until_finished(0.002):
        saved = recording.status().saved_records
        if saved != said:
            said = saved
            say(saved)


def main() -> None:
    conductor.COMMIT_EVERY_NS = COMMIT_EVERY_NS
    for line in sys.stdin:
        url, path = line.rstrip("\n").split("\t")
        child = os.fork()
        if child == 0:
            record(url, Path(path))
            os._exit(0)
        say(f"child {child}")
        os.waitpid(child, 0)
        say("gone")


if __name__ == "__main__":
    main()
