"""The window: rail on the left, one task in the middle, a strip at the bottom that says how things are."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer, Slot
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QKeyEvent, QPaintEvent
from PySide6.QtWidgets import QMainWindow

from benchapp.acquisition.hand_orders import practice_url
from benchapp.acquisition.wishes import AcknowledgeMissed
from benchapp.presentation.ground.messages import Message
from benchapp.presentation.screens.lasting import ignored_settings_message, not_closed_message, slow_message
from benchapp.ui.kept.memory import Memory
from benchapp.ui.kept.settings import Settings, SettingsStore, session_folder
from benchapp.ui.kept.steps import Step
from benchapp.ui.link.bridge import Bridge
from benchapp.ui.link.open_session import OpenSession, ReadSession
from benchapp.ui.link.port_list import PortList
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.look.theme import Theme
from benchapp.ui.screens.start.page import StartPage
from benchapp.ui.widgets.banner import Banner
from benchapp.ui.widgets.rail import Rail
from benchapp.ui.widgets.strip import Strip
from benchapp.ui.window.file_choice import dropped_file
from benchapp.ui.window.keys import StepKeys, make_keys, press_with_enter
from benchapp.ui.window.port_watch import PortWatch
from benchapp.ui.window.progress import done_steps
from benchapp.ui.window.shelf import Shelf
from benchapp.ui.window.stage import Stage, arranged
from benchapp.ui.window.strip_state import StripState

if TYPE_CHECKING:
    from benchapp.ui.window.interior import Interior
    from benchapp.ui.window.pages import Pages

USUAL_SIZE = (1272, 672)
"""With its title bar the window fits a screen of 1280 by 720: up to 8 px beside and 48 px above it are the system's."""
LEAST_SIZE = (1024, 640)
LOOKING_FOR_PROBE = "Looking for the probe …"


