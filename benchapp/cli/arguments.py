"""What can be typed after `benchapp`, and what each word means."""

import argparse
import math
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NoReturn

from benchapp.desk.names import shown
from benchapp.desk.recording import MOST_SWITCH_ONS
from benchapp.desk.software import software
from benchapp.presentation.ground.on_bench import ON_BENCH_HELP
from benchapp.presentation.screens.call_words import COMPARE_HELP, IMPORT_HELP, pick_up_help, roles_help
from benchapp.procedures.gate import OnBench
from benchapp.records.errors import WrongCall
from benchapp.records.run import TESTS, PickUp
from benchapp.records.run_settings import MOST_CORRECTION_MS

MOST_FLIPS = 100_000
MOST_SECONDS = 10 * 86_400.0
MOST_CYCLES = 1000
_A_SESSION = "a session file"
_THE_SESSION = "the session file to write"
MOST_AIM_MS = 10_000.0


class _Parser(argparse.ArgumentParser):
    """Says what is wrong as a WrongCall, on one line."""

    def error(self, message: str) -> NoReturn:
        raise WrongCall(f"{message}. See {self.prog} --help.")


def parser() -> argparse.ArgumentParser:
    """Return the parser of every command. It raises WrongCall for what it does not understand."""
    top = _Parser(
        prog="benchapp",
        description="Thumb to Horn: times a model-control radio set on the bench, from the switch to the servo pulse.",
        epilog="benchapp alone, or with a session file, opens the window.",
        allow_abbrev=False,
    )
    top.add_argument("--version", action="version", version=software())
    places = top.add_subparsers(dest="command", metavar="COMMAND", required=True, parser_class=_Parser)

    def add(name: str, what: str, more: str = "") -> argparse.ArgumentParser:
        return places.add_parser(
            name,
            help=what,
            description=f"{what[0].upper()}{what[1:]}.",
            epilog=more,
            formatter_class=argparse.RawDescriptionHelpFormatter,
            allow_abbrev=False,
        )

    _fill_record(add("record", "run a test without a window", roles_help()))
    _fill_import(add("import", "make a session from a VCD or CSV capture", f"{roles_help()}\n\n{IMPORT_HELP}"))
    _fill_reduce(add("reduce", "print the findings of sessions"))
    _fill_report(add("report", "write the report of a session: HTML, PDF, JSON and CSV"))
    _fill_compare(add("compare", "set sessions side by side: which is quickest, and by how much", COMPARE_HELP))
    _fill_export(add("export", "write the raw evidence of a session for other programs"))
    _fill_share(add("share", "copy a session without what is private in it; the evidence code stays the same"))
    check = add("check", "verify every block and the evidence code of a session")
    check.add_argument("session", type=_path, metavar="FILE.t2h", help=_A_SESSION)
    ports = add("ports", "list the serial ports; those known as a probe are greeted")
    ports.add_argument("--greet", action="store_true", help="greet the other ports as well, which can reset a board")
    _fill_probe(add("probe", "look after a probe: install its program, have it test itself"))
    menu = add("menu", "put the program into this user's menu; a session then opens in it by a double click")
    menu.add_argument("--remove", action="store_true", help="take it out of the menu again")
    return top


def commands() -> frozenset[str]:
    """Return every command's name."""
    return frozenset(
        {"record", "import", "reduce", "report", "compare", "export", "share", "check", "ports", "probe", "menu"}
    )


