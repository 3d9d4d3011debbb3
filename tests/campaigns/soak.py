"""A run of many simulated hours on the practice bench: it has to end as asked, in time, its memory has to stay flat.

    python -m tests.campaigns.soak [--hours 8] [--test switch-flip] [--folder FOLDER]

The bench writes its truth as well. Memory is what the system says the process has; it is looked at ten times a second
from half an hour of simulated time on, until the run ends.
"""

import argparse
import os
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from benchapp.acquisition.status import Status
from benchapp.desk.recording import Recorded, RecordOrder, record
from benchapp.records.run import RunSettings

SETTLED_S = 1_800.0
"""After half an hour everything that may grow has grown."""
MOST_GROWTH_BYTES = 5_000_000
LONGEST_S = 600.0
FULL_HOURS = 8.0
_TABLE_EVERY_S = 1_800.0


def memory_bytes() -> int:
    """Return how much memory this process has [bytes], as Linux counts it."""
    return int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1]) * os.sysconf("SC_PAGE_SIZE")


@dataclass(kw_only=True)
class Watch:
    """Looks at memory while a run goes on; grown_bytes is the most above what it was at settled_s of the run."""

    settled_s: float = SETTLED_S
    first_bytes: int = 0
    most_bytes: int = 0
    looks: int = 0
    told: int = 0

    @property
    def grown_bytes(self) -> int:
        return self.most_bytes - self.first_bytes

    def look(self, status: Status) -> None:
        """Take a look, where the run still goes on."""
        run, seconds = status.run, status.recorded_s
        if run is None or run.outcome or seconds is None:
            return
        now = memory_bytes()
        if seconds >= _TABLE_EVERY_S * self.told:
            self.told += 1
            print(f"{seconds / 3600:5.1f} h  {now / 1e6:7.1f} MB  {time.process_time():6.0f} s", flush=True)
        if seconds < self.settled_s:
            return
        self.first_bytes = self.first_bytes or now
        self.most_bytes = max(self.most_bytes, now)
        self.looks += 1


def soak(folder: Path, *, test: str, seconds: float, watch: Watch) -> tuple[Recorded, float]:
    """Record so long a run with its truth; return what came of it and how long it took [s]."""
    order = RecordOrder(
        probe="practice://alder?seed=8",
        test=test,
        out=folder / f"{test}.t2h",
        settings=RunSettings(seconds=seconds),
        confirmed=("practice",),
        truth=folder / f"{test}.json",
        force=True,
    )
    begun = time.monotonic()
    recorded = record(order, watch.look)
    return recorded, time.monotonic() - begun


def faults(recorded: Recorded, took_s: float, watch: Watch, *, hours: float) -> list[str]:
    """Return what is wrong, nothing if all is well; the time allowed goes with the hours."""
    wrong = []
    if recorded.trouble is not None or recorded.run.stop_reason != "time-over":
        wrong.append(f"it ended early: {recorded.run.stop_reason}, {recorded.trouble}")
    if not watch.looks:
        wrong.append("memory was never looked at")
    if watch.grown_bytes > MOST_GROWTH_BYTES:
        wrong.append(f"memory grew by {watch.grown_bytes / 1e6:.1f} MB")
    if took_s > LONGEST_S * hours / FULL_HOURS:
        wrong.append(f"it took {took_s:.0f} s")
    return wrong


def main() -> int:
    """Run it; return 0 where all is well, 1 where not."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--hours", type=float, default=FULL_HOURS)
    parser.add_argument("--test", default="switch-flip", choices=["switch-flip", "hold-still", "stick-sweep"])
    parser.add_argument("--folder", type=Path)
    asked = parser.parse_args()
    watch = Watch()
    with tempfile.TemporaryDirectory() as own:
        folder = asked.folder or Path(own)
        recorded, took_s = soak(folder, test=asked.test, seconds=asked.hours * 3600, watch=watch)
        size = (folder / f"{asked.test}.t2h").stat().st_size
    print(
        f"{asked.test}: {asked.hours:g} simulated hours in {took_s:.0f} s, processor {time.process_time():.0f} s; "
        f"memory at most {watch.grown_bytes / 1e6:+.1f} MB after the first half hour, looked at {watch.looks} times; "
        f"file {size / 1e6:.1f} MB"
    )
    wrong = faults(recorded, took_s, watch, hours=asked.hours)
    for words in wrong:
        print(f"WRONG: {words}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
