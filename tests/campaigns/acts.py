"""Calls that change files, each with how a folder is before it and what may be found there after it was killed."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from benchapp.desk.exporting import export
from benchapp.desk.importing import ImportOrder, import_capture
from benchapp.desk.recording import RecordOrder, record
from benchapp.desk.reporting import write_report
from benchapp.records.run import RunSettings
from benchapp.sessions.copying import save_copy
from benchapp.sessions.drafts import remove_left_drafts
from benchapp.sessions.lock import is_held
from benchapp.sessions.opening import open_session, verify
from benchapp.sessions.recovery import recover
from tests.desk.stopped_session import stopped_early
from tests.sessions.session_builder import SWITCH, edges, new_writer, start, stretch

LEFT_FLIPS = 39
SECOND = 1_000_000_000
YEARS_LATER_S = 4e9
_TELLING = {"findings.json", "report.html", "trials.csv", "sweeps.csv"}


def _recorded(path: Path, seed: int) -> None:
    record(
        RecordOrder(
            probe=f"practice://alder?seed={seed}&flips=golden",
            test="switch-flip",
            out=path,
            settings=RunSettings(flips=3),
            confirmed=("practice",),
        ),
        lambda status: None,
    )


def _prepare_sessions(folder: Path) -> None:
    """One session left by a crash, one closed, and a capture of that."""
    stopped_early(folder / "a.t2h", seconds=LEFT_FLIPS)
    _recorded(folder / "cedar-bench.t2h", 21)
    export(folder / "cedar-bench.t2h", folder / "capture.vcd", to="vcd")


def _prepare_report(folder: Path) -> None:
    _recorded(folder / "cedar-bench.t2h", 21)
    _recorded(folder / "birch-bench.t2h", 22)
    write_report(folder / "birch-bench.t2h", folder / "report", pdf=False)
    (folder / "report" / "sweeps.csv").write_text("of birch-bench")
    (folder / "report" / "mine.txt").write_text("mine")


def _prepare_report_inside(folder: Path) -> None:
    _prepare_report(folder)
    (folder / "report" / "photos").mkdir()
    (folder / "report" / "photos" / "mine.txt").write_text("mine")


def _prepare_export(folder: Path) -> None:
    _recorded(folder / "cedar-bench.t2h", 21)
    (folder / "out.csv").write_text("old")
    (folder / "out.csv-journal").write_text("what we did on Monday")


def _prepare_crash(folder: Path) -> None:
    stopped_early(folder / "a.t2h", seconds=LEFT_FLIPS)


def _import(folder: Path) -> None:
    import_capture(ImportOrder(capture=folder / "capture.vcd", test="switch-flip", out=folder / "a.t2h", force=True))


def _record(folder: Path) -> None:
    """What `record --force` asks of the disk, with a commit after every flip."""
    writer = new_writer(folder / "a.t2h", force=True, name="the new one")
    writer.add_stretch(stretch())
    writer.add_event(start(at_ns=0))
    for second in range(1, 8):
        writer.add_record(1, edges(SWITCH, [second * SECOND]))
        writer.commit()
    writer.close()


def _judge_session(folder: Path) -> None:
    """The old session whole, or the new one whole as far as it came."""
    path = folder / "a.t2h"
    session = open_session(path)
    assert session.damage == (), session.damage
    if session.facts.name == "bench one":
        assert session.edges(1, SWITCH).count == LEFT_FLIPS
    elif session.facts.name == "the new one":
        times = session.edges(1, SWITCH).times_ns if session.stretches else np.empty(0)
        assert np.array_equal(times, SECOND * np.arange(1, times.size + 1))
    else:
        assert session.facts.name in ("capture", "cedar-bench"), session.facts.name
        assert session.closed
    assert not is_held(path)
    recover(path)
    assert verify(path).ok


def _judge_recovered(folder: Path) -> None:
    session = open_session(folder / "a.t2h")
    assert session.damage == (), session.damage
    assert session.edges(1, SWITCH).count == LEFT_FLIPS
    recover(folder / "a.t2h")
    assert verify(folder / "a.t2h").ok
    assert open_session(folder / "a.t2h").edges(1, SWITCH).count == LEFT_FLIPS


def _owners(folder: Path) -> set[str]:
    """Whose files lie in a report: those of the new session, of the old one, or of neither."""
    names = {"cedar-bench": "new", "birch-bench": "old"}
    return {
        owner
        for path in (folder / "report").iterdir()
        if path.name in _TELLING
        for word, owner in names.items()
        if word in path.read_text()
    }


def _judge_swapped(folder: Path) -> None:
    there = {path.name for path in (folder / "report").iterdir()}
    owners = _owners(folder)
    assert len(owners) == 1, owners
    assert there >= {"findings.json", "report.html", "trials.csv", "mine.txt"}, there
    assert ("sweeps.csv" in there) == (owners == {"old"})


def _judge_inside(folder: Path) -> None:
    assert len(_owners(folder)) <= 1
    assert (folder / "report" / "mine.txt").read_text() == "mine"
    assert (folder / "report" / "photos" / "mine.txt").read_text() == "mine"


def _judge_export(folder: Path) -> None:
    text = (folder / "out.csv").read_text()
    assert text == "old" or (text.startswith("time_s") and text.endswith("\n")), text[:80]
    if text != "old":
        assert text == (folder.parent / "whole.csv").read_text()
    assert (folder / "out.csv-journal").read_text() == "what we did on Monday"


def _prepare_export_whole(folder: Path) -> None:
    _prepare_export(folder)
    export(folder / "cedar-bench.t2h", folder.parent / "whole.csv", to="csv", force=True)


@dataclass(frozen=True, kw_only=True, slots=True)
class Act:
    """prepare makes the folder, perform is what is killed, judge holds the folder against the promise."""

    prepare: Callable[[Path], None]
    perform: Callable[[Path], object]
    judge: Callable[[Path], None]


ACTS = {
    "import": Act(prepare=_prepare_sessions, perform=_import, judge=_judge_session),
    "record": Act(prepare=_prepare_crash, perform=_record, judge=_judge_session),
    "copy": Act(
        prepare=_prepare_sessions,
        perform=lambda folder: save_copy(folder / "cedar-bench.t2h", folder / "a.t2h", force=True),
        judge=_judge_session,
    ),
    "recover": Act(prepare=_prepare_crash, perform=lambda folder: recover(folder / "a.t2h"), judge=_judge_recovered),
    "report": Act(
        prepare=_prepare_report,
        perform=lambda folder: write_report(folder / "cedar-bench.t2h", folder / "report", pdf=False, force=True),
        judge=_judge_swapped,
    ),
    "report-inside": Act(
        prepare=_prepare_report_inside,
        perform=lambda folder: write_report(folder / "cedar-bench.t2h", folder / "report", pdf=False, force=True),
        judge=_judge_inside,
    ),
    "export": Act(
        prepare=_prepare_export_whole,
        perform=lambda folder: export(folder / "cedar-bench.t2h", folder / "out.csv", to="csv", force=True),
        judge=_judge_export,
    ),
}


def judged(act: Act, folder: Path) -> None:
    """Hold a folder against the act's promise, and see that a start a day later tidies all drafts away."""
    act.judge(folder)
    for inner in (folder, *(path for path in folder.iterdir() if path.is_dir())):
        remove_left_drafts(inner, now_s=YEARS_LATER_S)
    assert not list(folder.rglob(".benchapp-*"))
