"""Runs Qt without a screen, with one application a process, and keeps what is remembered out of the user's folders."""

import os
from collections.abc import Iterator

import pytest
from hypothesis import settings

# Speed is the benchmarks' matter: a busy computer must not fail a property that holds.
settings.register_profile("bench", deadline=None)
settings.load_profile("bench")

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")


@pytest.fixture(scope="session", autouse=True)
def own_data_folder(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Let the program remember ports and probes in a folder of the tests' own."""
    os.environ["XDG_DATA_HOME"] = str(tmp_path_factory.mktemp("data"))


@pytest.fixture(scope="session", autouse=True)
def one_application() -> Iterator[None]:
    """Keep a QApplication from the first test on, where there is Qt.

    A PDF starts a plain QGuiApplication where none runs, and that could not become the window's later.
    """
    try:
        from PySide6.QtWidgets import QApplication  # noqa: PLC0415 - pure tests also run where Qt is not installed

        from benchapp.ui.widgets.clipboard import close_clipboard  # noqa: PLC0415
    except ImportError:
        yield
        return
    kept = QApplication.instance() or QApplication(["tests"])
    yield
    close_clipboard()
    del kept
