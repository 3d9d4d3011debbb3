"""The desk's real functions, handed to the window."""

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices

from benchapp.ui.desk_calls import DeskCalls

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchapp.desk.importing import ImportOrder
    from benchapp.desk.loading import Loaded
    from benchapp.desk.ports import Port
    from benchapp.desk.preview import CapturePreview
    from benchapp.presentation.page import Page
    from benchapp.ui.bridge import BenchRecording

# Each part of the desk is loaded when it is first asked for: together they take a quarter of a second, in which the
# window can be seen already.
# ruff: noqa: PLC0415


def usual_desk() -> DeskCalls:
    """Return the desk as the program uses it."""
    return DeskCalls(
        open_bench=_open_bench,
        load=_load,
        build_page=_page,
        write_report=_report,
        ports=_ports,
        show_file=_show,
        preview=_preview,
        import_capture=_import,
        bug_details=_bug_details,
    )


def _open_bench(url: str) -> "BenchRecording":
    from benchapp.desk.bench import open_bench

    return open_bench(url)


def _load(path: Path) -> "Loaded":
    from benchapp.desk.loading import load

    return load(path)


def _page(loaded: "Loaded") -> "Page":
    from benchapp.desk.findings import page_of

    return page_of(loaded)


def _report(session: Path, folder: Path) -> Path:
    from benchapp.desk.reporting import write_report

    write_report(session, folder)
    return folder


def _ports() -> "Sequence[Port]":
    from benchapp.desk.ports import ports

    return ports()


def _preview(order: "ImportOrder") -> "CapturePreview":
    from benchapp.desk.preview import preview_capture

    return preview_capture(order)


def _import(order: "ImportOrder") -> object:
    from benchapp.desk.importing import import_capture

    return import_capture(order)


def _bug_details(said: str) -> str:
    from benchapp.app.bug_details import bug_details

    return bug_details(said)


def _show(file: Path) -> bool:
    return QDesktopServices.openUrl(QUrl.fromLocalFile(str(file)))
