"""Spoilt captures at import: a session that opens, or one clear line; no other error, and no file left."""

import random
import re
from collections.abc import Iterable
from pathlib import Path

from benchapp.desk.exporting import export
from benchapp.desk.findings import findings_document
from benchapp.desk.importing import ImportOrder, import_capture
from benchapp.records.errors import BenchError, WrongCall, WrongInput
from benchapp.records.named_tests import names_of_tests
from benchapp.records.run import PickUp
from benchapp.report.findings_json import document_text
from benchapp.sessions.exchange.thresholds import Threshold
from benchapp.sessions.opening import open_session
from tests.campaigns.fuzzers.bounds import bounded, refused
from tests.campaigns.fuzzers.chances import chance_of
from tests.campaigns.fuzzers.mutations import NUMBERS, TEXTS, spoilt_bytes, spoilt_lines
from tests.campaigns.telling import Tally
from tests.sessions.session_builder import small_session

Seed = tuple[str, bytes]
"""A file's ending, and what it holds."""
_HAND_MADE: tuple[tuple[str, str], ...] = (
    (".csv", "time_s,switch,output\n0.0,0,1\n0.1,0,1\n0.2,1,1\n0.300000001,1,0\n"),
    (".csv", 'Time [ms];"switch";stick\n0,0;0;1,5\n1,5;1;2,5\n3,0;0;0,25\n'),
    (".csv", "# a comment\n# another\ntime_us\tswitch\toutput\n0\t0\t0\n5\t1\t\n9\t\t1\n"),
    (".txt", "sample,D0,D1\n0,0,1\n1,1,1\n2,1,0\n3,0,0\n"),
    (".csv", "time_s,switch,stick\n-1e-3,0.2,1e0\n0,4.8,2.5E0\n2e-3,0.1,\n"),
    (
        ".vcd",
        "$date 2026-01-01 $end\n$timescale 1 us $end\n$scope module bench $end\n$var wire 1 ! switch $end\n"
        '$var wire 1 " output $end\n$var real 64 # stick $end\n$upscope $end\n$enddefinitions $end\n#0\n$dumpvars\n'
        '0!\n0"\nr0 #\n$end\n#100\n1!\n#7300\n1"\n#8800\n0"\nr12.5 #\nx!\n#9000\n$dumpoff\nx!\nx"\n$end\n'
        '#9100\n$dumpon\n1!\n0"\n$end\n',
    ),
    (
        ".vcd",
        '$timescale 10ns $end $var reg 4 ! bus $end $var wire 1 " switch $end $enddefinitions $end #0 b0101 ! 0" #9 1"',
    ),
)


def seeds_in(folder: Path) -> list[Seed]:
    """Return captures to spoil: exports of a session, and some written by hand."""
    session = folder / "seed.t2h"
    small_session(session, seconds=2)
    found = [(ending, text.encode()) for ending, text in _HAND_MADE]
    for to in ("vcd", "csv"):
        out = folder / f"seed.{to}"
        export(session, out, to=to)
        found.append((out.suffix, out.read_bytes()))
        out.unlink()
    session.unlink()
    return found


def fuzz(tries: Iterable[int], seed: int, folder: Path, tally: Tally) -> None:
    """Spoil captures and import them."""
    seeds = seeds_in(folder)
    for number in tries:
        chance = chance_of("captures", seed, number)
        with tally.counted(f"captures {number}"), bounded(tally):
            tally.note(_try(seeds, chance, folder))
        for left in folder.iterdir():
            left.unlink()


def _try(seeds: list[Seed], chance: random.Random, folder: Path) -> str:
    ending, data = chance.choice(seeds)
    if chance.random() < 0.7:
        data = spoilt_lines(data.decode(), chance).encode("utf-8", "surrogatepass")
    if chance.random() < 0.4:
        data = spoilt_bytes(data, chance, [other for _, other in seeds])
    capture = folder / f"spoilt{chance.choice((ending, ending, ending, '.dat'))}"
    capture.write_bytes(data)
    order = _order(capture, folder / "out.t2h", chance)
    try:
        import_capture(order)
    except BenchError as refusal:
        refused(refusal, WrongInput, WrongCall, naming=capture.name)
        left = [path.name for path in folder.iterdir()]
        if left != [capture.name]:
            raise AssertionError(f"a file was left: {left}") from refusal
        return "refused with its line" if re.search(r"line \d", refusal.message) else "refused as a whole"
    assert capture.read_bytes() == data
    assert sorted(path.name for path in folder.iterdir()) == ["out.t2h", capture.name]
    session = open_session(order.out)
    assert session.damage == ()
    assert session.kept == ""
    document_text(findings_document(order.out))
    return "imported"


def _order(capture: Path, out: Path, chance: random.Random) -> ImportOrder:
    leads = {name: name for name in ("switch", "output", "stick") if chance.random() < 0.15}
    if chance.random() < 0.05:
        leads[chance.choice(TEXTS)] = chance.choice(TEXTS)
    rare = chance.random() < 0.1
    correction = (1.0, 0.5) if chance.random() < 0.1 else (None, None)
    return ImportOrder(
        capture=capture,
        test=chance.choice((names_of_tests()[0], *names_of_tests())),
        out=out,
        leads=leads,
        invert=["switch"] if chance.random() < 0.1 else [],
        time=chance.choice(("time_s", "0", "sample")) if rare else None,
        skip=chance.choice((0, 1, 3)) if rare else 0,
        thresholds={"stick": Threshold(volts=float(chance.choice(NUMBERS)))} if chance.random() < 0.05 else {},
        threshold_words=[f"switch={chance.choice(TEXTS)}"] if chance.random() < 0.02 else [],
        pick_up=chance.choice((None, PickUp.CONTACT)),
        correction_ms=correction[0],
        correction_within_ms=correction[1],
    )
