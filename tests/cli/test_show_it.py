"""The calls a stranger makes first, as they are written."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SILENT = {"PYTHONWARNINGS": "error", "PYTHONPATH": str(ROOT)}


def benchapp(*words: str, folder: Path, **changes) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, **SILENT, **changes.pop("environment", {})}
    for name in changes.pop("without", ()):
        environment.pop(name, None)
    return subprocess.run(
        [sys.executable, "-m", "benchapp", *words],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
        **changes,
    )


def test_from_the_practice_bench_to_a_report_and_back_from_an_export(tmp_path):
    def good(*words: str) -> str:
        done = benchapp(*words, folder=tmp_path)
        list_answered = words[0] == "record"  # by --yes-safe, which prints it
        assert (done.returncode, bool(done.stderr)) == (0, list_answered), (words, done.stderr)
        return done.stdout

    probe = "practice://alder?seed=1"
    good(
        *("record", "--probe", probe, "--test", "switch-flip", "--flips", "60", "--yes-safe"),
        *("--out", "a.t2h", "--truth", "a.json"),
    )
    assert "is whole" in good("check", "a.t2h")
    assert "60 of 60 flips" in good("reduce", "a.t2h")
    document = json.loads(good("reduce", "a.t2h", "--json"))
    assert document["format"] == "benchapp findings 1"
    good("report", "a.t2h", "--out", "a-report")
    good("export", "a.t2h", "--to", "vcd", "--out", "a.vcd")
    good("import", "a.vcd", "--test", "switch-flip", "--out", "b.t2h")
    again = json.loads(good("reduce", "b.t2h", "--json"))
    assert again["runs"][0]["latency"] == document["runs"][0]["latency"]
    truth = json.loads((tmp_path / "a.json").read_text(encoding="utf-8"))
    trials = {trial["flip"]: trial for trial in document["runs"][0]["latency"]["trials"]}
    # The stamp interval is 62.5 ns at both ends; the truth is rounded to 1 ns.
    assert all(abs(trials[n]["mid_ms"] - flip["mid_ms"]) <= 1.3e-4 for n, flip in enumerate(truth["flips"], start=1))
    assert sorted(file.name for file in tmp_path.iterdir()) == ["a-report", "a.json", "a.t2h", "a.vcd", "b.t2h"]


def test_the_window_without_a_screen_says_so_and_names_the_other_way(tmp_path):
    done = benchapp(folder=tmp_path, without=("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"))
    assert done.returncode == 3
    assert "no screen" in done.stderr
    assert "benchapp --help" in done.stderr
    assert len(done.stderr.splitlines()) == 1


_WITHOUT_QT = (
    "import sys; sys.modules['PySide6'] = None; from benchapp.__main__ import run; sys.exit(run(sys.argv[1:]))"
)


def test_everything_but_the_window_and_the_pdf_works_where_qt_is_missing(recorded, tmp_path):
    def without_qt(*words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-c", _WITHOUT_QT, *words],
            cwd=tmp_path,
            env={**os.environ, **SILENT},
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )

    session = str(recorded)
    probe = ("--probe", "practice://alder?seed=2", "--test", "switch-flip", "--flips", "2")
    assert without_qt("record", *probe, "--yes-safe", "--out", "b.t2h").returncode == 0
    assert without_qt("reduce", session, "--json").returncode == 0
    assert without_qt("check", session).returncode == 0
    assert without_qt("export", session, "--to", "csv", "--out", "a.csv").returncode == 0
    assert without_qt("import", "a.csv", "--test", "switch-flip", "--out", "c.t2h").returncode == 0
    assert without_qt("report", session, "--out", "plain", "--no-pdf").returncode == 0
    done = without_qt("report", session, "--out", "whole")
    assert done.returncode == 3
    assert "--no-pdf" in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert not (tmp_path / "whole").exists()
    assert without_qt(session).returncode == 3


def test_a_reader_that_goes_away_is_no_fault(recorded, tmp_path):
    process = subprocess.Popen(
        [sys.executable, "-m", "benchapp", "reduce", str(recorded), "--json"],
        env={**os.environ, **SILENT},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert process.stdout is not None
    process.stdout.close()
    _, said = process.communicate(timeout=60)
    assert said == b""
    assert process.returncode == 0


@pytest.mark.parametrize("encoding", ["ascii", "utf-8"])
def test_a_terminal_that_cannot_show_a_sign_ends_nothing(recorded, tmp_path, encoding):
    done = benchapp("reduce", str(recorded), folder=tmp_path, environment={"PYTHONIOENCODING": encoding})
    assert (done.returncode, done.stderr) == (0, "")
