"""The window: rail on the left, one task in the middle, a strip at the bottom that says how things are."""

import json
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import Qt, QTimer, Slot
from PySide6.QtGui import (
    QCloseEvent,
    QDragEnterEvent,
    QDropEvent,
    QKeyEvent,
    QKeySequence,
    QShortcut,
    QShowEvent,
)
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QMainWindow,
    QWidget,
)

from benchapp.acquisition.status import Status
from benchapp.acquisition.wishes import AcknowledgeMissed, StartRun
from benchapp.presentation.lasting import not_closed_message
from benchapp.presentation.messages import Message
from benchapp.presentation.strip_words import NO_PROBE, saved_session_words, strip_words
from benchapp.ui.bench.page import BenchPage
from benchapp.ui.bridge import Bridge
from benchapp.ui.captures.page import CapturePage
from benchapp.ui.desk_calls import DeskCalls, OpenSession
from benchapp.ui.file_choice import dropped_file, file_to_open, folder_for
from benchapp.ui.findings.page import FindingsPage
from benchapp.ui.help.page import HelpPage
from benchapp.ui.leads.page import LeadsPage
from benchapp.ui.opener import Opener
from benchapp.ui.put_back.page import PutBackPage
from benchapp.ui.recents import Unreadable, recent_paths, with_recent
from benchapp.ui.safe.page import SafePage
from benchapp.ui.session_names import free_report_folder
from benchapp.ui.settings import Settings, SettingsStore, noted_last, session_folder
from benchapp.ui.settings_page.page import SettingsPage
from benchapp.ui.stage import Stage, arranged
from benchapp.ui.start.page import StartPage
from benchapp.ui.steps import NUMBERED, Step
from benchapp.ui.tests_page.page import TestsPage
from benchapp.ui.theme import Theme, apply_theme, wished_tokens
from benchapp.ui.widgets.banner import Banner
from benchapp.ui.widgets.rail import Rail
from benchapp.ui.widgets.strip import Strip
from benchapp.ui.workbench import Workbench

USUAL_SIZE = (1280, 720)
LEAST_SIZE = (1024, 640)
_AFTER_THE_FIRST_PAINT_MS = 20


