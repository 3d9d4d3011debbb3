"""Details for a bug report: versions and the log, nobody's names."""

import pytest

from benchapp.app.bug_details import LINES, bug_details, without_names
from benchapp.app.log_file import log_folder


@pytest.fixture(autouse=True)
def own_state(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))


def write_log(lines):
    log_folder().mkdir(parents=True)
    (log_folder() / "benchapp.log").write_text("\n".join(lines), encoding="utf-8")


def test_they_hold_the_versions_and_the_last_200_lines():
    write_log([f"line {number}" for number in range(500)])
    text = bug_details()
    assert "benchapp" in text
    assert "PySide6-Essentials 6." in text
    assert "numpy 2." in text
    assert "line 499" in text
    assert text.splitlines().count("line 300") == 1
    assert "line 299" not in text
    assert sum(line.startswith("line ") for line in text.splitlines()) == LINES


def test_without_a_log_they_say_so():
    assert "there is no log" in bug_details()


@pytest.mark.parametrize(
    ("line", "kept", "gone"),
    [
        ("could not open '/home/anna/Miller, job 12.t2h'", "could not open", "Miller"),
        ("session Birch at /home/anna/sessions/Miller.t2h closed", "closed", "anna"),
        ('File "/home/anna/venv/lib/benchapp/ui/bridge.py", line 80, in tick', "line 80, in tick", "anna"),
        ("probe on /dev/ttyACM0 answered", "/dev/ttyACM0", "…"),
    ],
)
def test_names_and_a_person_s_own_paths_are_taken_out(line, kept, gone):
    found = without_names(line)
    assert kept in found
    assert gone not in found


def test_what_a_message_said_loses_the_name_of_the_session_it_spoke_of():
    said = "Everything up to then is in /home/anna/sessions/2026-11-25 Miller job 12.t2h.\nThe disk is full."
    text = bug_details(said)
    assert text.startswith("Everything up to then is in ….")
    assert "The disk is full." in text
    assert "Miller" not in text
    assert "anna" not in text
