"""A recording in a process of its own, which says what has been acknowledged until it is killed."""

import sys
from pathlib import Path

from tests.acquisition.fakes import ask_for_run, practice


def main() -> None:
    recording = practice(sys.argv[1])
    ask_for_run(recording, Path(sys.argv[2]), flips=100_000)
    recording.start()
    said = -1
    while not recording.wait_until_finished(0.002):
        saved = recording.status().saved_records
        if saved != said:
            said = saved
            print(saved, flush=True)


if __name__ == "__main__":
    main()
