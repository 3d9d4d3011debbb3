"""The report as a PDF: whole, searchable, on as many sheets as it takes."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from benchapp.presentation.ground.bench_fields import READY, UNDER_TEST
from benchapp.presentation.ground.page import PRACTICE_MARK, Page, Paragraph, Table
from benchapp.presentation.report_page.findings_page import build_page
from benchapp.records.errors import DiskTrouble, SystemTrouble
from benchapp.records.run import Origin
from benchapp.report import pdf
from benchapp.report.printed import printed
from tests.presentation import builders

pytest.importorskip("PySide6.QtGui", exc_type=ImportError)


def page(n: int = 58, **changes: object) -> Page:
    latency = builders.latency(n)
    return build_page(
        builders.facts(**changes), builders.findings(builders.run(latency)), [builders.evidence_for(latency)]
    )


def sheets(content: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", content))


def text_of(content: bytes, folder: Path) -> str:
    tool = shutil.which("pdftotext")
    if tool is None:
        pytest.skip("pdftotext is not installed")
    path = folder / "read.pdf"
    path.write_bytes(content)
    read = subprocess.run([tool, "-layout", str(path), "-"], capture_output=True, check=True)
    return read.stdout.decode().replace("\u00a0", " ")


def test_it_is_a_pdf_of_several_sheets_with_fonts_inside() -> None:
    content = pdf.pdf_bytes(page())
    assert content.startswith(b"%PDF-")
    assert content.rstrip().endswith(b"%%EOF")
    assert 4 <= sheets(content) <= 8
    assert b"/FontFile" in content
    assert len(content) < 500_000


def first_sheet(content: bytes, folder: Path) -> str:
    return text_of(content, folder).split("\f")[0]


def test_one_run_of_sixty_flips_is_four_sheets_with_its_rows_by_request() -> None:
    made = page(60)
    assert sheets(pdf.pdf_bytes(printed(made, all_flips=False))) <= 4
    assert sheets(pdf.pdf_bytes(printed(made, all_flips=True))) > 4
    named = [block.text for block in printed(made, all_flips=False).blocks if isinstance(block, Paragraph)]
    assert any("All flips that count: 60 rows in report.html" in text for text in named)
    assert not any(isinstance(block, Table) and block.by_request for block in printed(made, all_flips=False).blocks)


def test_the_first_sheet_can_be_handed_over_by_itself(tmp_path: Path) -> None:
    sheet = first_sheet(pdf.pdf_bytes(page(60)), tmp_path)
    for words in (
        "Propeller or rotor off", "A bench figure is no statement that anything is fit to fly.", "this switch-on",
        "any switch-on (one was tried)", "Delay (ms)", "At 20 m/s a model flies", "Pick-up", "Left out",
        "put back: not confirmed", builders.facts().evidence_hash, "One set, this program version",
    ):  # fmt: skip
        assert words in sheet, words
    assert "What it means" not in sheet


@pytest.mark.parametrize("changes", [
    {"name": "W" * 500}, {"bench": dict.fromkeys((*UNDER_TEST, *READY), "W" * 300)},
    {"put_back": (("leads-off", "yes"),), "evidence_hash": "f" * 500},
])  # fmt: skip
def test_whatever_was_typed_the_first_sheet_stays_one(changes: dict[str, object], tmp_path: Path) -> None:
    each = text_of(pdf.pdf_bytes(page(60, **changes)), tmp_path).split("\f")
    assert "One set, this program version" in each[0]
    assert "What it means" in each[1]


def test_its_text_can_be_searched_and_holds_every_part(tmp_path: Path) -> None:
    text = text_of(pdf.pdf_bytes(page()), tmp_path)
    order = ("Propeller or rotor off", "From the switch to the end", "± ", "At 20 m/s", "Pick-up",
             "One set, this program version", "What it means", "What was tested", "Tables")  # fmt: skip
    places = [text.index(words) for words in order]
    assert places == sorted(places)
    assert "58 of 61 flips, and why three were left out." in text
    assert "Delay (ms)" in text


def test_every_sheet_has_its_number_the_session_and_the_evidence_code(tmp_path: Path) -> None:
    content = pdf.pdf_bytes(page())
    number = sheets(content)
    each = text_of(content, tmp_path).split("\f")[:-1]
    assert len(each) == number
    for place, words in enumerate(each, start=1):
        assert f"page {place} of {number}" in words
        assert "Birch on the bench" in words
        assert builders.facts().evidence_hash in words


def test_practice_stands_on_every_sheet(tmp_path: Path) -> None:
    each = text_of(pdf.pdf_bytes(page(origin=Origin.PRACTICE)), tmp_path).split("\f")[:-1]
    assert all(words.count(PRACTICE_MARK) >= 2 for words in each)
    assert PRACTICE_MARK not in text_of(pdf.pdf_bytes(page()), tmp_path)


def test_hostile_names_stay_plain_text(tmp_path: Path) -> None:
    name = '<img src="file:///etc/passwd"> <b>&amp;</b>'
    text = text_of(pdf.pdf_bytes(page(name=name, bench={"transmitter": name, "servo": "W" * 10_000})), tmp_path)
    assert "".join(name.split()) in "".join(text.split())
    assert "root:" not in text


def test_a_thousand_flips_carry_the_table_head_over_every_sheet(tmp_path: Path) -> None:
    text = text_of(pdf.pdf_bytes(page(1000)), tmp_path)
    with_rows = [
        words for words in text.split("\f") if len(re.findall(r"^\s+\d+ +\d+\.\d{3} +(?:up|down)", words, re.M)) > 3
    ]
    assert len(with_rows) > 15
    assert all("Nearly" in words for words in with_rows)


def test_sessions_with_nothing_in_them_still_print() -> None:
    empty = build_page(builders.facts(name="", evidence_hash="", bench={}), builders.findings(), [])
    assert sheets(pdf.pdf_bytes(empty)) >= 1


def test_the_file_appears_whole_or_not_at_all(tmp_path: Path) -> None:
    pdf.write_pdf(page(), tmp_path / "report.pdf")
    assert [entry.name for entry in tmp_path.iterdir()] == ["report.pdf"]
    assert (tmp_path / "report.pdf").read_bytes().startswith(b"%PDF-")


def test_a_disk_that_refuses_is_disk_trouble_and_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(DiskTrouble, match=r"report.pdf.*No such file"):
        pdf.write_pdf(page(), tmp_path / "gone" / "report.pdf")
    (tmp_path / "taken").mkdir()
    with pytest.raises(DiskTrouble):
        pdf.write_pdf(page(), tmp_path / "taken")
    assert [entry.name for entry in tmp_path.iterdir()] == ["taken"]


def test_a_missing_system_library_names_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in [name for name in sys.modules if name.startswith("benchapp.report.pdf_")]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.delattr("benchapp.report.pdf_sheets", raising=False)
    monkeypatch.setitem(sys.modules, "PySide6.QtGui", None)
    with pytest.raises(SystemTrouble, match=r"apt-get install .*libgl1") as caught:
        pdf.pdf_bytes(page())
    assert "--no-pdf" in caught.value.message
    assert caught.value.status == 3


def test_a_system_without_fonts_is_told_which_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("benchapp.report.pdf_sheets.font_families", list)
    with pytest.raises(SystemTrouble, match="fonts-dejavu-core"):
        pdf.pdf_bytes(page())


def test_it_prints_where_no_qt_runs_and_no_screen_is(tmp_path: Path) -> None:
    script = (
        "from tests.report.test_pdf import page\n"
        "from benchapp.report.pdf import write_pdf\n"
        "from pathlib import Path\n"
        f"write_pdf(page(3), Path({str(tmp_path / 'bare.pdf')!r}))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        env={"PATH": "/usr/bin:/bin", "HOME": str(tmp_path)},
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "bare.pdf").read_bytes().startswith(b"%PDF-")


def test_a_photo_of_the_bench_is_printed_and_one_that_is_broken_only_left_out() -> None:
    jpeg = (Path(__file__).parent / "data" / "bench.jpg").read_bytes()
    without = pdf.pdf_bytes(build_page(builders.facts(), builders.findings(), ()))
    printed = pdf.pdf_bytes(build_page(builders.facts(photo=jpeg), builders.findings(), ()))
    assert printed.count(b"/Subtype /Image") == without.count(b"/Subtype /Image") + 1
    # whole up to where it says how large it is, and nothing after that
    broken = pdf.pdf_bytes(build_page(builders.facts(photo=jpeg[:200]), builders.findings(), ()))
    assert broken.startswith(b"%PDF")