class MainWindow(QMainWindow):
    """Puts the pages together and leads from one to the next; it knows no rule of any of them."""

    def __init__(self, desk: DeskCalls, theme: Theme, store: SettingsStore) -> None:
        super().__init__()
        self.setWindowTitle("Thumb to Horn")
        self.setMinimumSize(*LEAST_SIZE)
        self.resize(*USUAL_SIZE)
        self._theme = theme
        self._store = store
        self.settings: Settings = store.load()
        self._desk = desk
        self.bridge = Bridge(self)
        self.workbench = Workbench(desk, self.bridge, folder=self._session_folder, parent=self)
        self._places: list[Step] = []
        self._unreadable = Unreadable()
        self.setAcceptDrops(True)
        self.step = Step.START
        self._make_pages()
        self._arrange()
        self._connect_pages()
        self._connect_bench()
        self._make_keys()
        self._use_settings()
        self.bench.show_last(noted_last(self.settings))
        self.go(Step.START)

    def _session_folder(self) -> Path:
        return session_folder(self.settings)

    def _make_pages(self) -> None:
        settings = self.settings
        self.start = StartPage(self._theme, radio=settings.practice_radio, list_ports=self._list_ports)
        self.bench = BenchPage(self.workbench)
        self.leads = LeadsPage(self._theme, self.workbench)
        self.safe = SafePage(self.workbench)
        self.tests = TestsPage(
            self._theme,
            self.workbench,
            flips=settings.flips,
            bench_flips=settings.bench_flips,
            sounds=settings.sounds,
        )
        self.findings = FindingsPage(self._theme, self.workbench)
        self.put_back = PutBackPage(self.workbench)
        self.capture = CapturePage(self._theme)
        self.help = HelpPage(self._theme)
        self.settings_page = SettingsPage()
        self.opener = Opener(self._desk, self.bridge, self.capture, folder=self._session_folder, parent=self)
        self.pages: dict[Step, QWidget] = {
            Step.START: self.start,
            Step.BENCH: self.bench,
            Step.LEADS: self.leads,
            Step.SAFE: self.safe,
            Step.TESTS: self.tests,
            Step.FINDINGS: self.findings,
            Step.PUT_BACK: self.put_back,
        }

    def _arrange(self) -> None:
        self.rail = Rail(self._theme)
        self.banner = Banner(self._desk.bug_details)
        self.strip = Strip(self._theme)
        self.stage = Stage([*self.pages.values(), self.capture, self.settings_page], self.help)
        self.setCentralWidget(arranged(rail=self.rail, banner=self.banner, stage=self.stage, strip=self.strip))

    def _connect_pages(self) -> None:
        self.rail.chosen.connect(self.go)
        self.start.practise.connect(self.practise)
        self.start.connect_port.connect(self.connect_port)
        self.start.open_session.connect(self.ask_session)
        self.start.carry_on.connect(self.open_path)
        self.capture.leave.connect(self.go_start)
        self.rail.settings_wanted.connect(self.show_settings)
        self.settings_page.leave.connect(self.leave_settings)
        self.settings_page.chosen.connect(self.change_settings)
        self.settings_page.change_folder.connect(self.ask_folder)
        self.rail.help_wanted.connect(self.show_help)
        self.start.help_wanted.connect(self.show_help_page)
        self.help.leave.connect(self.leave_help)
        self.opener.capture_shown.connect(self._show_capture)
        self.opener.session_wanted.connect(self._open_session)
        self.opener.trouble.connect(self.show_trouble)
        self.start.change_folder.connect(self.ask_folder)
        self.start.look_chosen.connect(self.change_look)
        self.bench.go_on.connect(self.go_leads)
        self.leads.go_start.connect(self.go_start)
        self.leads.go_on.connect(self.go_safe)
        self.safe.go_on.connect(self.go_tests)
        self.tests.go_safe.connect(self.go_safe)
        self.tests.see_findings.connect(self.go_findings)
        self.tests.put_back.connect(self.go_put_back)
        self.tests.started.connect(self._remember_run)
        self.findings.go_tests.connect(self.go_tests)
        self.findings.report.connect(self.ask_report)
        self.strip.acknowledge.clicked.connect(self._acknowledge)

    def _connect_bench(self) -> None:
        self.workbench.opening.connect(self._show_opening)
        self.workbench.opened.connect(self._bench_opened)
        self.workbench.closed.connect(self._bench_closed)
        self.workbench.status_changed.connect(self._show_status)
        self.workbench.session_opened.connect(self._session_opened)
        self.workbench.report_written.connect(self._show_report)
        self.workbench.trouble.connect(self.show_trouble)
        self.workbench.trouble_over.connect(self.banner.hide)

    def _make_keys(self) -> None:
        for number, step in enumerate(NUMBERED, start=1):
            shortcut = QShortcut(QKeySequence(f"Ctrl+{number}"), self)
            shortcut.setObjectName(step.name)
            shortcut.activated.connect(self._go_by_key)
        for keys, slot in (
            ("Alt+Left", self.go_back),
            ("Ctrl+O", self.ask_session),
            ("Ctrl+P", self.ask_report),
            ("F1", self.show_help),
            ("Ctrl+,", self.show_settings),
            ("Ctrl+?", self.show_keys),
            ("Ctrl+R", self.repeat_test),
        ):
            QShortcut(QKeySequence(keys), self).activated.connect(slot)

    @Slot(Step)
    def go(self, step: Step) -> None:
        """Show a page."""
        if self._places[-1:] != [step]:
            self._places.append(step)
        self.step = step
        self.stage.setCurrentWidget(self.pages[step])
        self._show_progress()
        if step is Step.START:
            if self.isVisible():
                self.start.show_ports()
            self._show_recent()
        self._place_focus()

    def _place_focus(self) -> None:
        """Give the keyboard to the page's main button, unless it walks along the rail."""
        focused = QApplication.focusWidget()
        main = self.stage.main_button()
        if main is not None and main.isEnabled() and not (focused is not None and self.rail.isAncestorOf(focused)):
            main.setFocus()

    @Slot()
    def go_back(self) -> None:
        """Show the page that was shown before."""
        if len(self._places) > 1:
            self._places.pop()
            self.go(self._places[-1])

    @Slot()
    def _go_by_key(self) -> None:
        self.go(Step[self.sender().objectName()])

    @Slot()
    def show_help(self) -> None:
        """Show the help of the page that is shown; once more leads back."""
        if self.stage.shows_help:
            self.leave_help()
        else:
            self.show_help_page("capture" if self.stage.currentWidget() is self.capture else self.step.key)

    @Slot()
    def repeat_test(self) -> None:
        """Run the last test once more, if a test may be run now."""
        self.go(Step.TESTS)
        self.tests.repeat()

    @Slot()
    def show_keys(self) -> None:
        """Show the list of keys."""
        self.show_help_page("keys")

    @Slot(str)
    def show_help_page(self, page: str) -> None:
        """Show one page of the help."""
        self.stage.cover(page)

    @Slot()
    def leave_help(self) -> None:
        """Show again what was shown before the help."""
        self.stage.uncover()
        self._place_focus()

    @Slot()
    def go_start(self) -> None:
        """Show Start."""
        self.go(Step.START)

    @Slot()
    def go_leads(self) -> None:
        """Show Leads."""
        self.go(Step.LEADS)

    @Slot()
    def go_safe(self) -> None:
        """Show Make it safe."""
        self.go(Step.SAFE)

    @Slot()
    def go_tests(self) -> None:
        """Show Tests."""
        self.go(Step.TESTS)

    @Slot()
    def go_put_back(self) -> None:
        """Show Put it back."""
        self.go(Step.PUT_BACK)

    @Slot()
    def show_settings(self) -> None:
        """Show the settings over whatever page is shown."""
        self.settings_page.show_settings(self.settings)
        self.stage.setCurrentWidget(self.settings_page)
        self._place_focus()

    @Slot()
    def leave_settings(self) -> None:
        """Show again the page the settings were opened on."""
        self.go(self.step)

    @Slot(object)
    def change_settings(self, wanted: Settings) -> None:
        """Put settings in force, at once and from now on."""
        self.change_look(wanted.theme)
        self._remember(wanted)
        self._use_settings()

    def _use_settings(self) -> None:
        settings = self.settings
        self.settings_page.show_settings(settings)
        self.start.show_look(settings.theme)
        self.start.show_folder(str(self._session_folder()))
        self.tests.choice.sounds.setChecked(settings.sounds)
        self.tests.run.sounds = settings.sounds
        self.tests.run.use_single_keys(settings.single_keys)
        for key in self.leads.single_keys:
            key.setEnabled(settings.single_keys)

    @Slot()
    def go_findings(self) -> None:
        """Show Findings."""
        self.go(Step.FINDINGS)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Let Enter press the button that has the focus, else the main one of the page."""
        if event.key() not in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            super().keyPressEvent(event)
            return
        focused = QApplication.focusWidget()
        pressed = focused if isinstance(focused, QAbstractButton) else None
        if pressed is None:
            pressed = self.stage.main_button()
        if pressed is not None and pressed.isEnabled():
            pressed.click()

    @Slot(str)
    def practise(self, radio: str) -> None:
        """Open the practice bench with one of its radios."""
        self._remember(replace(self.settings, practice_radio=radio))
        self.workbench.open_bench(f"practice://{radio}?flips=none&pace=real", "Setting up the practice bench …")

    @Slot(str)
    def connect_port(self, port: str) -> None:
        """Open the probe on a port."""
        self.workbench.open_bench(port, "Looking for the probe …")

    @Slot()
    def ask_session(self) -> None:
        """Let a session file be chosen, and open it."""
        chosen = file_to_open(self, self._session_folder())
        if chosen is not None:
            self.open_path(chosen)

    @Slot(object)
    def open_path(self, path: Path) -> None:
        """Open a session or a capture; the bench that is open lets go of its probe first."""
        self._unreadable.ask(path)
        self.banner.hide()
        self.opener.open(path)

    @Slot(object)
    def _open_session(self, path: Path) -> None:
        self._unreadable.ask(path)
        if self.workbench.status is not None:
            self.workbench.close_bench()
        self.start.show_opening("Reading the session …")
        self.workbench.open_session(path)

    @Slot()
    def _show_capture(self) -> None:
        self.go(Step.START)
        self.stage.setCurrentWidget(self.capture)

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

    def _show_recent(self) -> None:
        self.start.show_recent(recent_paths(self.settings.recent), self._unreadable.reasons)

    @Slot()
    def ask_report(self) -> None:
        """Let a folder be chosen, and write the report into a new folder in it."""
        session = self.workbench.session
        if session is None:
            return
        chosen = folder_for(self, "Where shall the report go?", self._session_folder())
        if chosen is not None:
            self.write_report(free_report_folder(chosen, session.path))

    def write_report(self, folder: Path) -> None:
        """Write the report of the session on screen into a folder."""
        self.workbench.write_report(folder)

    @Slot(object)
    def _show_report(self, folder: Path) -> None:
        self._desk.show_file(folder / "report.html")

    @Slot()
    def ask_folder(self) -> None:
        """Let the folder for new sessions be chosen."""
        chosen = folder_for(self, "Where shall sessions be kept?", self._session_folder())
        if chosen is not None:
            self._remember(replace(self.settings, session_folder=str(chosen)))
            self._use_settings()

    @Slot(str)
    def change_look(self, look: str) -> None:
        """Give the window another look, at once and from now on."""
        self._remember(replace(self.settings, theme=look))
        app = QApplication.instance()
        if isinstance(app, QApplication):
            apply_theme(app, self._theme, wished_tokens(look))

    def _remember(self, settings: Settings) -> None:
        self.settings = settings
        self._store.save(settings)

    @Slot(object)
    def _remember_run(self, wish: StartRun) -> None:
        flips = wish.settings.flips or self.settings.flips
        sounds = self.tests.run.sounds
        last = json.dumps(self.workbench.bench) if self.workbench.bench else self.settings.last_bench
        self._remember(
            replace(self.settings, flips=flips, bench_flips=wish.phase_stepped, sounds=sounds, last_bench=last)
        )
        self.bench.show_last(noted_last(self.settings))

    def _list_ports(self) -> list[str]:
        return [port.name for port in self._desk.ports()]

    @Slot(str)
    def _show_opening(self, words: str) -> None:
        self.start.show_opening(words)

    @Slot()
    def _bench_opened(self) -> None:
        self.start.show_opening("")
        self.go(Step.LEADS)

    @Slot()
    def _bench_closed(self) -> None:
        self.strip.show_words(NO_PROBE)
        self._show_progress()

    @Slot(object)
    def _show_status(self, status: Status) -> None:
        self.strip.show_words(
            strip_words(
                status.link.value,
                probe=status.probe,
                origin=status.origin,
                recorded_s=status.recorded_s,
                saved_ago_s=status.saved_ago_s,
                missed=status.missed,
            )
        )
        self._show_progress()

    @Slot(object)
    def _session_opened(self, session: OpenSession) -> None:
        self.start.show_opening("")
        self._unreadable.opened(session.path)
        self._remember(replace(self.settings, recent=with_recent(self.settings.recent, session.path)))
        if self.workbench.status is None:
            self.strip.show_words(saved_session_words(session.loaded.facts.name, origin=session.loaded.facts.origin))
            self.go(Step.FINDINGS)
            if session.loaded.kept:
                self.show_trouble(not_closed_message(session.loaded.facts.name, kept=session.loaded.kept))
        self._show_progress()

    def _show_progress(self) -> None:
        status, done = self.workbench.status, set()
        if self.workbench.bench.get("name"):
            done.add(Step.BENCH)
        if status is not None and any(self.workbench.live.shown()):
            done.add(Step.LEADS)
        if status is not None and status.leads and not status.refusals:
            done.add(Step.SAFE)
        if self.workbench.session is not None:
            done |= {Step.TESTS, Step.FINDINGS}
        if self.put_back.done:
            done.add(Step.PUT_BACK)
        self.rail.show_place(self.step, frozenset(done))

    @Slot()
    def _acknowledge(self) -> None:
        self.workbench.wish(AcknowledgeMissed())

    @Slot(object)
    def show_trouble(self, message: Message) -> None:
        """Say what went wrong in the bar above the page; a session that was asked for is struck out with it."""
        self.start.show_opening("")
        if self._unreadable.failed(message.title.lower()):
            self._show_recent()
        self.banner.show_message(message)

    def showEvent(self, event: QShowEvent) -> None:
        """Look for ports once there is something to see: what lists them takes a while to load."""
        super().showEvent(event)
        QTimer.singleShot(_AFTER_THE_FIRST_PAINT_MS, self.start.show_ports)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Keep everything, end the data threads, then close."""
        self.hide()
        self.workbench.shut()
        event.accept()
