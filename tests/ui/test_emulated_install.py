"""The window puts the probe program on an emulated board that holds nothing but a boot loader."""

from types import SimpleNamespace

import pytest

from tests.emulator import build
from tests.emulator.bench import BootBench
from tests.ui.fake_bench import PORTS, real_desk


@pytest.fixture(autouse=True)
def _tools():
    build.need_tools()


def test_a_bare_board_becomes_a_probe_that_greets(open_window, qtbot):
    with BootBench() as bench:
        listed = SimpleNamespace(
            name=bench.port, words="", seen=False, identified=True
        )  # a pseudo-terminal is not listed
        window = open_window({**real_desk(), PORTS: lambda: [listed]})
        page = window.interior.probe_care.installing.page
        window.interior.probe_care.show_install()
        qtbot.waitUntil(lambda: page.port() == bench.port)
        assert not page.install_button.isEnabled()
        page.agreed.click()
        page.install_button.click()
        qtbot.waitUntil(page.result.isVisible, timeout=60000)
        assert page.connect_button.isVisible(), page.result.text()
        assert "It answers as" in page.result.text()
