"""What can be typed after `benchapp`, and what each word means."""

import argparse
from typing import NoReturn

from benchapp.cli.call_options import CALLS
from benchapp.cli.typed import number, on_bench, one_of, pair, path, pick_up, whole
from benchapp.desk.software import software
from benchapp.presentation.ground.human_ruler import FASTEST_M_PER_S, SLOWEST_M_PER_S
from benchapp.presentation.ground.on_bench import ON_BENCH_HELP
from benchapp.presentation.screens.call_words import COMPARE_HELP, import_help, pick_up_help, roles_help
from benchapp.records.errors import WrongCall
from benchapp.records.named_tests import names_of_tests

MOST_SECONDS = 10 * 86_400.0
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
    _fill_import(add("import", "make a session from a VCD or CSV capture", f"{roles_help()}\n\n{import_help()}"))
    _fill_reduce(add("reduce", "print the findings of sessions"))
    _fill_report(add("report", "write the report of a session: HTML, PDF, JSON and CSV"))
    _fill_compare(add("compare", "set sessions side by side: which is quickest, and by how much", COMPARE_HELP))
    _fill_export(add("export", "write the raw evidence of a session for other programs"))
    _fill_share(add("share", "copy a session without what is private in it; the evidence code stays the same"))
    check = add("check", "verify every block and the evidence code of a session")
    check.add_argument("session", type=path, metavar="FILE.t2h", help=_A_SESSION)
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
    record.add_argument("--test", required=True, metavar="NAME", help=", ".join(names_of_tests()))
    record.add_argument("--out", required=True, type=path, metavar="FILE.t2h", help=_THE_SESSION)
    for options in CALLS.all():
        options.fill(record)
    record.add_argument("--seconds", type=number(0.1, MOST_SECONDS), metavar="S", help="how long")
    record.add_argument(
        "--lead",
        action="append",
        default=[],
        type=pair,
        metavar="PIN=ROLE",
        help="what a lead of the probe is clipped to, by its label; once for each lead that is not where it says",
    )
    record.add_argument("--pick-up", type=pick_up, metavar="HOW", help=pick_up_help("the probe"))
    record.add_argument("--bench", type=path, metavar="BENCH.toml", help="what is under test")
    record.add_argument("--on-bench", type=on_bench, metavar="WHAT", help=ON_BENCH_HELP)
    record.add_argument(
        "--yes-safe",
        action="store_true",
        help="answer every line of the safety list, which is printed; the session keeps that nobody ticked them",
    )
    record.add_argument("--truth", type=path, metavar="FILE.json", help="where the practice bench writes what it knows")
    record.add_argument("--force", action="store_true", help="replace files that are there")


def _fill_import(importing: argparse.ArgumentParser) -> None:
    importing.add_argument("capture", type=path, metavar="CAPTURE", help="the capture: a .vcd, .csv, .tsv or .txt file")
    importing.add_argument(
        "--test", required=True, metavar="NAME", help=f"what was done: {', '.join(names_of_tests())}"
    )
    importing.add_argument("--out", required=True, type=path, metavar="FILE.t2h", help=_THE_SESSION)
    importing.add_argument(
        "--lead",
        action="append",
        default=[],
        type=pair,
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
        "--skip", type=whole, default=0, metavar="N", help="lines of a CSV to pass over before its header row; 0"
    )
    importing.add_argument("--pick-up", type=pick_up, metavar="HOW", help=pick_up_help("the instrument"))
    importing.add_argument(
        "--threshold",
        action="append",
        default=[],
        metavar="LEAD=V[,HYST]",
        help="make a column of volts an on-off one: it changes where it crosses V, by more than half of HYST (volts)",
    )
    for options in CALLS.all():
        options.fill_import(importing)
    importing.add_argument("--force", action="store_true", help="replace a file that is there")


def _fill_reduce(reduce: argparse.ArgumentParser) -> None:
    reduce.add_argument("sessions", nargs="+", type=path, metavar="FILE.t2h", help="the sessions, one or more")
    reduce.add_argument("--json", action="store_true", help="print the findings document")
    reduce.add_argument("--strict", action="store_true", help="exit with 1 for too few flips, flips in step, or damage")


