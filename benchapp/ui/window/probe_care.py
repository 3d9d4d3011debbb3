"""The pages that look after a probe, made when they are first wanted: few starts of the program need them."""

from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal, Slot

from benchapp import desk
from benchapp.presentation.ground.messages import Message
from benchapp.ui.link.bridge import Bridge
from benchapp.ui.link.port_list import PortList
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.screens.port_work import PortWork
from benchapp.ui.widgets.banner import Banner
from benchapp.ui.window.navigator import Navigator
from benchapp.ui.window.stage import Stage

if TYPE_CHECKING:
    from benchapp.ui.screens.port_page import PortPage
    from benchapp.ui.window.install_guide import InstallGuide
    from benchapp.ui.window.probe_test_guide import ProbeTestGuide

# What only these pages need is loaded with them, after the first paint.
# ruff: noqa: PLC0415


class ProbeCare(QObject):
    """Installing the probe's program, and testing a probe; `connect_port` tells of one that is to be opened then."""

    connect_port = Signal(str)

    def __init__(
        self,
        bridge: Bridge,
        ports: PortList,
        stage: Stage,
        *,
        navigator: Navigator,
        workbench: Workbench,
        banner: Banner,
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._bridge, self._ports, self._stage = bridge, ports, stage
        self._navigator, self._workbench, self._banner = navigator, workbench, banner
        self._made: list[InstallGuide | ProbeTestGuide] = []
        workbench.needs_program.connect(self._offer)

    @cached_property
    def installing(self) -> "InstallGuide":
        """The guide through the installing of the probe program, with its page."""
        from benchapp.ui.screens.install.page import InstallPage
        from benchapp.ui.window.install_guide import InstallGuide

        page = InstallPage()
        self._place(page)
        page.connect_port.connect(self.connect_port)
        made = InstallGuide(
            page,
            PortWork(self._bridge, lambda: desk.probe_install.install_probe, self),
            navigator=self._navigator,
            workbench=self._workbench,
            banner=self._banner,
            parent=self,
        )
        self._made.append(made)
        return made

    @cached_property
    def testing(self) -> "ProbeTestGuide":
        """The guide through a probe's test, with its page."""
        from benchapp.ui.screens.probe_test.page import ProbeTestPage
        from benchapp.ui.window.probe_test_guide import ProbeTestGuide

        page = ProbeTestPage()
        self._place(page)
        made = ProbeTestGuide(
            page,
            PortWork(self._bridge, lambda: desk.self_test.self_test, self),
            PortWork(self._bridge, lambda: desk.clock_check.check_clock, self),
            navigator=self._navigator,
            workbench=self._workbench,
            parent=self,
        )
        self._made.append(made)
        return made

    def _place(self, page: "PortPage") -> None:
        self._stage.addWidget(page)
        page.look_for_ports.connect(self._ports.look)
        self._ports.found.connect(page.show_ports)

    @Slot()
    def show_install(self) -> None:
        """Show the page that puts the probe program on a board."""
        self.installing.show()

    @Slot()
    def show_test(self) -> None:
        """Show the page that tests a probe."""
        self.testing.show()

    @Slot(str, object)
    def _offer(self, port: str, message: Message) -> None:
        self.installing.offer(port, message)

    def cancel(self) -> None:
        """Stop an installing or a test that goes on."""
        for guide in self._made:
            guide.cancel()
