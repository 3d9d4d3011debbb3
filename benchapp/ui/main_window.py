"""The window: rail on the left, one task in the middle, a strip at the bottom that says how things are."""

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QTimer, Slot
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QKeyEvent, QShowEvent
from PySide6.QtWidgets import QMainWindow

from benchapp.acquisition.hand_orders import practice_url
from benchapp.acquisition.wishes import AcknowledgeMissed
from benchapp.presentation.lasting import not_closed_message
from benchapp.presentation.messages import Message
from benchapp.ui.bridge import Bridge
from benchapp.ui.desk_calls import DeskCalls, OpenSession, Port
from benchapp.ui.doorway import Doorway
from benchapp.ui.file_choice import dropped_file
from benchapp.ui.keys import StepKeys, make_keys, press_with_enter
from benchapp.ui.memory import Memory
from benchapp.ui.navigator import Navigator
from benchapp.ui.opener import Opener
from benchapp.ui.pages import make_pages
from benchapp.ui.port_watch import PortWatch
from benchapp.ui.preferences import Preferences
from benchapp.ui.probe_care import ProbeCare
from benchapp.ui.progress import done_steps
from benchapp.ui.settings import Settings, SettingsStore, session_folder
from benchapp.ui.shelf import Shelf
from benchapp.ui.stage import Stage, arranged
from benchapp.ui.steps import Step
from benchapp.ui.strip_state import StripState
from benchapp.ui.system_menu import SystemMenu
from benchapp.ui.theme import Theme
from benchapp.ui.widgets.banner import Banner
from benchapp.ui.widgets.rail import Rail
from benchapp.ui.widgets.strip import Strip
from benchapp.ui.wiring import connect_pages
from benchapp.ui.workbench import Workbench

USUAL_SIZE = (1280, 720)
LEAST_SIZE = (1024, 640)
_AFTER_THE_FIRST_PAINT_MS = 20


