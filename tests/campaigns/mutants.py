"""How many deliberate faults in a room of the program its tests notice.

python -m tests.campaigns.mutants ROOM [--most 60] [--seed 1] [--slowest 1] [--longest 120] [--only FILE] [--trusted]

Each fault is made alone, in a copy of the tree. Of the room's tests those run that reach the faulty file by what they
import: first those named like it, then the nearest; the first that fails notices it. A test that takes the processor
longer than --slowest is given up, so that a fault only it would notice counts as a survivor; a fault whose tests take
longer than --longest is undecided, as are those that make tests run for ever. Before the first fault all tests run
without one, and have to pass; --trusted leaves that out.
"""

import argparse
import json
import os
import random
import resource
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Container, Generator, Iterable, Sequence
from dataclasses import dataclass, field
from importlib.util import cache_from_source
from pathlib import Path

import pytest

from tests.campaigns.faults import Fault, faults_of, with_fault
from tests.campaigns.reach import nearest_tests

ROOT = Path(__file__).parents[2]
PARTS = ("benchapp", "tests", "resources", "sample_sessions", "pyproject.toml", "README.md", "DEVELOPERS.md")
SETTLED = (
    "numpy",
    "scipy.stats",
    "hypothesis.strategies",
    "hypothesis.extra.numpy",
    "cobs.cobs",
    "sqlite3",
    "PySide6.QtWidgets",
    "jinja2",
)
QUIETLY = ("-x", "-q", "-p", "no:cacheprovider", "--no-header", "-W", "ignore::pytest.PytestAssertRewriteWarning")


@dataclass(kw_only=True, slots=True)
class Hurry:
    """A part of pytest that gives up slow tests and leaves out what was often given up; given_up holds the names."""

    slowest_s: float
    longest_s: int = 3600
    left_out: Container[str] = ()
    given_up: list[str] = field(default_factory=list)

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Leave out what is known to be slow."""
        items[:] = [item for item in items if item.nodeid not in self.left_out]

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_call(self, item: pytest.Item) -> Generator[None, object, object]:
        """Give a test up once the processor has worked on it for too long."""

        def give_up(*_: object) -> None:
            self.given_up.append(item.nodeid)
            pytest.skip("takes too long")

        signal.signal(signal.SIGPROF, give_up)
        signal.setitimer(signal.ITIMER_PROF, self.slowest_s)
        try:
            return (yield)
        except BaseException:
            # A property's engine may turn being given up into a failure of its own.
            if item.nodeid not in self.given_up:
                raise
            return pytest.skip("takes too long")
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Outcome:
    """How the tests ended: their status, the processor's time they took, and what they printed last."""

    status: int
    cpu_s: float
    said: str
    given_up: tuple[str, ...]


def run_tests(tree: Path, where: Sequence[str], hurry: Hurry) -> Outcome:
    """Run the tests of a tree in a child that has the big packages already, until the first fails."""
    said, slow = tree.parent / "said.txt", tree.parent / "given_up.json"
    slow.write_text("[]")
    child = os.fork()
    if child == 0:
        status = 70
        try:
            _enter(tree, said, hurry.longest_s)
            status = int(pytest.main([*QUIETLY, *where], plugins=[hurry]))
            slow.write_text(json.dumps(hurry.given_up))
        except BaseException:  # noqa: BLE001 - a child never returns into the campaign
            traceback.print_exc()
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(status)
    _, raw, used = os.wait4(child, 0)
    lines = said.read_text(errors="replace").splitlines() or [""]
    told = [line for line in lines if line.startswith(("FAILED", "ERROR"))]
    status = os.waitstatus_to_exitcode(raw)
    return Outcome(
        status=status,
        cpu_s=used.ru_utime + used.ru_stime,
        said=(told or lines)[-1],
        given_up=tuple(dict.fromkeys(json.loads(slow.read_text()))),
    )


def _enter(tree: Path, said: Path, longest_s: int) -> None:
    """Make the child one of the copied tree, with a bound on its time, that prints to a file."""
    resource.setrlimit(resource.RLIMIT_CPU, (longest_s, longest_s + 5))
    for number in (1, 2):
        os.dup2(os.open(said, os.O_WRONLY | os.O_CREAT | (os.O_TRUNC if number == 1 else os.O_APPEND), 0o600), number)
    for name in [name for name in sys.modules if name.split(".")[0] in ("tests", "benchapp")]:
        del sys.modules[name]
    os.chdir(tree)
    sys.path.insert(0, str(tree))