def _fill_report(report: argparse.ArgumentParser) -> None:
    report.add_argument("session", type=path, metavar="FILE.t2h", help=_A_SESSION)
    report.add_argument("--out", required=True, type=path, metavar="DIR", help="the folder to write into, made if new")
    report.add_argument("--no-pdf", action="store_true", help="leave the PDF out")
    report.add_argument("--no-photo", action="store_true", help="leave the photo of the bench out")
    report.add_argument("--all-flips", action="store_true", help="print a row for every flip in the PDF too")
    speed = number(SLOWEST_M_PER_S, FASTEST_M_PER_S)
    report.add_argument("--speed", type=speed, metavar="M/S", help="the model's speed for the ruler; 20 m/s")
    report.add_argument("--force", action="store_true", help="write into a folder that is not empty")


def _fill_compare(compare: argparse.ArgumentParser) -> None:
    compare.add_argument("sessions", nargs="*", type=path, metavar="FILE.t2h", help="the sessions, two or more")
    compare.add_argument(
        "--by", type=one_of("set"), metavar="set", help="take sessions of the same set together; else a file is a set"
    )
    compare.add_argument(
        "--aim",
        type=number(1e-6, MOST_AIM_MS),
        metavar="MS",
        help="a difference that would matter to you: whether a smaller one is certain, and what would show it",
    )
    compare.add_argument(
        "--distinct",
        type=one_of("yes", "no", "ask"),
        default="ask",
        metavar="yes|no|ask",
        help="with --by set: was the set switched off and on between two sessions where neither says so; ask",
    )
    compare.add_argument("--json", action="store_true", help="print the comparison document")
    compare.add_argument(
        "--out",
        type=path,
        metavar="DIR",
        help="the folder to write comparison.html, .pdf, .json and pairs.csv into, made if new",
    )
    compare.add_argument("--no-pdf", action="store_true", help="leave the PDF out")
    compare.add_argument("--force", action="store_true", help="write into a folder that is not empty")
    compare.add_argument("--strict", action="store_true", help="exit with 1 where two sets cannot be told apart")


def _fill_export(export: argparse.ArgumentParser) -> None:
    export.add_argument("session", type=path, metavar="FILE.t2h", help=_A_SESSION)
    export.add_argument("--to", required=True, metavar="vcd|csv", help="the format: VCD (IEEE 1364) or CSV")
    export.add_argument("--out", required=True, type=path, metavar="FILE", help="the file to write")
    export.add_argument("--force", action="store_true", help="replace a file that is there")


def _fill_share(share: argparse.ArgumentParser) -> None:
    share.add_argument("session", type=path, metavar="FILE.t2h", help=_A_SESSION)
    share.add_argument("--out", required=True, type=path, metavar="FILE.t2h", help="the copy to write")
    share.add_argument("--force", action="store_true", help="replace a file that is there")


def _fill_probe(probe: argparse.ArgumentParser) -> None:
    places = probe.add_subparsers(dest="wish", metavar="WISH", required=True, parser_class=_Parser)

    def add(name: str, what: str) -> argparse.ArgumentParser:
        wish = places.add_parser(name, help=what, description=f"{what[0].upper()}{what[1:]}.", allow_abbrev=False)
        wish.add_argument("--port", required=True, metavar="PORT", help="a serial port; benchapp ports lists them")
        wish.add_argument("--yes", action="store_true", help="do not ask: nothing the board drives can move or switch")
        return wish

    clock = add("clock", "compare the probe's clock with the computer's")
    clock.add_argument("--seconds", type=number(3, 3600), default=60.0, metavar="S", help="how long to listen; 60")
    add("test", "have the probe test its own leads: a wire from the lead that flips to each of them in turn")
    install = add("install", "upload the probe program and verify it")
    install.add_argument("--hex", type=path, metavar="FILE", help="another program than the one that came with this")