class MainWindow(QMainWindow):
    """Puts the pages together with those who lead through them; it knows no rule of any of them."""

    def __init__(self, desk: DeskCalls, theme: Theme, store: SettingsStore) -> None:
        super().__init__()
        self.setWindowTitle("Thumb to Horn")
        self.setMinimumSize(*LEAST_SIZE)
        self.resize(*USUAL_SIZE)
        self.setAcceptDrops(True)
        self._desk = desk
        self._theme = theme
        self._looked_around = False
        self.memory = Memory(store)
        self.bridge = Bridge(self)
        self.workbench = Workbench(desk, self.bridge, folder=self._session_folder, parent=self)
        self.pages = make_pages(theme, self.workbench, self.memory.now, list_ports=self._list_ports)
        self._name_pages()
        self._arrange()
        self._make_guides()
        self._connect()
        self.preferences.show()
        self.navigator.go(Step.START)

    @property
    def settings(self) -> Settings:
        """The settings in force."""
        return self.memory.now

    @property
    def step(self) -> Step:
        """Where the window is."""
        return self.navigator.step

    def _session_folder(self) -> Path:
        return session_folder(self.memory.now)

    def _list_ports(self) -> Sequence[Port]:
        return self._desk.ports()

    def _name_pages(self) -> None:
        pages = self.pages
        self.start, self.bench, self.leads, self.safe = pages.start, pages.bench, pages.leads, pages.safe
        self.tests, self.findings, self.put_back = pages.tests, pages.findings, pages.put_back
        self.capture, self.help, self.settings_page = pages.capture, pages.help, pages.settings

    def _arrange(self) -> None:
        self.rail = Rail(self._theme)
        self.banner = Banner(self._desk.bug_details)
        self.strip = Strip(self._theme)
        self.stage = Stage([*self.pages.of_steps().values(), self.capture, self.settings_page], self.help)
        self.setCentralWidget(arranged(rail=self.rail, banner=self.banner, stage=self.stage, strip=self.strip))

    def _make_guides(self) -> None:
        bridge, folder = self.bridge, self._session_folder
        self.navigator = Navigator(self.pages, self.stage, self.rail, self)
        self.preferences = Preferences(self.memory, self._theme, self.pages, self.workbench, self)
        self.shelf = Shelf(self._desk, bridge, self.memory, folder=folder, parent=self)
        self.opener = Opener(self._desk, bridge, self.capture, folder=folder, parent=self)
        self.doorway = Doorway(self._desk, self.workbench, self.opener, self.preferences, self)
        self.system_menu = SystemMenu(self._desk, bridge, self.settings_page, parent=self)
        self.port_watch = PortWatch(self._desk, bridge, self)
        self.probe_care = ProbeCare(
            self._desk,
            bridge,
            self.stage,
            navigator=self.navigator,
            workbench=self.workbench,
            banner=self.banner,
            parent=self,
        )
        self.strip_state = StripState(self.strip, self.workbench, self)

    def _connect(self) -> None:
        connect_pages(self.pages, self.navigator, self.preferences, self.doorway, self.shelf)
        self.rail.chosen.connect(self.navigator.go)
        self.rail.settings_wanted.connect(self.show_settings)
        self.rail.help_wanted.connect(self.navigator.show_help)
        self.strip.acknowledge.clicked.connect(self._acknowledge)
        self.start.practise.connect(self.practise)
        self.start.connect_port.connect(self.ask_port)
        self.start.ask_card.agreed.connect(self.connect_port)
        self.navigator.arrived.connect(self._arrived)
        self.shelf.changed.connect(self._show_recent)
        for speaker in (self.shelf, self.doorway):
            speaker.said.connect(self.banner.show_message)
        self.doorway.opening.connect(self._show_opening)
        for source in (self.shelf, self.opener, self.doorway, self.workbench, self.system_menu):
            source.trouble.connect(self.show_trouble)
        self.opener.capture_shown.connect(self._show_capture)
        self._connect_bench()
        StepKeys(self, self.navigator)
        make_keys(
            self,
            {
                "Alt+Left": self.navigator.go_back,
                "Ctrl+O": self.doorway.ask,
                "Ctrl+P": self.doorway.ask_report,
                "F1": self.navigator.show_help,
                "Ctrl+,": self.show_settings,
                "Ctrl+?": self.navigator.show_keys,
                "Ctrl+R": self.repeat_test,
            },
        )

    def _connect_bench(self) -> None:
        bench = self.workbench
        bench.opening.connect(self._show_opening)
        bench.opening.connect(self.port_watch.end)
        bench.not_allowed.connect(self.port_watch.begin)
        self.port_watch.helped.connect(self.start.show_permission)
        self.port_watch.allowed.connect(self.connect_port)
        self.start.permission.left.connect(self.port_watch.end)
        self.settings_page.test_wanted.connect(self.probe_care.show_test)
        self.settings_page.install_wanted.connect(self.probe_care.show_install)
        self.probe_care.connect_port.connect(self.connect_port)
        bench.opened.connect(self._bench_opened)
        bench.closed.connect(self._show_progress)
        bench.status_changed.connect(self._show_progress)
        bench.session_opened.connect(self._session_opened)
        bench.session_refused.connect(self.shelf.refused)
        bench.trouble_over.connect(self.banner.over)
        self.tests.started.connect(self.preferences.remember_run)

    @Slot(Step)
    def go(self, step: Step) -> None:
        """Show a page."""
        self.navigator.go(step)

    @Slot(Step)
    def _arrived(self, step: Step) -> None:
        self._show_progress()
        if step is Step.START:
            if self.isVisible():
                self.start.show_ports()
            self._show_recent()

    @Slot()
    def show_settings(self) -> None:
        """Show the settings over whatever page is shown."""
        self.system_menu.look()
        self.navigator.show_settings()

    @Slot()
    def repeat_test(self) -> None:
        """Run the last test once more, if a test may be run now."""
        self.go(Step.TESTS)
        self.tests.repeat()

    @Slot(str)
    def practise(self, radio: str) -> None:
        """Open the practice bench with one of its radios."""
        self.memory.change(practice_radio=radio)
        self.workbench.open_bench(practice_url(radio), "Setting up the practice bench …")

    @Slot(str)
    def ask_port(self, port: str) -> None:
        """Open the probe on a port; ask first where none was ever seen."""
        if port.startswith("practice:") or self._desk.is_seen(port):
            self.connect_port(port)
        else:
            self.start.ask_to_open(port)

    @Slot(str)
    def connect_port(self, port: str) -> None:
        """Open the probe on a port."""
        self.workbench.open_bench(port, "Looking for the probe …")

    @Slot(object)
    def open_path(self, path: Path) -> None:
        """Open a session or a capture."""
        self.banner.over()
        self.doorway.open(path)

    @Slot()
    def _show_capture(self) -> None:
        self.navigator.show_capture()

    @Slot()
    def _show_recent(self) -> None:
        self.start.show_recent(self.shelf.recents())

    @Slot(str)
    def _show_opening(self, words: str) -> None:
        self.start.show_opening(words)

    @Slot()
    def _bench_opened(self) -> None:
        self.start.show_opening("")
        self.go(Step.LEADS)

    @Slot(object)
    def _session_opened(self, session: OpenSession) -> None:
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
        self.rail.show_place(self.step, done_steps(self.workbench, self.pages))

    @Slot()
    def _acknowledge(self) -> None:
        self.workbench.wish(AcknowledgeMissed())

    @Slot(object)
    def show_trouble(self, message: Message) -> None:
        """Say what went wrong in the bar above the page."""
        self.start.show_opening("")
        self.banner.show_message(message)

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

    def showEvent(self, event: QShowEvent) -> None:
        """Look for ports and unfinished sessions once there is something to see: both take a while to load."""
        super().showEvent(event)
        if not self._looked_around:
            self._looked_around = True
            QTimer.singleShot(_AFTER_THE_FIRST_PAINT_MS, self._look_around)

    @Slot()
    def _look_around(self) -> None:
        if self.isVisible():
            self.start.show_ports()
            self.shelf.look_for_unfinished()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Keep everything, end the data threads, then close."""
        self.hide()
        self.probe_care.cancel()
        self.workbench.shut()
        event.accept()