class MainWindow(QMainWindow):
    """Puts the pages together with those who lead through them; it knows no rule of any of them.

    `Navigator` leads from page to page, `Doorway` lets files in and out, `Shelf` keeps sessions (recent, deleted,
    stopped early), `Preferences` puts settings in force, `Workbench` is the bench, `OpenSession` the session on screen,
    `StripState` keeps the strip; `wiring` says which page asks whom. A new page touches `pages` and `wiring`.
    """

    def __init__(self, theme: Theme, store: SettingsStore, *, bug_details: Callable[[str], str]) -> None:
        super().__init__()
        self.setWindowTitle("Thumb to Horn")
        self.setMinimumSize(*LEAST_SIZE)
        self.resize(*USUAL_SIZE)
        self.setAcceptDrops(True)
        self._theme = theme
        self._painted = False
        self._looked_around = False
        self._interior: Interior | None = None
        self.memory = Memory(store)
        self.bridge = Bridge(self)
        self.workbench = Workbench(self.bridge, folder=self._session_folder, parent=self)
        self.session = OpenSession(self.bridge, self.workbench, self)
        self.shelf = Shelf(self.bridge, self.memory, folder=self._session_folder, parent=self)
        self.ports = PortList(self.bridge, self)
        self.port_watch = PortWatch(self.bridge, self)
        self.bridge.ended.connect(self.close)
        self.bridge.slow.connect(self._show_slow)
        self.bridge.slow_over.connect(self._slow_over)
        self._arrange(bug_details)
        self.strip_state = StripState(self.strip, self.workbench, self.session, self)
        self._show_start()

    @property
    def interior(self) -> "Interior":
        """Every page behind Start with its guides, made when first wanted."""
        if self._interior is None:
            self._interior = self._make_interior()
            self._connect_start()
            self._connect_guides(self._interior)
            self._connect_bench()
            self._interior.navigator.go(Step.START)
        return self._interior

    @property
    def pages(self) -> "Pages":
        """Every page."""
        return self.interior.pages

    @property
    def settings(self) -> Settings:
        """The settings in force."""
        return self.memory.now

    @property
    def step(self) -> Step:
        """Which of the steps is shown."""
        return self.interior.navigator.step

    def _session_folder(self) -> Path:
        return session_folder(self.memory.now)

    def _arrange(self, bug_details: Callable[[str], str]) -> None:
        self.start = StartPage(self._theme, radio=self.memory.now.practice_radio)
        self.rail = Rail(self._theme)
        self.banner = Banner(bug_details)
        self.strip = Strip(self._theme)
        self.stage = Stage(self.start)
        self.setCentralWidget(arranged(rail=self.rail, banner=self.banner, stage=self.stage, strip=self.strip))

    def _show_start(self) -> None:
        self.start.show_folder(str(self._session_folder()))
        self.rail.show_place(Step.START, frozenset())
        self._show_recent()
        self.start.practise_button.setFocus()
        if self.memory.ignored:
            self.banner.show_message(ignored_settings_message(self.memory.ignored))

    def _make_interior(self) -> "Interior":
        # what Start does not need is loaded after it can be seen
        from benchapp.ui.window.interior import Interior, Shell  # noqa: PLC0415

        shell = Shell(
            window=self,
            start=self.start,
            rail=self.rail,
            banner=self.banner,
            stage=self.stage,
            bridge=self.bridge,
            ports=self.ports,
            workbench=self.workbench,
            session=self.session,
            shelf=self.shelf,
        )
        return Interior(shell, self._theme, self.memory, folder=self._session_folder)

    def _connect_guides(self, interior: "Interior") -> None:
        navigator, doorway = interior.navigator, interior.doorway
        self.rail.chosen.connect(navigator.go)
        self.rail.settings_wanted.connect(self.show_settings)
        self.rail.help_wanted.connect(navigator.show_help)
        navigator.arrived.connect(self._arrived)
        doorway.said.connect(self.banner.show_message)
        doorway.opening.connect(self._show_opening)
        for source in (interior.opener, doorway, interior.system_menu):
            source.trouble.connect(self.show_trouble)
        interior.opener.capture_shown.connect(navigator.show_capture)
        interior.probe_care.connect_port.connect(self.connect_port)
        StepKeys(self, navigator)
        make_keys(
            self,
            {
                "Alt+Left": navigator.go_back,
                "Ctrl+O": doorway.ask,
                "Ctrl+P": doorway.ask_report,
                "F1": navigator.show_help,
                "Ctrl+,": self.show_settings,
                "Ctrl+?": navigator.show_keys,
                "Ctrl+R": self.repeat_test,
            },
        )

    def _connect_start(self) -> None:
        start, shelf = self.start, self.shelf
        start.practise.connect(self.practise)
        start.connect_port.connect(self.ask_port)
        start.look_for_ports.connect(self.ports.look)
        self.ports.found.connect(start.show_ports)
        self.ports.seen.connect(self.connect_port)
        self.ports.unseen.connect(self._ask_to_open)
        self.ports.trouble.connect(self.show_trouble)
        start.ask_card.agreed.connect(self.connect_port)
        start.permission.left.connect(self.port_watch.end)
        start.delete_session.connect(shelf.delete)
        start.restore_session.connect(shelf.restore)
        shelf.trash_seen.connect(start.show_trash)
        shelf.changed.connect(self._show_recent)
        shelf.gone.connect(self.session.leave)
        shelf.said.connect(self.banner.show_message)
        shelf.trouble.connect(self.show_trouble)
        self.port_watch.helped.connect(start.show_permission)
        self.port_watch.allowed.connect(self.connect_port)
        self.strip.acknowledge.clicked.connect(self._acknowledge)

    def _connect_bench(self) -> None:
        bench = self.workbench
        bench.opening.connect(self._show_opening)
        bench.opening.connect(self.port_watch.end)
        bench.not_allowed.connect(self.port_watch.begin)
        bench.opened.connect(self._bench_opened)
        bench.closed.connect(self._show_progress)
        bench.status_changed.connect(self._show_progress)
        self.session.left.connect(self._show_progress)
        self.session.opened.connect(self._session_opened)
        self.session.refused.connect(self.shelf.refused)
        self.session.trouble.connect(self.show_trouble)
        bench.trouble.connect(self.show_trouble)
        bench.trouble_over.connect(self.banner.over)

    @Slot(Step)
    def go(self, step: Step) -> None:
        """Show a page."""
        self.interior.navigator.go(step)

    @Slot(Step)
    def _arrived(self, step: Step) -> None:
        self._show_progress()
        self.port_watch.mind(read=step is Step.START)
        if step is Step.START:
            if self.isVisible():
                self.ports.look()
                self.shelf.look_for_missing()
            self._show_recent()

    @Slot()
    def show_settings(self) -> None:
        """Show the settings over whatever page is shown."""
        self.interior.system_menu.look()
        self.interior.navigator.show_settings()

    @Slot()
    def repeat_test(self) -> None:
        """Run the last test once more, if a test may be run now."""
        self.go(Step.TESTS)
        self.pages.tests.repeat()

    @Slot(str)
    def practise(self, radio: str) -> None:
        """Open the practice bench with one of its radios."""
        self.memory.change(practice_radio=radio)
        self.workbench.open_bench(practice_url(radio), "Setting up the practice bench …")

    @Slot(str)
    def ask_port(self, port: str) -> None:
        """Open the probe on a port; ask first where none was ever seen."""
        if port.startswith("practice:"):
            self.connect_port(port)
            return
        self.start.show_opening(LOOKING_FOR_PROBE)
        self.ports.ask(port)

    @Slot(str)
    def _ask_to_open(self, port: str) -> None:
        self.start.show_opening("")
        self.start.ask_to_open(port)

    @Slot(str)
    def connect_port(self, port: str) -> None:
        """Open the probe on a port."""
        self.workbench.open_bench(port, LOOKING_FOR_PROBE)

    @Slot(object)
    def open_path(self, path: Path) -> None:
        """Open a session or a capture."""
        self.banner.over()
        self.interior.doorway.open(path)

    @Slot()
    def _show_recent(self) -> None:
        self.start.show_recent(self.shelf.recents(), emptied=self.shelf.emptied)

    @Slot(str)
    def _show_opening(self, words: str) -> None:
        self.start.show_opening(words)

    @Slot()
    def _bench_opened(self) -> None:
        self.start.show_opening("")
        self.go(Step.LEADS)

    @Slot(object)
    def _session_opened(self, session: ReadSession) -> None:
        self.start.show_opening("")
        self.shelf.opened(session)
        if self.workbench.status is None:
            self.strip_state.show_session(session)
            self.go(Step.FINDINGS)
            if session.loaded.kept:
                self.show_trouble(not_closed_message(session.loaded.facts.name, kept=session.loaded.kept))
        self._show_progress()

    @Slot()
    def _show_progress(self) -> None:
        self.rail.show_place(self.step, done_steps(self.workbench, self.session, self.pages))

    @Slot()
    def _acknowledge(self) -> None:
        self.workbench.wish(AcknowledgeMissed())

    @Slot(object)
    def show_trouble(self, message: Message) -> None:
        """Say what went wrong in the bar above the page."""
        self.start.show_opening("")
        self.banner.show_message(message)

    @Slot(str)
    def _show_slow(self, what: str) -> None:
        self.show_trouble(slow_message(what))

    @Slot(str)
    def _slow_over(self, what: str) -> None:
        if self.banner.message == slow_message(what):
            self.banner.over()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Let Enter press the button that has the focus, else the main one of the page."""
        if not press_with_enter(event, self.stage.main_button()):
            super().keyPressEvent(event)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Take files that can be opened."""
        if dropped_file(event) is not None:
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Open a file that was dropped on the window."""
        path = dropped_file(event)
        if path is not None:
            event.acceptProposedAction()
            self.open_path(path)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Make what is not seen yet, and look around, once Start has been painted: both take a while to load."""
        super().paintEvent(event)
        if not self._painted:
            self._painted = True
            QTimer.singleShot(0, self._look_around)

    @Slot()
    def _look_around(self) -> None:
        if self.interior and self.isVisible():
            self.ports.look()
            self.shelf.look_for_missing()
            self.shelf.look_for_unfinished()
            self._looked_around = True

    def closeEvent(self, event: QCloseEvent) -> None:
        """Leave the screen, keep everything, let the data threads end, and close once they have: nothing waits here."""
        self.hide()
        if self._interior is not None:
            self._interior.probe_care.cancel()
        self.workbench.shut()
        event.setAccepted(self.bridge.gone)
