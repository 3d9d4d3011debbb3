"""The page that puts the probe program on a board."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QPushButton

from benchapp.presentation.ground.messages import Message
from benchapp.presentation.screens.install_words import INSTALLED, NEXT, WORDS, percent_done
from benchapp.presentation.screens.probe_words import install_text, installed_text
from benchapp.records.probe_install import Installed, InstallProgress
from benchapp.ui.screens.port_page import PortPage
from benchapp.ui.widgets.buttons import Kind, button

_INSTALL, _AGAIN = "Install", "Try again"


class InstallPage(PortPage):
    """The installing of the probe program on screen; Cancel stops it between two pages of the board's memory."""

    install = Signal(str)
    connect_port = Signal(str)

    def __init__(self) -> None:
        super().__init__(WORDS)
        self.connect_button = button("Connect", Kind.MAIN, name="Connect the probe")
        self.connect_button.clicked.connect(self._connect)
        self.install_button = button(_INSTALL, Kind.MAIN)
        self.install_button.clicked.connect(self._install)
        self.foot.addWidget(self.install_button)
        self.foot.addWidget(self.connect_button)
        self.connect_button.hide()
        self.begins = (self.install_button,)

    def main_button(self) -> QPushButton | None:
        """Return the button that carries on."""
        return self.install_button if self.connect_button.isHidden() else self.connect_button

    def clear_result(self) -> None:
        """Show no result any more, and offer to install."""
        self.connect_button.hide()
        self.install_button.setText(_INSTALL)
        self.install_button.show()
        super().clear_result()

    @Slot()
    def _install(self) -> None:
        self.install.emit(self.port())

    @Slot()
    def _connect(self) -> None:
        self.connect_port.emit(self.port())

    @Slot(object)
    def show_progress(self, progress: InstallProgress) -> None:
        """Show how far it is."""
        self.show_step(install_text(progress), percent_done(progress), 100)

    @Slot(object)
    def show_installed(self, installed: Installed) -> None:
        """Greet the new program and offer to connect it."""
        self.show_result(INSTALLED, f"{installed_text(installed)}\n{NEXT}")
        for part in (self.install_button, self.question, self.agreed):
            part.hide()
        self.connect_button.show()
        self.connect_button.setFocus()

    @Slot(object)
    def show_trouble(self, message: Message) -> None:
        """Say what went wrong, how the board is, and what to do; then it can be tried again."""
        super().show_trouble(message)
        self.install_button.setText(_AGAIN)
        self.install_button.setFocus()
