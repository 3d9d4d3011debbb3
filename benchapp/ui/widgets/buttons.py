"""Buttons: one main action a page, plain ones beside it, quiet ones for what is rarely wanted."""

from enum import StrEnum

from PySide6.QtWidgets import QPushButton, QSizePolicy, QWidget

from benchapp.ui.theme import font
from benchapp.ui.tokens import Type


class Kind(StrEnum):
    """How loudly a button speaks."""

    MAIN = "main"
    PLAIN = "plain"
    QUIET = "quiet"
    STEP = "step"


def button(text: str, kind: Kind = Kind.PLAIN, *, name: str = "", parent: QWidget | None = None) -> QPushButton:
    """Return a push button; name is what a screen reader says where the text alone would not do."""
    result = QPushButton(text, parent)
    result.setProperty("kind", kind.value)
    result.setFont(font(Type.BODY, bold=kind is Kind.MAIN))
    result.setAccessibleName(name or text.replace("&", ""))
    result.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
    result.setAutoDefault(False)
    return result