def _fill_record(record: argparse.ArgumentParser) -> None:
    record.add_argument("--probe", required=True, metavar="URL", help="a serial port, or practice://RADIO?seed=N&…")
    record.add_argument("--test", required=True, metavar="NAME", help=", ".join(TESTS))
    record.add_argument("--out", required=True, type=_path, metavar="FILE.t2h", help=_THE_SESSION)
    record.add_argument(
        "--flips", type=_counted(MOST_FLIPS), metavar="N", help="flips of the switch; 60 if no end is given"
    )
    record.add_argument(
        "--switch-ons",
        type=_counted(MOST_SWITCH_ONS),
        metavar="K",
        help=_of("switch-flip", "spread the flips over so many switch-ons of the transmitter; 1"),
    )
    record.add_argument("--seconds", type=_number(0.1, MOST_SECONDS), metavar="S", help="how long")
    _fill_stick_options(record)
    record.add_argument("--target-ms", type=_number(1e-6, 1e6), metavar="X", help="stop at this give or take")
    record.add_argument(
        "--lead",
        action="append",
        default=[],
        type=_pair,
        metavar="PIN=ROLE",
        help="what a lead of the probe is clipped to, by its label; once for each lead that is not where it says",
    )
    record.add_argument("--pick-up", type=_pick_up, metavar="HOW", help=pick_up_help("the probe"))
    _fill_correction(record)
    record.add_argument("--bench", type=_path, metavar="BENCH.toml", help="what is under test")
    record.add_argument("--on-bench", type=_on_bench, metavar="WHAT", help=ON_BENCH_HELP)
    record.add_argument(
        "--yes-safe",
        action="store_true",
        help="answer every line of the safety list, which is printed; the session keeps that nobody ticked them",
    )
    record.add_argument(
        "--truth", type=_path, metavar="FILE.json", help="where the practice bench writes what it knows"
    )
    record.add_argument("--force", action="store_true", help="replace files that are there")


def _fill_correction(parser: argparse.ArgumentParser) -> None:
    amount = _number(-MOST_CORRECTION_MS, MOST_CORRECTION_MS)
    parser.add_argument(
        "--correction", type=amount, metavar="MS", help=_of("switch-flip", "added to every latency, as -1.5")
    )
    parser.add_argument(
        "--correction-within",
        type=_number(0, MOST_CORRECTION_MS),
        metavar="MS",
        help=_of("switch-flip", "how far the correction may be off, either way"),
    )


def _fill_stick_options(record: argparse.ArgumentParser) -> None:
    count = _counted(MOST_CYCLES)
    record.add_argument(
        "--cycles", type=count, metavar="N", help=_of("stick-sweep", "full cycles; 3 if no end is given")
    )
    record.add_argument(
        "--stops",
        type=_stops,
        metavar="N|DEG,…",
        help=_of("stick-sweep", "by stops: 5, 9, 11 or 21 even ones, or --stops=-30,-15,…"),
    )
    record.add_argument(
        "--stops-within", type=_number(0, 45), metavar="DEG", help=_of("stick-sweep", "how far a stop may be off; 0.5")
    )
    record.add_argument(
        "--positions",
        type=count,
        metavar="N",
        help=_of("hold-still", "at so many positions, for --seconds (20) at each"),
    )


def _of(test: str, words: str) -> str:
    """Return what an option of one test does; the help is silent about a test that is not there yet."""
    return f"{test}: {words}" if test in TESTS else argparse.SUPPRESS


def _fill_import(importing: argparse.ArgumentParser) -> None:
    importing.add_argument(
        "capture", type=_path, metavar="CAPTURE", help="the capture: a .vcd, .csv, .tsv or .txt file"
    )
    importing.add_argument("--test", required=True, metavar="NAME", help=f"what was done: {', '.join(TESTS)}")
    importing.add_argument("--out", required=True, type=_path, metavar="FILE.t2h", help=_THE_SESSION)
    importing.add_argument(
        "--lead",
        action="append",
        default=[],
        type=_pair,
        metavar="NAME=ROLE",
        help="what a wire or column of the capture was clipped to; once for each, none for one named like its role",
    )
    importing.add_argument(
        "--invert", action="append", default=[], metavar="NAME", help="turn 0 and 1 of a wire or column over"
    )
    importing.add_argument(
        "--time", metavar="NAME[:UNIT]", help="the time column of a CSV, in s, ms, us or ns; time_s where not given"
    )
    importing.add_argument(
        "--skip", type=_whole, default=0, metavar="N", help="lines of a CSV to pass over before its header row; 0"
    )
    importing.add_argument("--pick-up", type=_pick_up, metavar="HOW", help=pick_up_help("the instrument"))
    importing.add_argument(
        "--threshold",
        action="append",
        default=[],
        metavar="LEAD=V[,HYST]",
        help="make a column of volts an on-off one: it changes where it crosses V, by more than half of HYST (volts)",
    )
    _fill_correction(importing)
    importing.add_argument("--force", action="store_true", help="replace a file that is there")


