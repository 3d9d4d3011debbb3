"""What a probe found about itself: kept by serial number, read with suspicion, and used by the uncertainty."""

import json
import math
from dataclasses import replace
from pathlib import Path

import pytest

from benchapp.desk import self_test as desk_self_test
from benchapp.desk.probe_tests import as_tested, keep_test, kept_test
from benchapp.desk.self_test import self_test
from benchapp.records.errors import WrongCall
from benchapp.records.leads import Stretch
from benchapp.records.self_test import LeadTest, SelfTest
from benchapp.reduction.flips.budget import error_found_ns
from tests.probe.jumpered_probe import LEADS, JumperedProbe, VirtualLink
from tests.probe.scripted_probe import board


def lead_test(index: int = 1, label: str = "D2", **changes) -> LeadTest:
    found = LeadTest(
        index=index,
        label=label,
        driven=120,
        seen=120,
        strays=0,
        mean_ns=400.0,
        sd_ns=250.0,
        earliest_ns=0.0,
        latest_ns=812.0,
        coarse=3,
        keeps_promise=True,
    )
    return replace(found, **changes)


def found_of(*leads: LeadTest, serial: str = "T-1", program: str = "") -> SelfTest:
    return SelfTest(serial=serial, program=program, tested_on="2026-11-25", leads=leads)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "data" / "probe-tests.json"


def stretch(serial: str = "T-1") -> Stretch:
    return Stretch(number=1, board=board(serial=serial), leads=LEADS, origin_tick=0, origin_ns=0)


def test_a_test_comes_back_as_it_was_kept(file):
    kept = keep_test(found_of(lead_test(), lead_test(0, "D8", mean_ns=None, sd_ns=None, keeps_promise=False)), file)
    assert kept_test("T-1", file) == kept
    assert [lead.index for lead in kept.leads] == [0, 1]
    assert kept_test("T-2", file) is None
    assert kept_test("", file) is None


def test_a_lead_tested_again_replaces_the_old_result_and_the_others_stay(file):
    keep_test(found_of(lead_test(0, "D8"), lead_test(1)), file)
    keep_test(found_of(lead_test(1, mean_ns=500.0)), file)
    assert [lead.mean_ns for lead in kept_test("T-1", file).leads] == [400.0, 500.0]


def test_another_program_on_the_board_begins_anew(file):
    keep_test(found_of(lead_test(0, "D8"), program="probe 1.0"), file)
    keep_test(found_of(lead_test(1), program="probe 1.1"), file)
    assert [lead.label for lead in kept_test("T-1", file).leads] == ["D2"]


def test_a_probe_without_a_serial_number_is_not_kept(file):
    assert keep_test(found_of(lead_test(), serial=""), file).leads
    assert not file.exists()


def test_the_leads_of_that_very_probe_carry_what_was_found_and_no_other(file):
    keep_test(found_of(lead_test()), file)
    output, switch, drive = as_tested(stretch(), file).leads
    assert (switch.tested_mean_ns, switch.tested_sd_ns) == (400.0, 250.0)
    assert (output, drive) == (LEADS[0], LEADS[2])
    assert as_tested(stretch("T-2"), file).leads == LEADS
    newer = replace(stretch(), board=replace(board(), program="probe 2.0"))
    assert as_tested(newer, file).leads == LEADS


SPOILT = [
    ("serial", 7),
    ("serial", "x" * 101),
    ("program", None),
    ("leads", "many"),
    ("leads", [{}] * 17),
    ("leads", [{"index": 1}]),
    ("leads.mean_ns", "1"),
    ("leads.mean_ns", True),
    ("leads.mean_ns", 1e7),
    ("leads.sd_ns", -1.0),
    ("leads.driven", -1),
    ("leads.seen", 2.5),
    ("leads.index", 16),
    ("leads.keeps_promise", 1),
    ("leads.label", ["D2"]),
]


@pytest.mark.parametrize(("key", "value"), SPOILT)
def test_a_spoilt_test_is_no_test_and_the_others_stay(file, key, value):
    keep_test(found_of(lead_test(), serial="good"), file)
    keep_test(found_of(lead_test()), file)
    held = json.loads(file.read_text())
    place = held["probes"][1]
    where, _, field = key.rpartition(".")
    (place[where][0] if where else place)[field] = value
    file.write_text(json.dumps(held))
    assert kept_test("T-1", file) is None
    assert kept_test("good", file) is not None
    assert as_tested(stretch(), file).leads == LEADS


@pytest.mark.parametrize(
    "text", [b"", b"[1]", b'{"format": "benchapp probe tests 1", "probes": [1, null, {}]}', b"\xff"]
)
def test_a_spoilt_file_holds_no_test(file, text):
    file.parent.mkdir()
    file.write_bytes(text)
    assert kept_test("T-1", file) is None


def test_the_error_of_a_tested_lead_is_what_was_found_beyond_what_is_corrected():
    # typical lateness 812.5 ns, so 406.25 ns is taken away; found 400 ns with a spread of 250 ns
    switch = replace(LEADS[1], tested_mean_ns=400.0, tested_sd_ns=250.0)
    assert math.isclose(error_found_ns(switch), math.sqrt(6.25**2 + 250.0**2))
    assert error_found_ns(LEADS[1]) == 0.0


def test_a_self_test_from_the_desk_is_kept_and_lets_the_port_go(file, monkeypatch):
    probe = JumperedProbe(wired=lambda ms: (0,) if ms < 9000 else (1,))
    link = VirtualLink(probe)
    monkeypatch.setattr(desk_self_test, "open_link", lambda _port: link)
    found = self_test("a port", tests_file=file)
    assert (found.serial, [lead.label for lead in found.leads]) == ("T-1", ["D8", "D2"])
    assert kept_test("T-1", file) == found
    assert link.closed


def test_the_practice_bench_cannot_be_tested(file):
    with pytest.raises(WrongCall, match="The practice bench has no leads to test"):
        self_test("practice://alder", tests_file=file)
