"""Puts the program into the system's menu, and takes it out again, when the settings page asks."""

from functools import partial

from PySide6.QtCore import QObject, Signal, Slot

from benchapp.presentation.ground.messages import message_for
from benchapp.ui.link.bridge import Bridge
from benchapp.ui.link.desk_calls import DeskCalls
from benchapp.ui.screens.settings_page.page import SettingsPage


class SystemMenu(QObject):
    """Writes or removes the menu entry on a worker thread, then has the settings page show whether it is there."""

    trouble = Signal(object)

    def __init__(self, desk: DeskCalls, bridge: Bridge, page: SettingsPage, *, parent: QObject) -> None:
        super().__init__(parent)
        self._desk = desk
        self._bridge = bridge
        self._page = page
        page.put_in_menu.connect(self._put)

    def look(self) -> None:
        """Show whether the program is in the menu."""
        self._page.show_menu(in_menu=self._desk.in_menu())

    @Slot(bool)
    def _put(self, wanted: bool) -> None:
        self._bridge.submit(partial(self._desk.put_in_menu, wanted), done=self._done, failed=self._failed)

    def _done(self, _nothing: object) -> None:
        self.look()

    def _failed(self, error: BaseException) -> None:
        self.look()
        self.trouble.emit(message_for(error))
