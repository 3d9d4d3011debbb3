"""The last flip, held: its milliseconds large, its words small, its picture below them."""

from PySide6.QtWidgets import QFrame, QHBoxLayout, QVBoxLayout, QWidget

from benchapp.presentation.live.last_flip import LAST_FLIP, NO_FLIP_YET, FlipDrawn, FlipWords
from benchapp.ui.look.theme import Theme, font
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.flip_picture import FlipPicture
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.wrap_row import WrapRow


class LastFlip(QFrame):
    """A card that shows one flip until it is given another; narrow: its words stand below the number, not beside it."""

    def __init__(self, theme: Theme, *, narrow: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("card", True)
        self.shown: FlipWords | None = None
        self.title = PlainLabel(LAST_FLIP, Type.BODY, bold=True, soft=True)
        self.large = PlainLabel("", Type.FIGURE, bold=True)
        self.unit = PlainLabel("", Type.TITLE, soft=True)
        self.lines = [PlainLabel("", Type.BODY, wrap=True), PlainLabel("", Type.BODY, soft=True, wrap=True)]
        self.empty = PlainLabel(NO_FLIP_YET, Type.LEAD, soft=True, wrap=True)
        self.picture = FlipPicture(theme)
        self._arrange(narrow=narrow)
        self.show_flip(None, None)

    def _arrange(self, *, narrow: bool) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(Space.LARGE, Space.SMALL, Space.LARGE, Space.SMALL)
        column.setSpacing(0)
        words = QVBoxLayout() if narrow else WrapRow(spacing=Space.WIDE, line_spacing=0)
        for part, share in ((self._figure(), 0), (self._words(), 1)):
            words.addWidget(part, 0 if narrow else share)
        column.addWidget(self.title)
        column.addWidget(self.empty)
        column.addLayout(words)
        column.addSpacing(Space.HAIR)
        column.addWidget(self.picture, 1)

    def _figure(self) -> QWidget:
        """Return the number and its unit on one line."""
        holder = QWidget()
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(Space.SMALL)
        row.addWidget(self.large)
        row.addWidget(self.unit)
        row.addStretch(1)
        return holder

    def _words(self) -> QWidget:
        holder = QWidget()
        column = QVBoxLayout(holder)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(Space.HAIR)
        for line in self.lines:
            column.addWidget(line)
        return holder

    def show_flip(self, words: FlipWords | None, drawn: FlipDrawn | None) -> None:
        """Show another flip, None that there was none yet; the picture changes with it, never without."""
        self.shown = words
        self.empty.setVisible(words is None)
        self.large.setVisible(words is not None)
        self.unit.setVisible(words is not None and bool(words.unit))
        self.picture.show_flip(drawn if words is not None else None)
        texts = () if words is None else words.lines
        for number, line in enumerate(self.lines):
            line.show_text(texts[number] if number < len(texts) else "")
            line.setVisible(number < len(texts))
        if words is not None:
            self.large.setFont(font(Type.FIGURE if words.unit else Type.PROMPT, bold=True))
            self.large.show_text(words.large)
            self.unit.show_text(words.unit)
        self.setAccessibleName(NO_FLIP_YET if words is None else words.spoken)
        self.picture.setAccessibleDescription("" if words is None else words.spoken)
