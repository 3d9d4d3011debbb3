"""Reports, exports, imports and checks of a session."""

import json
import shutil

import pytest

import benchapp.report.pdf
from benchapp.desk.checking import check
from benchapp.desk.exporting import export
from benchapp.desk.findings import findings_document
from benchapp.desk.importing import ImportOrder, import_capture
from benchapp.desk.loading import load
from benchapp.desk.noting import note_bench
from benchapp.desk.ports import greeted_ports, ports
from benchapp.desk.reporting import write_report
from benchapp.probe.backends.port_list import PortFacts
from benchapp.records.errors import DiskTrouble, NotOurProbe, OutputExists, SystemTrouble, WrongCall, WrongInput
from benchapp.records.photo import PHOTO, photo_text
from benchapp.records.run import Origin, PickUp
from benchapp.sessions.runs import run_start_event
from tests.sessions.session_builder import new_writer, stop, stretch

SMALL_JPEG = bytes.fromhex("ffd8ffc0000b080001000101011100ffda0008010100003f0000ffd9")


def test_the_report_is_four_files(session, tmp_path):
    write_report(session, tmp_path / "report")
    assert {file.name for file in (tmp_path / "report").iterdir()} == {
        "report.html",
        "report.pdf",
        "findings.json",
        "trials.csv",
    }
    document = json.loads((tmp_path / "report" / "findings.json").read_text(encoding="utf-8"))
    assert document == json.loads(json.dumps(findings_document(session)))
    assert (tmp_path / "report" / "report.pdf").read_bytes().startswith(b"%PDF")


def test_the_photo_of_the_bench_may_be_left_out_of_the_report(session, tmp_path):
    pictured = tmp_path / "pictured.t2h"
    shutil.copy(session, pictured)
    note_bench(pictured, {PHOTO: photo_text(SMALL_JPEG)})
    for name, photo in (("with", True), ("without", False)):
        write_report(pictured, tmp_path / name, pdf=False, photo=photo)
    texts = {name: (tmp_path / name / "report.html").read_text(encoding="utf-8") for name in ("with", "without")}
    assert {name: "image/jpeg" in text for name, text in texts.items()} == {"with": True, "without": False}
    assert load(pictured).facts.photo == SMALL_JPEG


def test_without_a_pdf_qt_is_not_asked(session, tmp_path, monkeypatch):
    def refuse(page, path):
        raise AssertionError("the PDF was made")

    monkeypatch.setattr(benchapp.report.pdf, "write_pdf", refuse)
    write_report(session, tmp_path / "report", pdf=False)
    assert not (tmp_path / "report" / "report.pdf").exists()


def test_a_pdf_that_cannot_be_made_leaves_no_report(session, tmp_path, monkeypatch):
    def refuse(page, path):
        raise SystemTrouble("no fonts")

    monkeypatch.setattr(benchapp.report.pdf, "write_pdf", refuse)
    with pytest.raises(SystemTrouble):
        write_report(session, tmp_path / "report")
    assert list(tmp_path.iterdir()) == []


def test_a_report_is_never_replaced_by_a_stump(session, tmp_path, monkeypatch):
    folder = tmp_path / "report"
    write_report(session, folder, pdf=False)
    before = {file.name: file.read_bytes() for file in folder.iterdir()}
    with pytest.raises(OutputExists):
        write_report(session, folder, pdf=False)

    def full(page, path):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(benchapp.report.pdf, "write_pdf", full)
    with pytest.raises(DiskTrouble):
        write_report(session, folder, force=True)
    assert {file.name: file.read_bytes() for file in folder.iterdir()} == before


@pytest.mark.parametrize("to", ["vcd", "csv"])
def test_an_export_imported_again_gives_the_same_findings(session, tmp_path, to):
    export(session, tmp_path / f"a.{to}", to=to)
    import_capture(ImportOrder(capture=tmp_path / f"a.{to}", test="switch-flip", out=tmp_path / "b.t2h"))
    before, after = load(session), load(tmp_path / "b.t2h")
    assert after.facts.origin is Origin.PRACTICE
    assert after.facts.name == "a"
    assert after.findings.runs[0].result == before.findings.runs[0].result
    assert after.findings.runs[0].frame == before.findings.runs[0].frame