def _fill_reduce(reduce: argparse.ArgumentParser) -> None:
    reduce.add_argument("sessions", nargs="+", type=_path, metavar="FILE.t2h", help="the sessions, one or more")
    reduce.add_argument("--json", action="store_true", help="print the findings document")
    reduce.add_argument("--strict", action="store_true", help="exit with 1 for too few flips, flips in step, or damage")


def _fill_report(report: argparse.ArgumentParser) -> None:
    report.add_argument("session", type=_path, metavar="FILE.t2h", help=_A_SESSION)
    report.add_argument("--out", required=True, type=_path, metavar="DIR", help="the folder to write into, made if new")
    report.add_argument("--no-pdf", action="store_true", help="leave the PDF out")
    report.add_argument("--no-photo", action="store_true", help="leave the photo of the bench out")
    report.add_argument("--force", action="store_true", help="write into a folder that is not empty")


def _fill_compare(compare: argparse.ArgumentParser) -> None:
    compare.add_argument("sessions", nargs="*", type=_path, metavar="FILE.t2h", help="the sessions, two or more")
    compare.add_argument(
        "--by", type=_one_of("set"), metavar="set", help="take sessions of the same set together; else a file is a set"
    )
    compare.add_argument(
        "--aim",
        type=_number(1e-6, MOST_AIM_MS),
        metavar="MS",
        help="a difference that would matter to you: whether a smaller one is certain, and what would show it",
    )
    compare.add_argument(
        "--distinct",
        type=_one_of("yes", "no", "ask"),
        default="ask",
        metavar="yes|no|ask",
        help="with --by set: was the set switched off and on between two sessions where neither says so; ask",
    )
    compare.add_argument("--json", action="store_true", help="print the comparison document")
    compare.add_argument(
        "--out",
        type=_path,
        metavar="DIR",
        help="the folder to write comparison.html, .pdf, .json and pairs.csv into, made if new",
    )
    compare.add_argument("--no-pdf", action="store_true", help="leave the PDF out")
    compare.add_argument("--force", action="store_true", help="write into a folder that is not empty")
    compare.add_argument("--strict", action="store_true", help="exit with 1 where two sets cannot be told apart")


def _fill_export(export: argparse.ArgumentParser) -> None:
    export.add_argument("session", type=_path, metavar="FILE.t2h", help=_A_SESSION)
    export.add_argument("--to", required=True, metavar="vcd|csv", help="the format: VCD (IEEE 1364) or CSV")
    export.add_argument("--out", required=True, type=_path, metavar="FILE", help="the file to write")
    export.add_argument("--force", action="store_true", help="replace a file that is there")


def _fill_share(share: argparse.ArgumentParser) -> None:
    share.add_argument("session", type=_path, metavar="FILE.t2h", help=_A_SESSION)
    share.add_argument("--out", required=True, type=_path, metavar="FILE.t2h", help="the copy to write")
    share.add_argument("--force", action="store_true", help="replace a file that is there")


