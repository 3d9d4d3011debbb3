"""SIGKILL at each disk call of every act that changes files, and at random moments of a recording.

python -m tests.campaigns.kills --kills 1000 [--seed 1]
"""

import argparse
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from pathlib import Path

from tests.campaigns.acts import ACTS, judged
from tests.campaigns.telling import Tally, tell
from tests.sessions.dying_writer import write
from tests.sessions.test_kills import check_batches

CALLS = (
    "rename", "renameat", "renameat2", "unlink", "unlinkat", "link", "linkat", "mkdir", "rmdir", "pwrite64", "write",
    "ftruncate", "fsync", "fdatasync",
)  # fmt: skip
Point = tuple[str, str, int]


def can_trace() -> bool:
    """Return whether this system lets a program be traced."""
    if shutil.which("strace") is None:
        return False
    with tempfile.NamedTemporaryFile() as log:
        return traced(lambda: os.fsync(os.open("/tmp", os.O_RDONLY)), Path(log.name), "-e", "trace=fsync") == 0


def forked(work: Callable[[], object]) -> int:
    """Return the process id of a copy of this process that carries out the work and ends."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # that a thread waits elsewhere does not matter here
        child = os.fork()
    if child:
        return child
    try:
        work()
    except BaseException:  # noqa: BLE001 - nothing of the parent may run in the child
        traceback.print_exc()
        os._exit(9)
    os._exit(0)


def killed_writer(path: Path, seed: int, *, batches: int, extra_s: float) -> tuple[int, int]:
    """Kill a writer a moment after it acknowledged some batches; return (batches, records) it acknowledged at least."""
    hear, say = os.pipe()

    def telling() -> None:
        os.dup2(say, 1)
        write(path, seed)

    child = forked(telling)
    os.close(say)
    with os.fdopen(hear) as told:
        lines = [told.readline() for _ in range(batches)]
        time.sleep(extra_s)  # the moment is part of the try: nothing is waited for
        os.kill(child, signal.SIGKILL)
        lines += list(told)
    os.waitpid(child, 0)
    whole = [line.split() for line in lines if line.endswith("\n")]
    return int(whole[-1][0]) + 1, int(whole[-1][1])


def traced(work: Callable[[], object], log: Path, *options: str) -> int:
    """Carry out work in a forked process under strace; return how that ended, as waitpid says, or -1."""
    hear, say = os.pipe()

    def once_traced() -> None:
        os.close(say)
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        os.read(hear, 1)  # comes when it is traced
        work()

    child = forked(once_traced)
    os.close(hear)
    command = ["strace", "-f", "-o", str(log), *options, "-p", str(child)]
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True) as tracer:
        assert tracer.stderr is not None
        attached = "attached" in tracer.stderr.readline()
        os.write(say, b".")
        os.close(say)
        _, ended = os.waitpid(child, 0)
        tracer.communicate()
    return ended if attached else -1


def points_of(act: str, template: Path, work: Path) -> list[Point]:
    """Return every disk call an act makes: (act, call, its number among those of its kind)."""
    folder, log = work / "dry", work / "log"
    shutil.copytree(template, folder)
    assert traced(lambda: ACTS[act].perform(folder), log, "-e", f"trace={','.join(CALLS)}") == 0
    counts = Counter(
        line.split(None, 1)[1].split("(", 1)[0] for line in log.read_text(errors="replace").splitlines() if "(" in line
    )
    judged(ACTS[act], folder)
    shutil.rmtree(folder)
    return [(act, call, number) for call in CALLS for number in range(1, counts[call] + 1)]


def kill_at(point: Point, template: Path, work: Path) -> None:
    """Kill an act at one of its disk calls and hold what it leaves against the promise."""
    act, call, number = point
    folder = work / "killed"
    shutil.copytree(template, folder)
    inject = f"inject={call}:signal=SIGKILL:when={number}"
    try:
        ended = traced(lambda: ACTS[act].perform(folder), work / "log", "-e", f"trace={call}", "-e", inject)
        assert os.WIFSIGNALED(ended), f"it was not killed: {ended}"
        judged(ACTS[act], folder)
    finally:
        shutil.rmtree(folder)


def templates(work: Path, acts: Sequence[str]) -> dict[str, Path]:
    """Return each act's folder as it is before."""
    made = {}
    for act in acts:
        (work / act).mkdir(parents=True)
        made[act] = work / act / "before"
        made[act].mkdir()
        ACTS[act].prepare(made[act])
    return made


def at_disk_calls(kills: int, chance: random.Random, work: Path, tally: Tally, acts: Sequence[str] = ()) -> None:
    """Kill each act at its disk calls: at every one of them where there are enough kills, else at some."""
    made = templates(work, acts or list(ACTS))
    points = [point for act, before in made.items() for point in points_of(act, before, before.parent)]
    chosen = points if kills >= len(points) else chance.sample(points, kills)
    tally.note("disk calls", len(points))
    for point in chosen:
        with tally.counted(f"{point[0]}: {point[1]} {point[2]}"):
            kill_at(point, made[point[0]], made[point[0]].parent)


def at_random_moments(kills: int, chance: random.Random, work: Path, tally: Tally) -> None:
    """Kill a writer a moment after some of its commits."""
    for number in range(kills):
        folder = work / f"writer{number}"
        folder.mkdir(parents=True)
        seed = chance.randrange(1 << 30)
        with tally.counted(f"recording: seed {seed}"):
            batches, extra_s = chance.randrange(1, 40), chance.uniform(0, 0.05)
            acknowledged, records = killed_writer(folder / "a.t2h", seed, batches=batches, extra_s=extra_s)
            check_batches(folder / "a.t2h", seed, acknowledged, records)
        shutil.rmtree(folder)


def main(words: Iterator[str] | None = None) -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--kills", type=int, default=1000)
    asked.add_argument("--seed", type=int, default=1)
    told = asked.parse_args(None if words is None else list(words))
    chance, tally, begun = random.Random(told.seed), Tally(), time.monotonic()
    with suppress(KeyboardInterrupt), tempfile.TemporaryDirectory(prefix="kills-") as folder:
        if can_trace():
            at_disk_calls(told.kills * 3 // 4, chance, Path(folder), tally)
        at_random_moments(told.kills - tally.tried, chance, Path(folder), tally)
    return tell("kills", tally, time.monotonic() - begun)


if __name__ == "__main__":
    sys.exit(main())