def copied_tree(folder: Path) -> Path:
    """Return a copy of what the tests need."""
    tree = folder / "tree"
    tree.mkdir()
    for part in PARTS:
        if (ROOT / part).is_dir():
            shutil.copytree(ROOT / part, tree / part, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy2(ROOT / part, tree / part)
    return tree


def all_faults(room: str, only: str | None) -> list[tuple[Path, Fault]]:
    """Return every fault that can be made in a room, by file."""
    files: Iterable[Path] = sorted((ROOT / "benchapp" / room).rglob("*.py"))
    files = [path for path in files if only is None or path.name == only]
    return [(path.relative_to(ROOT), fault) for path in files for fault in faults_of(path.read_text())]


def campaign(
    room: str, *, most: int, seed: int, slowest_s: float, only: str | None, trusted: bool, longest_s: int, first: int
) -> int:
    """Make the faults one by one; return how many nobody noticed."""
    for name in SETTLED:
        __import__(name)
    faults = all_faults(room, only)
    chosen = random.Random(seed).sample(faults, min(most, len(faults)))
    counts: Counter[str] = Counter()
    slow: Counter[str] = Counter()
    with tempfile.TemporaryDirectory(prefix="benchapp-mutants-") as name:
        tree = copied_tree(Path(name))
        usual = None if trusted else run_tests(tree, [f"tests/{room}"], Hurry(slowest_s=slowest_s))
        if usual is not None and usual.status != 0:
            print(f"the tests fail without a fault: {usual.said}")
            return 1
        print(f"{room}: {len(faults)} faults can be made, {len(chosen)} are", flush=True)
        for number, (path, fault) in list(enumerate(chosen, 1))[first - 1 :]:
            # What two other faults let be slow is slow by itself.
            hurry = Hurry(
                slowest_s=slowest_s, longest_s=longest_s, left_out={test for test, times in slow.items() if times > 1}
            )
            done, what = try_fault(tree, path, fault, hurry)
            slow.update(done.given_up)
            verdict = "SURVIVED" if done.status == 0 else "UNDECIDED" if done.status < 0 else "noticed"
            counts[verdict] += 1
            told = f"[{done.cpu_s:.0f} s, {len(done.given_up)} given up] {what} | {_one(done.said)}"
            print(f"{number} {verdict} {told}", flush=True)
    print(f"{room}: {counts['noticed']} of {counts.total()} noticed, {counts['UNDECIDED']} left undecided")
    return counts["SURVIVED"] + counts["UNDECIDED"]


def try_fault(tree: Path, path: Path, fault: Fault, hurry: Hurry) -> tuple[Outcome, str]:
    """Make a fault in the tree, run what reaches its file, take it back; return what came of it, and what it was."""
    source = (tree / path).read_text()
    changed, before, after = with_fault(source, fault)
    (tree / path).write_text(changed)
    done = run_tests(tree, nearest_tests(tree, path), hurry)
    (tree / path).write_text(source)
    # What was compiled is known again by second and size, which two faults may share.
    Path(cache_from_source(str(tree / path))).unlink(missing_ok=True)
    return done, f"{path}:{fault.line} {fault.kind}: {_one(before)} -> {_one(after)}"


def _one(text: str) -> str:
    return " ".join(text.split())[:110]


def main() -> int:
    """Ask for the room and what to do; return 0 where every fault was noticed."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("room", choices=["waveforms", "reduction", "procedures", "sessions", "records", "presentation"])
    ask.add_argument("--most", type=int, default=60)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--slowest", type=float, default=1.0, help="leave out tests that take longer, s")
    ask.add_argument("--only", help="faults in this file alone")
    ask.add_argument(
        "--longest", type=int, default=120, help="processor's time for one fault, after which it is left, s"
    )
    ask.add_argument("--first", type=int, default=1, help="go on with this one of the faults chosen")
    ask.add_argument("--trusted", action="store_true", help="do not run the tests without a fault first")
    asked = ask.parse_args()
    begun = time.monotonic()
    left = campaign(
        asked.room,
        most=asked.most,
        seed=asked.seed,
        slowest_s=asked.slowest,
        only=asked.only,
        trusted=asked.trusted,
        longest_s=asked.longest,
        first=asked.first,
    )
    print(f"{time.monotonic() - begun:.0f} s")
    return 1 if left else 0


if __name__ == "__main__":
    sys.exit(main())
