"""The look of the whole window: palette, letters and one style sheet made from the tokens."""

import math

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QColor, QFont, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication, QWidget

from benchapp.ui.look.tokens import DARK, FOCUS_PX, LIGHT, RADIUS_PX, TARGET_PX, Space, Tokens, Type

_LENGTHS = "lengths"


class Theme(QObject):
    """The tokens in force; `changed` tells whoever paints by hand to paint again."""

    changed = Signal()

    def __init__(self, tokens: Tokens = LIGHT, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.tokens = tokens

    def colour(self, name: str) -> QColor:
        """Return the colour of a token by its name."""
        return QColor(getattr(self.tokens, name))

    def role_colour(self, role: str) -> QColor:
        """Return the colour of a lead's marks and lines."""
        return QColor(self.tokens.role(role))


def wished_tokens(wish: str) -> Tokens:
    """Return the tokens for "light", "dark" or "system"; a system that does not say gets the light ones."""
    if wish == "system":
        dark = QGuiApplication.styleHints().colorScheme() is Qt.ColorScheme.Dark
        return DARK if dark else LIGHT
    return DARK if wish == "dark" else LIGHT


def text_scale() -> float:
    """Return how many times as large as usual letters are wished."""
    return QApplication.font().pointSizeF() / Type.BODY


def scaled(length_px: int) -> int:
    """Return a length made for the usual letters [logical pixels], as long as the wished ones need it."""
    return round(length_px * text_scale())


def use_lengths(widget: QWidget, **lengths_px: int) -> None:
    """Give a widget lengths made for the usual letters, now and whenever other letters are wished.

    A length has the name of the widget's property (minimumWidth, maximumWidth, minimumHeight, maximumHeight).
    Every page must fit 1280 × 720 with letters of 100 to 200 %: lengths that hold words are given this way, rows of
    things are a `WrapRow`, and what scrolls counts its width, not its height. `tests/ui/visits.py` walks every page
    and state with them.
    """
    widget.setProperty(_LENGTHS, lengths_px)
    _fit_lengths(widget)


def _fit_lengths(widget: QWidget) -> None:
    for name, length_px in (widget.property(_LENGTHS) or {}).items():
        widget.setProperty(name, scaled(length_px))


def letters_pt(size: Type, scale: float) -> float:
    """Return how large one of the sizes is where letters are wished scale times as large [pt].

    What can be read across the room as it is grows by the root only, and leaves the room to all the rest.
    """
    return float(size * (scale if size <= Type.TITLE else math.sqrt(scale)))


def font(size: Type, *, bold: bool = False) -> QFont:
    """Return the window's font in one size, its digits all of one width so that a running number stands still."""
    result = QFont(QApplication.font())
    result.setPointSizeF(letters_pt(size, text_scale()))
    result.setWeight(QFont.Weight.DemiBold if bold else QFont.Weight.Normal)
    result.setFeature(QFont.Tag("tnum"), 1)
    return result


def apply_theme(app: QApplication, theme: Theme, tokens: Tokens, *, text_percent: int = 100) -> None:
    """Give the whole program one look; call it again to change it while running."""
    own, before = _own_letters(app), text_scale()
    begin_theme(app, theme, tokens, text_percent=text_percent)
    use_style_sheet(app, tokens)
    _use_letters(own, before)  # after the sheet, which gives every widget back the letters it had before
    for widget in app.allWidgets():
        _fit_lengths(widget)
    theme.changed.emit()


def begin_theme(app: QApplication, theme: Theme, tokens: Tokens, *, text_percent: int) -> None:
    """Set letters and palette, all that widgets need to know while they are made."""
    theme.tokens = tokens
    app.setStyle("Fusion")
    letters = QFont(app.font())
    letters.setPointSizeF(Type.BODY * text_percent / 100)
    app.setFont(letters)
    app.setPalette(_palette(tokens))


def use_style_sheet(app: QApplication, tokens: Tokens) -> None:
    """Set the style sheet.

    Set before a window is made, every widget is styled anew each time it gets a parent: twice the time to the first
    paint (measured: 0.54 s against 0.24 s for this window).
    So it is set after the frame and Start are made.
    """
    app.setStyleSheet(_style_sheet(tokens))


def _own_letters(app: QApplication) -> list[tuple[QWidget, QFont]]:
    """Return the widgets with a font of their own, each with that font."""
    return [
        (widget, QFont(widget.font()))
        for widget in app.allWidgets()
        if widget.testAttribute(Qt.WidgetAttribute.WA_SetFont)
    ]


def _use_letters(own: list[tuple[QWidget, QFont]], before: float) -> None:
    """Make letters larger or smaller that a widget has for itself; each keeps its place on the scale.

    before is how many times as large as usual they were.
    """
    now = text_scale()
    sizes = {round(letters_pt(size, before), 2): letters_pt(size, now) for size in Type}
    for widget, letters in own:
        size_pt = letters.pointSizeF()
        letters.setPointSizeF(sizes.get(round(size_pt, 2), size_pt * now / before))
        widget.setFont(letters)


def _palette(tokens: Tokens) -> QPalette:
    palette = QPalette()
    roles = QPalette.ColorRole
    for role, colour in (
        (roles.Window, tokens.paper),
        (roles.WindowText, tokens.ink),
        (roles.Base, tokens.card),
        (roles.AlternateBase, tokens.paper),
        (roles.Text, tokens.ink),
        (roles.PlaceholderText, tokens.soft_ink),
        (roles.Button, tokens.card),
        (roles.ButtonText, tokens.ink),
        (roles.BrightText, tokens.ink),
        (roles.ToolTipBase, tokens.card),
        (roles.ToolTipText, tokens.ink),
        (roles.Highlight, tokens.action),
        (roles.HighlightedText, tokens.on_action),
        (roles.Link, tokens.action),
        (roles.LinkVisited, tokens.action),
        (roles.Light, tokens.card),
        (roles.Midlight, tokens.hairline),
        (roles.Mid, tokens.control_edge),
        (roles.Dark, tokens.control_edge),
        (roles.Shadow, tokens.control_edge),
    ):
        palette.setColor(role, QColor(colour))
    for role in (roles.WindowText, roles.Text, roles.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, role, QColor(tokens.soft_ink))
    return palette


def _style_sheet(tokens: Tokens) -> str:
    # A thin edge with more room inside is as large as a thick ring with less: nothing moves when the ring comes.
    edge = f"1px solid {tokens.control_edge}; padding: {FOCUS_PX - 1}px {Space.MEDIUM}px"
    ring = f"{FOCUS_PX}px solid {tokens.action}; padding: 0 {Space.MEDIUM - FOCUS_PX + 1}px"
    none = f"{FOCUS_PX}px solid transparent"
    focus = f"{FOCUS_PX}px solid {tokens.action}"
    return f"""
    QMainWindow, QWidget#page, QScrollArea, QWidget#scrolled {{ background: {tokens.paper}; border: none; }}
    QLabel {{ background: transparent; }}
    QLabel[tone="soft"] {{ color: {tokens.soft_ink}; }}
    QFrame[card="true"] {{
        background: {tokens.card}; border: 1px solid {tokens.hairline}; border-radius: {RADIUS_PX}px; }}
    QFrame#rail {{ background: {tokens.paper}; border: none; border-right: 1px solid {tokens.hairline}; }}
    QFrame#rule {{ background: {tokens.hairline}; border: none; max-height: 1px; min-height: 1px; }}
    QFrame#banner {{ background: {tokens.card}; border: none; border-left: 6px solid {tokens.cannot_tell};
        border-bottom: 1px solid {tokens.hairline}; }}
    QFrame#strip {{ background: {tokens.paper}; border: none; border-top: 1px solid {tokens.hairline}; }}
    QFrame#strip[recording="true"] {{ background: {tokens.recording}; border-top-color: {tokens.recording}; }}
    QFrame#strip[recording="true"] QLabel {{ color: {tokens.on_recording}; }}
    QFrame#strip QLabel#tag {{ border: 2px solid {tokens.ink}; border-radius: 4px; padding: 2px 8px; }}
    QFrame#strip[recording="true"] QLabel#tag {{ border-color: {tokens.on_recording}; }}

    QLineEdit, QComboBox, QPlainTextEdit {{ background: {tokens.card}; color: {tokens.ink};
        border: {edge}; border-radius: {RADIUS_PX}px; min-height: {TARGET_PX - 2}px;
        selection-background-color: {tokens.action}; selection-color: {tokens.on_action}; }}
    QLineEdit:focus, QComboBox:focus, QPlainTextEdit:focus {{ border: {ring}; }}
    QLineEdit:read-only, QComboBox:disabled {{ background: {tokens.paper}; color: {tokens.soft_ink}; }}
    QComboBox QLineEdit {{ border: none; padding: 0; min-height: 0; background: transparent; }}
    QComboBox::drop-down {{ border: none; width: 28px; background: transparent; }}
    QComboBox::down-arrow {{ image: none; border: none; }}
    QComboBox QAbstractItemView {{ background: {tokens.card}; color: {tokens.ink};
        border: 1px solid {tokens.control_edge}; selection-background-color: {tokens.action};
        selection-color: {tokens.on_action}; outline: none; }}
    QCheckBox {{ border: {none}; border-radius: {RADIUS_PX}px; padding: 4px; spacing: 10px; }}
    QCheckBox:focus {{ border: {focus}; }}
    QCheckBox::indicator {{ width: 18px; height: 18px; border: 1px solid {tokens.control_edge};
        border-radius: 4px; background: {tokens.card}; }}
    QCheckBox::indicator:checked {{ background: {tokens.action}; border-color: {tokens.action}; }}
    QListWidget {{ background: {tokens.card}; color: {tokens.ink}; border: 1px solid {tokens.hairline};
        border-radius: {RADIUS_PX}px; padding: {Space.HAIR}px; }}
    QListWidget:focus {{ border: {FOCUS_PX}px solid {tokens.action}; padding: {Space.HAIR - FOCUS_PX + 1}px; }}
    QListWidget::item {{ padding: 4px 6px; border-radius: 4px; color: {tokens.ink}; }}
    QListWidget::item:selected {{ background: {tokens.hairline}; color: {tokens.ink}; }}
    QProgressBar {{ background: {tokens.hairline}; border: none; border-radius: 6px;
        min-height: 12px; max-height: 12px; }}
    QProgressBar::chunk {{ background: {tokens.action}; border-radius: 6px; }}
    QTableWidget {{ background: {tokens.card}; color: {tokens.ink}; border: 1px solid {tokens.hairline};
        border-radius: {RADIUS_PX}px; gridline-color: {tokens.hairline}; }}
    QTableWidget:focus {{ border: {focus}; }}
    QTableWidget::item {{ padding: 4px 5px; }}
    QTableWidget::item:selected {{ background: {tokens.action}; color: {tokens.on_action}; }}
    QHeaderView {{ background: transparent; border: none; }}
    QHeaderView::section {{ background: transparent; color: {tokens.soft_ink}; border: none;
        border-bottom: 1px solid {tokens.control_edge}; padding: 6px 8px; text-align: left;
        font-size: {Type.CAPTION * text_scale():g}pt; }}
    QScrollBar:vertical {{ background: transparent; width: 12px; margin: 0; }}
    QScrollBar:horizontal {{ background: transparent; height: 12px; margin: 0; }}
    QScrollBar::handle {{ background: {tokens.control_edge}; border-radius: 4px; margin: 2px; min-height: 32px; }}
    QScrollBar::add-line, QScrollBar::sub-line, QScrollBar::add-page, QScrollBar::sub-page {{
        background: none; border: none; width: 0; height: 0; }}
    QToolTip {{ background: {tokens.card}; color: {tokens.ink}; border: 1px solid {tokens.control_edge};
        padding: 4px; }}
    """
