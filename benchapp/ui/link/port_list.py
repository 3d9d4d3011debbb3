"""The serial ports of this computer, looked for on the worker for ports and told to whoever shows them."""

from functools import partial

from PySide6.QtCore import QObject, Signal, Slot

from benchapp import desk
from benchapp.presentation.ground.messages import message_for
from benchapp.ui.link.bridge import Bridge

_WHAT = "the list of ports"


class PortList(QObject):
    """Tells which ports there are (`found`), and which of them may be opened without asking."""

    found = Signal(object)
    seen = Signal(str)
    unseen = Signal(str)
    trouble = Signal(object)

    def __init__(self, bridge: Bridge, parent: QObject) -> None:
        super().__init__(parent)
        self._bridge = bridge

    @Slot()
    def look(self) -> None:
        """Look which ports there are now; `found` brings them, none of them opened."""
        self._bridge.submit(
            lambda: list(desk.ports.ports()), done=self.found.emit, failed=self._failed, on_port=True, what=_WHAT
        )

    def ask(self, port: str) -> None:
        """Find out whether a probe was on a port before: `seen` or `unseen` brings it."""
        self._bridge.submit(
            lambda: desk.seen_ports.is_seen(port),
            done=partial(self._answered, port),
            failed=self._failed,
            on_port=True,
            what=_WHAT,
        )

    def _answered(self, port: str, seen: bool) -> None:
        (self.seen if seen else self.unseen).emit(port)

    def _failed(self, error: BaseException) -> None:
        self.trouble.emit(message_for(error))
