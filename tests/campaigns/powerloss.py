"""Power lost at any moment of a recording, an export and a recovery: replayed from what was asked of the disk.

python -m tests.campaigns.powerloss --losses 1000 [--seed 1]
"""

import argparse
import os
import random
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from benchapp.desk.outputs import write_whole
from benchapp.sessions.copying import save_copy
from benchapp.sessions.opening import open_session, verify
from benchapp.sessions.recovery import recover
from tests.campaigns.disk import CALLS, Asked, read_log, replayed
from tests.campaigns.kills import traced
from tests.campaigns.telling import Tally, tell
from tests.desk.stopped_session import stopped_early
from tests.sessions.session_builder import OUTPUT, SWITCH, edges, new_writer, start, stretch

S = 1_000_000_000
COMMITS = 40
LEFT_FLIPS = 39
TEXT = [f"line {number}\n".encode() * 40 for number in range(200)]


@dataclass(frozen=True, kw_only=True, slots=True)
class Lived:
    """Something the power may go in: the folder before, what is done there, and how what is found is judged.

    judge gets the folder and what the program had said by then.
    """

    prepare: Callable[[Path], object]
    perform: Callable[[Path], object]
    judge: Callable[[Path, str], None]


def _record(folder: Path) -> None:
    """A recording that folds its second file in now and then, and says after each commit what was acknowledged."""
    writer = new_writer(folder / "a.t2h")
    writer._connection.execute("PRAGMA wal_autocheckpoint = 60").fetchall()
    chance = np.random.default_rng(4)
    writer.add_stretch(stretch())
    writer.add_event(start(at_ns=0))
    for second in range(1, COMMITS + 1):
        writer.add_record(1, edges(SWITCH, [second * S], first_level=second & 1))
        writer.add_record(1, edges(OUTPUT, np.sort(chance.integers((second - 1) * S, second * S, 60))))
        writer.commit()
        os.write(1, f"{second}\n".encode())
    writer.close()
    os.write(1, b"closed\n")


def _judge_recording(folder: Path, said: str) -> None:
    acknowledged = sum(line.isdigit() for line in said.split())
    path = folder / "a.t2h"
    if not acknowledged and not path.exists():
        return
    session = open_session(path)
    flips = session.edges(1, SWITCH).count if session.stretches else 0
    assert flips >= acknowledged, f"{flips} of {acknowledged} that were acknowledged"
    if "closed" in said:
        assert session.closed
    assert session.damage == (), session.damage
    recover(path)
    assert verify(path).ok


def _judge_export(folder: Path, said: str) -> None:
    assert (folder / "out.csv").read_bytes() in (b"old", b"".join(TEXT))
    assert "done" not in said or (folder / "out.csv").read_bytes() != b"old"


def _export(folder: Path) -> None:
    write_whole(folder / "out.csv", TEXT, force=True)
    os.write(1, b"done\n")


def _recover(folder: Path) -> None:
    recover(folder / "a.t2h")
    os.write(1, b"done\n")


def _copy(folder: Path) -> None:
    save_copy(folder / "a.t2h", folder / "b.t2h")
    os.write(1, b"done\n")


def _judge_recovered(folder: Path, said: str) -> None:
    path = folder / "a.t2h"
    session = open_session(path)
    assert session.edges(1, SWITCH).count == LEFT_FLIPS, session.damage
    assert session.damage == (), session.damage
    assert session.closed or "done" not in said
    recover(path)
    assert verify(path).ok


def _judge_copy(folder: Path, said: str) -> None:
    _judge_recovered(folder, "")
    if "done" in said or (folder / "b.t2h").exists():
        assert verify(folder / "b.t2h").ok


LIVES = {
    "record": Lived(prepare=lambda folder: None, perform=_record, judge=_judge_recording),
    "export": Lived(
        prepare=lambda folder: (folder / "out.csv").write_text("old"), perform=_export, judge=_judge_export
    ),
    "recover": Lived(
        prepare=lambda folder: stopped_early(folder / "a.t2h", seconds=LEFT_FLIPS),
        perform=_recover,
        judge=_judge_recovered,
    ),
    "copy": Lived(
        prepare=lambda folder: stopped_early(folder / "a.t2h", seconds=LEFT_FLIPS), perform=_copy, judge=_judge_copy
    ),
}
SHARES = {"record": 0.6, "export": 0.1, "recover": 0.2, "copy": 0.1}


def asked_by(life: Lived, work: Path) -> tuple[Path, list[Asked]]:
    """Return the folder as it was before, and everything that was asked of the disk."""
    before, folder, log = work / "before", work / "lived", work / "log"
    before.mkdir(parents=True)
    life.prepare(before)
    shutil.copytree(before, folder)
    ended = traced(lambda: life.perform(folder), log, "-xx", "-s", "1000000", "-e", f"trace={CALLS}")
    assert ended == 0
    asked = read_log(log.read_text())
    shutil.rmtree(folder)
    before.rename(folder)  # the log speaks of the folder by this name
    return folder, asked


def lose_power(losses: int, chance: random.Random, work: Path, tally: Tally) -> None:
    """Lose the power so many times, at moments spread over everything that is asked of the disk."""
    for name, share in SHARES.items():
        before, asked = asked_by(LIVES[name], work / name)
        tally.note(f"calls of {name}", len(asked))
        for number in range(max(1, round(losses * share))):
            found = work / name / "found"
            found.mkdir()
            moment = chance.randint(0, len(asked))
            with tally.counted(f"{name} {number}: after {moment} of {len(asked)} calls"):
                disk = replayed(before, asked[:moment])
                disk.lose_power(chance, found)
                LIVES[name].judge(found, disk.said)
            shutil.rmtree(found)


def main(words: Iterator[str] | None = None) -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--losses", type=int, default=1000)
    asked.add_argument("--seed", type=int, default=1)
    told = asked.parse_args(None if words is None else list(words))
    tally, begun = Tally(), time.monotonic()
    with suppress(KeyboardInterrupt), tempfile.TemporaryDirectory(prefix="powerloss-") as folder:
        lose_power(told.losses, random.Random(told.seed), Path(folder).resolve(), tally)
    return tell("powerloss", tally, time.monotonic() - begun)


if __name__ == "__main__":
    sys.exit(main())