def _fill_probe(probe: argparse.ArgumentParser) -> None:
    places = probe.add_subparsers(dest="wish", metavar="WISH", required=True, parser_class=_Parser)

    def add(name: str, what: str) -> argparse.ArgumentParser:
        wish = places.add_parser(name, help=what, description=f"{what[0].upper()}{what[1:]}.", allow_abbrev=False)
        wish.add_argument("--port", required=True, metavar="PORT", help="a serial port; benchapp ports lists them")
        wish.add_argument("--yes", action="store_true", help="do not ask: nothing the board drives can move or switch")
        return wish

    clock = add("clock", "compare the probe's clock with the computer's")
    clock.add_argument("--seconds", type=_number(3, 3600), default=60.0, metavar="S", help="how long to listen; 60")
    add("test", "have the probe test its own leads: a wire from the lead that flips to each of them in turn")
    install = add("install", "upload the probe program and verify it")
    install.add_argument("--hex", type=_path, metavar="FILE", help="another program than the one that came with this")


def _path(text: str) -> Path:
    if not text or "\0" in text:
        raise argparse.ArgumentTypeError(f"the name of a file was expected, got {shown(text)}")
    return Path(text)


def _pick_up(text: str) -> PickUp:
    known = [kind.value for kind in PickUp]
    if text not in known:
        raise argparse.ArgumentTypeError(f"one of {', '.join(known)} was expected, got {shown(text)}")
    return PickUp(text)


def _one_of(*words: str) -> Callable[[str], str]:
    def read(text: str) -> str:
        if text not in words:
            raise argparse.ArgumentTypeError(f"one of {', '.join(words)} was expected, got {shown(text)}")
        return text

    return read


def _on_bench(text: str) -> OnBench:
    known = [answer.value for answer in OnBench]
    if text not in known:
        raise argparse.ArgumentTypeError(f"one of {', '.join(known)} was expected, got {shown(text)}")
    return OnBench(text)


def _counted(most: int) -> Callable[[str], int]:
    def read(text: str) -> int:
        if not text.isascii() or not text.isdigit() or not 1 <= int(text[:12]) <= most:
            raise argparse.ArgumentTypeError(f"a whole number from 1 to {most} was expected, got {shown(text)}")
        return int(text)

    return read


def _stops(text: str) -> int | tuple[float, ...]:
    """Return the number of a preset, or the positions."""
    if text.isascii() and text.isdigit() and len(text) < 4:
        return int(text)
    try:
        stops = tuple(float(piece) for piece in text.split(","))
    except ValueError:
        stops = ()
    if not stops or not all(abs(stop) <= 360 for stop in stops):
        raise argparse.ArgumentTypeError(
            f"a number of stops, or positions in degrees with commas between, was expected, got {shown(text)}"
        )
    return stops


def _whole(text: str) -> int:
    if not text.isascii() or not text.isdigit() or len(text) > 12:
        raise argparse.ArgumentTypeError(f"a whole number of lines was expected, got {shown(text)}")
    return int(text)


def _number(low: float, high: float) -> Callable[[str], float]:
    def read(text: str) -> float:
        try:
            value = float(text)
        except ValueError:
            value = math.nan
        if not low <= value <= high:
            raise argparse.ArgumentTypeError(f"a number from {low:g} to {high:g} was expected, got {shown(text)}")
        return value

    return read


def _pair(text: str) -> tuple[str, str]:
    name, equals, role = text.rpartition("=")
    if not name or not equals or not role:
        raise argparse.ArgumentTypeError(f"NAME=ROLE was expected, got {shown(text)}")
    return name, role


def unique(pairs: Sequence[tuple[str, str]], option: str) -> dict[str, str]:
    """Return {name: role}. Raises WrongCall where a name or a role is given twice."""
    found: dict[str, str] = {}
    for name, role in pairs:
        if name in found:
            raise WrongCall(f"{option} names {shown(name)} twice; a lead can be clipped to one thing.")
        if role in found.values():
            raise WrongCall(f"{option} gives the role {shown(role)} twice; only one lead can have it.")
        found[name] = role
    return found
