"""The report of a comparison: four files from one page; all of them or none."""

from pathlib import Path

from benchapp.desk.comparing import Compared, compared_session
from benchapp.desk.folders import write_folder
from benchapp.desk.report_writers import files_before, writers_of
from benchapp.presentation.comparison.asides import asides
from benchapp.presentation.comparison.comparison_page import comparison_page
from benchapp.presentation.ground.numbers import written_with
from benchapp.presentation.ground.page import Page
from benchapp.report.comparison_json import FORMAT, comparison_document
from benchapp.report.filed_test import Tree
from benchapp.report.findings_json import document_text
from benchapp.report.html import render_html
from benchapp.report.pairs_csv import pairs_csv

HTML, PDF, JSON, CSV = "comparison.html", "comparison.pdf", "comparison.json", "pairs.csv"


def document_of(found: Compared) -> Tree:
    """Return a comparison as a document."""
    return comparison_document(found.comparison, [compared_session(one) for one in found.sessions], found.labels)


def asides_of(found: Compared) -> tuple[str, ...]:
    """Return what a comparison assumed, in sentences."""
    return asides(found.comparison, found.between, [path.name for path in found.paths])


def page_of_comparison(found: Compared) -> Page:
    """Return a comparison as the page that screen and report show."""
    sessions = [compared_session(one) for one in found.sessions]
    return comparison_page(found.comparison, sessions, found.labels, asides_of(found))


def write_comparison(found: Compared, folder: Path, *, pdf: bool = True, force: bool = False) -> None:
    """Write the report of a comparison into a folder.

    Raises OutputExists for a folder that is not empty without force, DiskTrouble, SystemTrouble where the PDF cannot
    be made.
    """
    with written_with("."):  # a file reads alike wherever it was made, and wherever it is read
        page = page_of_comparison(found)
        texts = {
            JSON: document_text(document_of(found)),
            HTML: render_html(page),
            CSV: pairs_csv(found.comparison, found.labels),
        }
        writers = writers_of(texts, page, PDF if pdf else "")
        write_folder(folder, writers, force=force, stale=comparison_files)


def comparison_files(folder: Path) -> list[str]:
    """Return the files in a folder that belong to a comparison written there before; none where none is there."""
    return files_before(folder, FORMAT, (JSON, HTML, PDF, CSV))
