"""Labels that show text as typed and never read it as markup."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from benchapp.ui.theme import font
from benchapp.ui.tokens import Type


class PlainLabel(QLabel):
    """A label in one of the window's sizes. tone "soft" is for what may be skipped; wrap lets lines break."""

    def __init__(
        self,
        text: str = "",
        size: Type = Type.BODY,
        *,
        bold: bool = False,
        soft: bool = False,
        wrap: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setFont(font(size, bold=bold))
        self.setProperty("tone", "soft" if soft else "plain")
        self.setWordWrap(wrap)
        if wrap:
            policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
            policy.setHeightForWidth(True)
            self.setSizePolicy(policy)
        self.setText(text)

    def show_text(self, text: str) -> None:
        """Show another text; an unchanged one costs nothing."""
        if text != self.text():
            self.setText(text)
