"""The findings of a session as documents and pages."""

from pathlib import Path

from benchapp.desk.loading import Loaded, load
from benchapp.presentation.ground.human_ruler import Flight
from benchapp.presentation.ground.page import Page
from benchapp.presentation.report_page.findings_page import build_page
from benchapp.report.filed_test import Tree
from benchapp.report.findings_json import findings_document as document_of


def findings_document(path: Path) -> Tree:
    """Return the findings document of a session. Raises as load does."""
    loaded = load(path)
    return document_of(loaded.facts, loaded.findings)


def page_of(loaded: Loaded, flight: Flight | None = None) -> Page:
    """Return a loaded session as the page that screen and report show; flight: what the human ruler is drawn for."""
    return build_page(loaded.facts, loaded.findings, loaded.runs, flight)
