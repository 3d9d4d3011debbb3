"""The desk's real functions, handed to the window."""

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices

from benchapp.ui.kept.settings import trash_folder
from benchapp.ui.link.desk_calls import DeskCalls

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from benchapp.desk.importing import ImportOrder
    from benchapp.desk.loading import Loaded
    from benchapp.desk.port_permission import PermissionHelp
    from benchapp.desk.ports import Port
    from benchapp.desk.preview import CapturePreview
    from benchapp.desk.trash import Discarded
    from benchapp.desk.unfinished import Unfinished
    from benchapp.presentation.ground.human_ruler import Flight
    from benchapp.presentation.ground.page import Page
    from benchapp.records.clock_check import ClockCheck, ClockProgress
    from benchapp.records.probe_install import Installed, InstallProgress
    from benchapp.records.self_test import SelfTest, SelfTestProgress
    from benchapp.ui.link.bridge import BenchRecording

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
        discard=_discard,
        take_back=_take_back,
        trashed=_trashed,
        empty_trash=_empty_trash,
        tidy=_tidy,
        copy_session=_copy_session,
        note_bench=_note_bench,
        unfinished=_unfinished,
        recover=_recover,
        permission_help=_permission_help,
        can_open=_can_open,
        is_seen=_is_seen,
        install_probe=_install_probe,
        self_test=_self_test,
        check_clock=_check_clock,
        in_menu=_in_menu,
        put_in_menu=_put_in_menu,
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


def _report(session: Path, folder: Path, photo: bool, flight: "Flight") -> Path:
    from benchapp.desk.reporting import write_report

    write_report(session, folder, photo=photo, flight=flight)
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


def _discard(session: Path) -> "Discarded":
    from benchapp.desk.trash import discard

    return discard(session, trash_folder(), now=datetime.now(UTC))


def _take_back(discarded: "Discarded") -> Path:
    from benchapp.desk.trash import take_back

    return take_back(discarded)


def _trashed(home: Path) -> "tuple[Discarded, ...]":
    from benchapp.desk.trash import discarded_sessions

    return discarded_sessions(trash_folder(), home=home)


def _copy_session(session: Path, folder: Path) -> Path:
    from benchapp.desk.copying import copy_session

    return copy_session(session, folder)


def _empty_trash() -> None:
    from benchapp.desk.trash import empty_old

    empty_old(trash_folder(), now=datetime.now(UTC))


def _tidy(folder: Path) -> int:
    from benchapp.desk.tidying import tidy

    return tidy(folder)


def _unfinished(folder: Path) -> "tuple[Unfinished, ...]":
    from benchapp.desk.unfinished import unfinished_sessions

    return unfinished_sessions(folder)


def _note_bench(session: Path, fields: "Mapping[str, str]") -> None:
    from benchapp.desk.noting import note_bench

    note_bench(session, fields)


def _recover(session: Path) -> str:
    from benchapp.desk.recovering import recover_session

    return recover_session(session)


def _permission_help(port: str) -> "PermissionHelp":
    from benchapp.desk.port_permission import permission_help

    return permission_help(port)


def _can_open(port: str) -> bool:
    from benchapp.desk.port_permission import can_open

    return can_open(port)


def _is_seen(port: str) -> bool:
    from benchapp.desk.seen_ports import is_seen

    return is_seen(port)


def _install_probe(port: str, tell: "Callable[[InstallProgress], None]", stop: "Callable[[], bool]") -> "Installed":
    from benchapp.desk.probe_install import install_probe

    return install_probe(port, tell=tell, stop=stop)


def _self_test(port: str, tell: "Callable[[SelfTestProgress], None]", stop: "Callable[[], bool]") -> "SelfTest":
    from benchapp.desk.self_test import self_test

    return self_test(port, tell=tell, stop=stop)


def _check_clock(port: str, tell: "Callable[[ClockProgress], None]", stop: "Callable[[], bool]") -> "ClockCheck":
    from benchapp.desk.clock_check import check_clock

    return check_clock(port, tell=tell, stop=stop)


def _in_menu() -> bool:
    from benchapp.desk.menu_entry import is_in_menu, menu_folder

    return is_in_menu(menu_folder())


def _put_in_menu(wanted: bool) -> None:
    from benchapp.desk.menu_entry import add_to_menu, menu_folder, remove_from_menu

    if wanted:
        add_to_menu(menu_folder())
    else:
        remove_from_menu(menu_folder())


def _show(file: Path) -> bool:
    return QDesktopServices.openUrl(QUrl.fromLocalFile(str(file)))
