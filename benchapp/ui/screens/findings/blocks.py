"""Blocks of a page as widgets, one function a kind."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from benchapp.presentation.ground.page import (
    Block,
    Bullets,
    Definitions,
    Facts,
    Figure,
    Heading,
    KeyFigure,
    Notice,
    Paragraph,
    Photo,
    Table,
    Tone,
)
from benchapp.ui.look.theme import Theme
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.figure_view import FigureView
from benchapp.ui.widgets.fold import Fold
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.page import card
from benchapp.ui.widgets.photo_view import PhotoView
from benchapp.ui.widgets.signal_word import SignalWord
from benchapp.ui.widgets.table_view import TableView

_LABEL_SHARE, _VALUE_SHARE = 2, 5
_LONGEST_LARGE = 5
"""Signs of a figure in the largest letters; one with more has smaller ones, so that its card holds it."""


def block_widget(theme: Theme, block: Block, after: Block | None = None) -> QWidget:
    """Return a widget that shows one block; facts right after a heading need no caption of their own."""
    match block:
        case Heading():
            widget: QWidget = _heading(block)
        case Paragraph():
            widget = _paragraph(block)
        case Bullets():
            widget = _bullets(block.items)
        case Notice():
            widget = notice_widget(block)
        case Facts():
            widget = _facts(block, titled=isinstance(after, Heading))
        case KeyFigure():
            widget = key_figure_widget(block)
        case Figure():
            widget = FigureView(theme, block)
        case Photo():
            widget = PhotoView(block.jpeg, alt=block.alt, caption=block.caption)
        case Table():
            widget = TableView(block)
        case Definitions():
            widget = _definitions(block)
    return widget


def _column(parts: list[QWidget], *, space: Space = Space.HAIR) -> QWidget:
    holder = QWidget()
    column = QVBoxLayout(holder)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(space)
    for part in parts:
        column.addWidget(part)
    return holder


def _heading(block: Heading) -> QWidget:
    label = PlainLabel(block.text, Type.HEADING if block.level <= 2 else Type.LEAD, bold=True, wrap=True)
    label.setContentsMargins(0, Space.LARGE if block.level <= 2 else Space.SMALL, 0, 0)
    return label


def _paragraph(block: Paragraph) -> QWidget:
    size = Type.LEAD if block.tone is Tone.LEAD else Type.BODY
    return PlainLabel(block.text, size, bold=block.tone is Tone.LEAD, soft=block.tone is Tone.SOFT, wrap=True)


def _bullets(items: tuple[str, ...]) -> QWidget:
    holder = QWidget()
    grid = QGridLayout(holder)
    grid.setContentsMargins(0, 0, 0, 0)
    grid.setHorizontalSpacing(Space.SMALL)
    grid.setVerticalSpacing(Space.HAIR)
    grid.setColumnStretch(1, 1)
    for row, item in enumerate(items):
        grid.addWidget(PlainLabel("•", soft=True), row, 0, Qt.AlignmentFlag.AlignTop)
        grid.addWidget(PlainLabel(item, wrap=True), row, 1)
    return holder


def notice_widget(block: Notice) -> QFrame:
    """Return a signal word with its lines."""
    frame = card()
    row = QHBoxLayout(frame)
    row.setContentsMargins(Space.LARGE, Space.MEDIUM, Space.LARGE, Space.MEDIUM)
    row.setSpacing(Space.LARGE)
    row.addWidget(SignalWord(block.signal.value), 0, Qt.AlignmentFlag.AlignTop)
    row.addWidget(_bullets(block.lines), 1)
    return frame


def _facts(block: Facts, *, titled: bool) -> QWidget:
    holder = QWidget()
    grid = QGridLayout(holder)
    grid.setContentsMargins(0, 0, 0, 0)
    grid.setHorizontalSpacing(Space.LARGE)
    grid.setVerticalSpacing(Space.HAIR)
    grid.setColumnStretch(0, _LABEL_SHARE)
    grid.setColumnStretch(1, _VALUE_SHARE)
    for row, fact in enumerate(block.rows):
        grid.addWidget(PlainLabel(fact.label, soft=True, wrap=True), row, 0, Qt.AlignmentFlag.AlignTop)
        value = PlainLabel(_breakable(fact.value) if fact.code else fact.value, wrap=True)
        value.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        grid.addWidget(value, row, 1, Qt.AlignmentFlag.AlignTop)
    holder.setAccessibleName(block.caption)
    if titled:
        return holder
    return _column([PlainLabel(block.caption, Type.LEAD, bold=True, wrap=True), holder], space=Space.SMALL)


def _breakable(code: str) -> str:
    """Return a long code with places where a line may break."""
    return "\u200b".join(code[i : i + 16] for i in range(0, len(code), 16))


def number_line(block: KeyFigure) -> QHBoxLayout:
    """Return the figure, large, with its unit behind it."""
    number = QHBoxLayout()
    number.setSpacing(Space.SMALL)
    number.addWidget(PlainLabel(block.value, figure_size(block.value), bold=True))
    number.addWidget(PlainLabel(block.unit, Type.TITLE, soft=True), 0, Qt.AlignmentFlag.AlignBaseline)
    number.addStretch(1)
    return number


def key_figure_widget(block: KeyFigure) -> QFrame:
    """Return the figure, large, on its card."""
    frame = card()
    column = QVBoxLayout(frame)
    column.setContentsMargins(Space.WIDE, Space.LARGE, Space.WIDE, Space.LARGE)
    column.setSpacing(Space.SMALL)
    column.addWidget(PlainLabel(block.label, Type.BODY, soft=True, wrap=True))
    column.addLayout(number_line(block))
    column.addWidget(PlainLabel(block.spread, Type.LEAD, bold=True, wrap=True))
    for line in block.lines:
        column.addWidget(PlainLabel(line, Type.BODY, soft=True, wrap=True))
    column.addStretch(1)
    return frame


def figure_size(value: str) -> Type:
    """Return the size of a figure's letters; a count, such as “15 of 20”, is no figure to be read from afar."""
    if any(sign.isalpha() for sign in value):
        return Type.COUNT
    return Type.FIGURE if len(value) <= _LONGEST_LARGE else Type.PROMPT


def _definitions(block: Definitions) -> QWidget:
    parts: list[QWidget] = []
    for entry in block.entries:
        parts.append(PlainLabel(entry.word, Type.BODY, bold=True, wrap=True))
        parts.append(PlainLabel(entry.meaning, Type.BODY, wrap=True))
        if entry.source:
            parts.append(PlainLabel(entry.source, Type.CAPTION, soft=True, wrap=True))
    return Fold("How it was computed: the definitions", "Fold the definitions", _column(parts))
