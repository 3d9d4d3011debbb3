"""The desk's real functions, handed to the window."""

from pathlib import Path

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices

from benchapp.app.bug_details import bug_details
from benchapp.desk.bench import open_bench
from benchapp.desk.findings import page_of
from benchapp.desk.importing import import_capture
from benchapp.desk.loading import load
from benchapp.desk.ports import ports
from benchapp.desk.preview import preview_capture
from benchapp.desk.reporting import write_report
from benchapp.ui.desk_calls import DeskCalls


def usual_desk() -> DeskCalls:
    """Return the desk as the program uses it."""
    return DeskCalls(
        open_bench=open_bench,
        load=load,
        build_page=page_of,
        write_report=_report,
        ports=ports,
        show_file=_show,
        preview=preview_capture,
        import_capture=import_capture,
        bug_details=bug_details,
    )


def _report(session: Path, folder: Path) -> Path:
    write_report(session, folder)
    return folder


def _show(file: Path) -> bool:
    return QDesktopServices.openUrl(QUrl.fromLocalFile(str(file)))
