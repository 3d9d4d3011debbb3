"""Leads through the installing of the probe program: from where it is wanted to the connected probe."""

from PySide6.QtCore import QObject, Slot

from benchapp.presentation.ground.messages import Message
from benchapp.presentation.screens.port_page_words import INSTALL_OFFER
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.screens.install.page import InstallPage
from benchapp.ui.screens.port_work import PortWork
from benchapp.ui.widgets.banner import Act, Banner
from benchapp.ui.window.navigator import Navigator


class InstallGuide(QObject):
    """Shows the page, has an open probe let go before its port is used, and passes on what comes of it."""

    def __init__(
        self,
        page: InstallPage,
        work: PortWork,
        *,
        navigator: Navigator,
        workbench: Workbench,
        banner: Banner,
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self.page, self.work, self._navigator = page, work, navigator
        self._workbench, self._banner = workbench, banner
        self._port = ""
        page.install.connect(self._begin)
        page.cancel.connect(work.cancel)
        page.leave.connect(navigator.leave_settings)
        work.progressed.connect(page.show_progress)
        work.finished.connect(page.show_installed)
        work.failed.connect(page.show_trouble)

    @Slot()
    def show(self) -> None:
        """Show the page."""
        self.show_for("")

    def show_for(self, port: str) -> None:
        """Show the page with a port chosen."""
        self.page.begin_at(port)
        self._navigator.show_beside(self.page, "build-a-probe")

    def cancel(self) -> None:
        """Stop before the next page of the board's memory."""
        self.work.cancel()

    def offer(self, port: str, message: Message) -> None:
        """Say why a board on a port cannot be used, and offer to install."""
        self._port = port
        self._banner.show_message(message, (Act(words=INSTALL_OFFER, do=self._take_up),))

    @Slot()
    def _take_up(self) -> None:
        self._banner.over()
        self.show_for(self._port)

    @Slot(str)
    def _begin(self, port: str) -> None:
        if self._workbench.let_go():
            self.page.show_begun()
            self.work.begin(port)
        else:
            self.page.say_run_goes_on()
