"""The desk's functions as the window calls them, in one place, so that a test can put others there."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from benchapp.presentation.ground.human_ruler import Flight
from benchapp.presentation.ground.page import Page
from benchapp.records.clock_check import ClockCheck, ClockProgress
from benchapp.records.probe_install import Installed, InstallProgress
from benchapp.records.self_test import SelfTest, SelfTestProgress
from benchapp.ui.link.bridge import BenchRecording

if TYPE_CHECKING:  # the desk itself is loaded after the window can be seen
    from benchapp.desk.importing import ImportOrder
    from benchapp.desk.loading import Loaded
    from benchapp.desk.port_permission import PermissionHelp
    from benchapp.desk.preview import CapturePreview
    from benchapp.desk.trash import Discarded
    from benchapp.desk.unfinished import Unfinished


class Port(Protocol):
    """A serial port that could hold a probe."""

    @property
    def name(self) -> str:
        """The port's name, by which it is opened."""

    @property
    def words(self) -> str:
        """What the device calls itself, "" where it says nothing."""

    @property
    def seen(self) -> bool:
        """Whether a probe was on it before, or it calls itself one."""

    @property
    def identified(self) -> bool:
        """Whether the device has a USB identity."""


@dataclass(frozen=True, kw_only=True, slots=True)
class DeskCalls:
    """What the window asks of the desk: open a bench, read and report sessions, look after ports and probes.

    open_bench starts the data threads; write_report(session, folder, with the photo, for a flight) returns the folder.
    show_file hands a finished file to whatever program the system opens it with; bug_details(what a message said)
    returns it with versions and the last lines of the log, without names. discard moves a session into the trash,
    take_back moves it out again and returns where it is; empty_trash deletes for good what lay there long enough;
    tidy(folder) removes the drafts that kills left there a day ago or more, and returns how many;
    trashed(folder) lists what lies in the trash, the folder being for those nobody knows the place of any more;
    copy_session(session, folder) returns the copy.
    note_bench(session, fields) adds fields of what is under test to a closed session;
    unfinished(folder) finds the sessions that were stopped early, recover closes one and returns what was kept.
    permission_help(port) tells how a user comes to be allowed to open a port, can_open whether that has worked.
    is_seen(port) tells whether a port may be opened without asking; install_probe(port, tell, stop) puts the probe
    program on its board, telling how far it is and asking whether to stop, both on the worker.
    self_test and check_clock likewise have a probe test its leads, and its clock beside the computer's.
    in_menu tells whether the system's menu has the program, put_in_menu puts it in (True) or takes it out.
    """

    open_bench: Callable[[str], BenchRecording]
    load: Callable[[Path], "Loaded"]
    build_page: Callable[["Loaded"], Page]
    write_report: Callable[[Path, Path, bool, Flight], Path]
    ports: Callable[[], Sequence[Port]]
    show_file: Callable[[Path], object]
    preview: Callable[["ImportOrder"], "CapturePreview"]
    import_capture: Callable[["ImportOrder"], object]
    bug_details: Callable[[str], str]
    discard: Callable[[Path], "Discarded"]
    take_back: Callable[["Discarded"], Path]
    trashed: Callable[[Path], "tuple[Discarded, ...]"]
    empty_trash: Callable[[], object]
    tidy: Callable[[Path], int]
    copy_session: Callable[[Path, Path], Path]
    note_bench: Callable[[Path, Mapping[str, str]], object]
    unfinished: Callable[[Path], "tuple[Unfinished, ...]"]
    recover: Callable[[Path], str]
    permission_help: Callable[[str], "PermissionHelp"]
    can_open: Callable[[str], bool]
    is_seen: Callable[[str], bool]
    self_test: Callable[[str, Callable[[SelfTestProgress], None], Callable[[], bool]], SelfTest]
    check_clock: Callable[[str, Callable[[ClockProgress], None], Callable[[], bool]], ClockCheck]
    install_probe: Callable[[str, Callable[[InstallProgress], None], Callable[[], bool]], Installed]
    in_menu: Callable[[], bool]
    put_in_menu: Callable[[bool], object]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class OpenSession:
    """A session on screen: its file, what was read from it, and the page that shows it."""

    path: Path
    loaded: "Loaded"
    page: Page