def test_evidence_is_written_as_vcd_or_csv_and_nothing_else(session, tmp_path):
    with pytest.raises(WrongCall, match="vcd or csv"):
        export(session, tmp_path / "a.xls", to="xls")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("a.vcd", b"", "empty"),
        ("a.csv", b"time_s,switch,output\n0,0,x1\n", "line 2"),
        ("a.vcd", b"$timescale 1 ns $end\n", "a.vcd"),
        ("a.csv", b"\x00\x01\x02", "a.csv"),
    ],
)
def test_a_capture_that_cannot_be_read_leaves_nothing(tmp_path, name, content, said):
    (tmp_path / name).write_bytes(content)
    with pytest.raises((WrongInput, WrongCall)) as refusal:
        import_capture(ImportOrder(capture=tmp_path / name, test="switch-flip", out=tmp_path / "b.t2h"))
    assert said in refusal.value.message
    assert [file.name for file in tmp_path.iterdir()] == [name]


def test_what_a_capture_is_can_be_told_from_its_first_sign(session, tmp_path):
    export(session, tmp_path / "a.vcd", to="vcd")
    (tmp_path / "a.vcd").rename(tmp_path / "capture")
    import_capture(ImportOrder(capture=tmp_path / "capture", test="switch-flip", out=tmp_path / "b.t2h"))
    assert load(tmp_path / "b.t2h").findings.runs


def test_a_vcd_has_no_time_column(session, tmp_path):
    export(session, tmp_path / "a.vcd", to="vcd")
    with pytest.raises(WrongCall, match="--time and --skip"):
        import_capture(ImportOrder(capture=tmp_path / "a.vcd", test="switch-flip", out=tmp_path / "b.t2h", skip=3))


def test_an_unknown_test_is_refused_before_the_capture_is_read(tmp_path):
    with pytest.raises(WrongCall, match="link-loss"):
        import_capture(ImportOrder(capture=tmp_path / "none", test="link-loss", out=tmp_path / "b.t2h"))


def test_a_whole_session_is_whole_and_a_flipped_bit_is_found(session, tmp_path):
    assert check(session).ok
    damaged = bytearray(session.read_bytes())
    place = damaged.find(b"switch-flip")
    damaged[place] ^= 0x01
    (tmp_path / "b.t2h").write_bytes(damaged)
    assert not check(tmp_path / "b.t2h").ok


def test_a_run_that_cannot_be_reduced_is_refused_with_the_file_s_name(tmp_path):
    writer = new_writer(tmp_path / "lone.t2h")
    writer.add_stretch(stretch())
    writer.add_event(run_start_event(run=1, at_ns=0, test="moon", roles={}, pick_up=PickUp.CONTACT, stretch=1))
    writer.add_event(stop(at_ns=9))
    writer.close()
    with pytest.raises(WrongInput, match=r"^'/.*lone\.t2h': run 1 is a test 'moon'; .*\.$"):
        load(tmp_path / "lone.t2h")


def test_loading_changes_no_byte(session, tmp_path):
    copy = tmp_path / "copy.t2h"
    shutil.copy(session, copy)
    before = copy.read_bytes()
    load(copy)
    assert copy.read_bytes() == before
    assert list(tmp_path.iterdir()) == [copy]


def facts(name: str, *, known: bool) -> PortFacts:
    return PortFacts(name=name, words="a bridge", serial_number=None, usb_id=None, known=known)


def test_only_ports_known_as_a_probe_are_greeted_unless_asked_for(monkeypatch):
    greeted = []

    def greet(port):
        greeted.append(port)
        raise NotOurProbe("nothing came")

    monkeypatch.setattr("benchapp.desk.ports.list_ports", lambda: [facts("one", known=True), facts("two", known=False)])
    monkeypatch.setattr("benchapp.desk.ports.greet", greet)
    assert [port.name for port in ports()] == ["one", "two"]
    assert greeted == []
    assert [port.trouble for port in greeted_ports(everyone=False)] == ["nothing came", ""]
    assert greeted == ["one"]
    greeted_ports(everyone=True)
    assert greeted == ["one", "one", "two"]
