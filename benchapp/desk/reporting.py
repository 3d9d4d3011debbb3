"""The report of a session: three files from one page, and the tables of its tests; all of them or none."""

from dataclasses import replace
from pathlib import Path

from benchapp.desk.findings import page_of
from benchapp.desk.folders import check_folder, write_folder
from benchapp.desk.loading import Loaded, load
from benchapp.desk.report_writers import Writer, files_before, writers_of
from benchapp.presentation.ground.human_ruler import Flight
from benchapp.presentation.ground.numbers import written_with
from benchapp.presentation.ground.page import Page
from benchapp.report.csv_tables import csv_tables, table_files
from benchapp.report.findings_json import FORMAT, document_text, findings_document
from benchapp.report.html import render_html
from benchapp.report.printed import printed

HTML, PDF, JSON = "report.html", "report.pdf", "findings.json"


def write_report(
    session: Path,
    folder: Path,
    *,
    pdf: bool = True,
    force: bool = False,
    photo: bool = True,
    all_flips: bool = False,
    flight: Flight | None = None,
) -> Loaded:
    """Write the report of a session into a folder; return the session as it was loaded.

    photo tells whether the photo of the bench, if there is one, goes into it; all_flips whether the PDF has a row for
    every flip as the HTML has; flight what the human ruler is drawn for.

    Raises OutputExists for a folder that is not empty without force, DiskTrouble, SystemTrouble where the PDF cannot
    be made, and what load raises.
    """
    check_folder(folder, force=force)
    loaded = load(session)
    with written_with("."):  # a file reads alike wherever it was made, and wherever it is read
        page = page_of(loaded if photo else replace(loaded, facts=replace(loaded.facts, photo=None)), flight)
        paper = printed(page, all_flips=all_flips) if pdf else None
        write_folder(folder, _writers(loaded, page, paper), force=force, stale=report_files)
    return loaded


def report_files(folder: Path) -> list[str]:
    """Return the files in a folder that belong to a report written there before; none where no report is there."""
    return files_before(folder, FORMAT, (JSON, HTML, PDF, *table_files()))


def _writers(loaded: Loaded, page: Page, paper: Page | None) -> list[tuple[str, Writer]]:
    document = document_text(findings_document(loaded.facts, loaded.findings))
    texts = {JSON: document, HTML: render_html(page), **csv_tables(loaded.facts, loaded.findings)}
    return writers_of(texts, paper or page, PDF if paper is not None else "")
