"""Puts the program into the system's menu, and takes it out again, when the settings page asks."""

from PySide6.QtCore import QObject, Signal, Slot

from benchapp import desk
from benchapp.presentation.ground.messages import message_for
from benchapp.ui.link.bridge import LONGEST_WAIT_S, Bridge
from benchapp.ui.screens.settings_page.page import SettingsPage

_WHAT = "the system's menu"


class SystemMenu(QObject):
    """Writes or removes the menu entry on a worker thread, then has the settings page show whether it is there."""

    trouble = Signal(object)

    def __init__(self, bridge: Bridge, page: SettingsPage, *, parent: QObject) -> None:
        super().__init__(parent)
        self._bridge = bridge
        self._page = page
        page.put_in_menu.connect(self._put)

    def look(self) -> None:
        """Look whether the program is in the menu, and have the page show it."""
        self._bridge.submit(_is_in_menu, done=self._seen, failed=self._refused, what=_WHAT)

    def _seen(self, there: bool) -> None:
        self._page.show_menu(in_menu=there)

    @Slot(bool)
    def _put(self, wanted: bool) -> None:
        self._bridge.submit(
            lambda: _put_in_menu(wanted),
            done=self._seen,
            failed=self._failed,
            what=_WHAT,
            said_after_s=LONGEST_WAIT_S,
        )

    def _failed(self, error: BaseException) -> None:
        self.look()
        self._refused(error)

    def _refused(self, error: BaseException) -> None:
        self.trouble.emit(message_for(error))


def _is_in_menu() -> bool:
    return desk.menu_entry.is_in_menu(desk.menu_entry.menu_folder())


def _put_in_menu(wanted: bool) -> bool:
    """Put the program into the menu or take it out; return whether it is in it now."""
    change = desk.menu_entry.add_to_menu if wanted else desk.menu_entry.remove_from_menu
    change(desk.menu_entry.menu_folder())
    return _is_in_menu()
