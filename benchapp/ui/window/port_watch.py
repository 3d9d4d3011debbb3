"""Waits until a port may be opened, without opening it, while somebody reads what can be done about it.

Every two seconds `can_open` is asked, which does not open the port; it is connected as soon as it may be.
"""

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from benchapp import desk
from benchapp.ui.link.bridge import Bridge

if TYPE_CHECKING:
    from benchapp.desk.port_permission import PermissionHelp

EVERY_MS = 2000


class PortWatch(QObject):
    """Tells what can be done about a port, and when it has been done."""

    helped = Signal(object)
    allowed = Signal(str)

    def __init__(self, bridge: Bridge, parent: QObject) -> None:
        super().__init__(parent)
        self._bridge = bridge
        self._port = ""
        self._read = True
        self._looking = False
        self._timer = QTimer(self)
        self._timer.setInterval(EVERY_MS)
        self._timer.timeout.connect(self.look)

    @property
    def watching(self) -> bool:
        """Whether a port is waited for."""
        return self._timer.isActive()

    @Slot(str)
    def begin(self, port: str) -> None:
        """Find out what can be done about a port, and look at it from now on."""
        self._port = port
        if self._read:
            self._timer.start()
        self._bridge.submit(
            lambda: desk.port_permission.permission_help(port),
            done=self._found_help,
            failed=self._not_found,
            on_port=True,
            what=port,
        )

    @Slot()
    def end(self) -> None:
        """Wait for the port no more."""
        self._port = ""
        self._timer.stop()

    def mind(self, *, read: bool) -> None:
        """Look only while what can be done is read: a bench that opened by itself would end whatever else is done."""
        self._read = read
        if read and self._port:
            self._timer.start()
        else:
            self._timer.stop()

    def _found_help(self, offered: "PermissionHelp") -> None:
        if offered.port == self._port:
            self.helped.emit(offered)

    def _not_found(self, _error: BaseException) -> None:
        self.end()  # the bar has said that the port may not be opened; there is nothing to add

    @Slot()
    def look(self) -> None:
        """Look whether the port may be opened now, unless the last look is still under way."""
        port = self._port
        if not port or self._looking:
            return
        self._looking = True
        self._bridge.submit(
            lambda: desk.port_permission.can_open(port),
            done=partial(self._looked, port),
            failed=self._not_looked,
            on_port=True,
            what=port,
        )

    def _looked(self, port: str, may: bool) -> None:
        self._looking = False
        if may and port == self._port and self._read:
            self.end()
            self.allowed.emit(port)

    def _not_looked(self, _error: BaseException) -> None:
        self._looking = False
