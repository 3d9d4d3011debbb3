"""Every page behind Start, with those who lead through them: made once Start can be seen, or when first wanted.

Making every page takes as long as an empty window takes to appear, so the window makes its frame and Start first. The
rest follows right after the first paint or when it is first wanted, whichever comes first, so no page ever misses a
signal. Pages that few starts need wait until they are asked for (`probe_care`). A widget is never shown before it has
its place: that would open a window of its own for a moment and take the keyboard from the real one.
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtWidgets import QWidget

from benchapp.ui.kept.memory import Memory
from benchapp.ui.link.bridge import Bridge
from benchapp.ui.link.open_session import OpenSession
from benchapp.ui.link.port_list import PortList
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.look.theme import Theme
from benchapp.ui.screens.start.page import StartPage
from benchapp.ui.widgets.banner import Banner
from benchapp.ui.widgets.rail import Rail
from benchapp.ui.window.doorway import Doorway
from benchapp.ui.window.navigator import Navigator
from benchapp.ui.window.opener import Opener
from benchapp.ui.window.pages import Pages, make_pages
from benchapp.ui.window.preferences import Preferences
from benchapp.ui.window.probe_care import ProbeCare
from benchapp.ui.window.shelf import Shelf
from benchapp.ui.window.stage import Stage
from benchapp.ui.window.system_menu import SystemMenu
from benchapp.ui.window.wiring import connect_pages


@dataclass(frozen=True, kw_only=True, slots=True)
class Shell:
    """The parts of the window that are there from the first paint on."""

    window: QWidget
    start: StartPage
    rail: Rail
    banner: Banner
    stage: Stage
    bridge: Bridge
    ports: PortList
    workbench: Workbench
    session: OpenSession
    shelf: Shelf


class Interior:
    """The pages on their stage and their guides, each connected to the others."""

    def __init__(self, shell: Shell, theme: Theme, memory: Memory, *, folder: Callable[[], Path]) -> None:
        window, bridge, workbench = shell.window, shell.bridge, shell.workbench
        self.pages: Pages = make_pages(shell.start, theme, workbench, shell.session, settings=memory.now)
        shell.stage.fill(self.pages.behind_start())
        self.navigator = Navigator(self.pages, shell.stage, shell.rail, window)
        self.preferences = Preferences(memory, theme, self.pages, workbench, window)
        self.opener = Opener(bridge, self.pages.capture, folder=folder, parent=window)
        self.doorway = Doorway(workbench, shell.session, self.opener, preferences=self.preferences, window=window)
        self.system_menu = SystemMenu(bridge, self.pages.settings, parent=window)
        self.probe_care = ProbeCare(
            bridge,
            shell.ports,
            shell.stage,
            navigator=self.navigator,
            workbench=workbench,
            banner=shell.banner,
            parent=window,
        )
        connect_pages(self.pages, self.navigator, self.preferences, self.doorway, shell.shelf)
        self.pages.tests.started.connect(self.preferences.remember_run)
        for page in (self.pages.settings, self.pages.help):
            page.test_wanted.connect(self.probe_care.show_test)
            page.install_wanted.connect(self.probe_care.show_install)
        self.preferences.show()
