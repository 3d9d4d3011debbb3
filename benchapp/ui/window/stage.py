"""The middle of the window: one page at a time, and help over whichever page is shown."""

from collections.abc import Iterable
from typing import Protocol, runtime_checkable

from PySide6.QtWidgets import QAbstractButton, QApplication, QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget
from shiboken6 import isValid


@runtime_checkable
class HasMainButton(Protocol):
    """A page on which Enter presses a button."""

    def main_button(self) -> QAbstractButton | None:
        """Return that button as the page stands now."""


@runtime_checkable
class HasFirstFocus(Protocol):
    """A page that says itself where the keyboard begins."""

    def first_focus(self) -> QWidget | None:
        """Return what has the keyboard first as the page stands now, None for nothing."""


class Stage(QStackedWidget):
    """Shows one of the pages; one of them, the help, may cover another and gives it back."""

    def __init__(self, first: QWidget) -> None:
        super().__init__()
        self._cover: QWidget | None = None
        self._covered: QWidget | None = None
        self._focused: QWidget | None = None
        self.addWidget(first)

    def fill(self, pages: Iterable[QWidget]) -> None:
        """Take the pages that are made after Start."""
        for page in pages:
            self.addWidget(page)

    @property
    def covered(self) -> bool:
        """Whether the page that is shown covers another."""
        return self._cover is not None and self.currentWidget() is self._cover

    def main_button(self) -> QAbstractButton | None:
        """Return the button Enter presses on the page that is shown."""
        page = self.currentWidget()
        return page.main_button() if isinstance(page, HasMainButton) else None

    def first_focus(self) -> QWidget | None:
        """Return what the keyboard begins with on the page that is shown: its own choice, else its main button."""
        page = self.currentWidget()
        return page.first_focus() if isinstance(page, HasFirstFocus) else self.main_button()

    def cover(self, page: QWidget) -> None:
        """Show a page over the page that is shown."""
        if not self.covered:
            self._covered = self.currentWidget()
            self._focused = QApplication.focusWidget()
        self._cover = page
        self.setCurrentWidget(page)

    def uncover(self) -> bool:
        """Give back the page that was covered, and the keyboard to what had it there; return whether that went."""
        focused = QApplication.focusWidget()
        if focused is not None and self._cover is not None and self._cover.isAncestorOf(focused):
            focused.clearFocus()  # else Qt hands the keyboard to whatever comes next, as the cover is hidden
        if self._covered is not None:
            self.setCurrentWidget(self._covered)
        back, self._focused = self._focused, None
        if back is None or not isValid(back) or not back.isVisible() or not back.isEnabled():
            return False
        back.setFocus()
        return True


def arranged(*, rail: QWidget, banner: QWidget, stage: QWidget, strip: QWidget) -> QWidget:
    """Return the whole window's inside: the rail at the left, the stage under the banner, the strip at the bottom."""
    middle = QVBoxLayout()
    middle.setSpacing(0)
    middle.addWidget(banner)
    middle.addWidget(stage, 1)
    across = QHBoxLayout()
    across.setSpacing(0)
    across.addWidget(rail)
    across.addLayout(middle, 1)
    whole = QVBoxLayout()
    whole.setContentsMargins(0, 0, 0, 0)
    whole.setSpacing(0)
    whole.addLayout(across, 1)
    whole.addWidget(strip)
    central = QWidget()
    central.setLayout(whole)
    return central
