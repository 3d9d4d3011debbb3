"""Settings: few, in force at once, and all back to usual with one button."""

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from benchapp.presentation.screens.port_page_words import INSTALL_OFFER, TEST_OFFER
from benchapp.ui.kept.settings import Settings, session_folder, usual_values
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.labels import PathLabel, PlainLabel
from benchapp.ui.widgets.one_of import OneOf
from benchapp.ui.widgets.page import PageFrame, card
from benchapp.ui.widgets.tick_box import TickBox
from benchapp.ui.widgets.wrap_row import WrapRow

_LOOKS = (("system", "As the system"), ("light", "Light"), ("dark", "Dark"))
_TEXT_SIZES = (100, 125, 150, 200)
_SOUNDS = "The system's own beep: once for flip now, twice for done. The page says the same in words, heard or not."
_MENU = "In the system's menu it has its own icon, and a double click on a session opens it here."
_PROBE = "For a new board, or a probe with an old program. What the board holds now is replaced."
_KEYS = "N, M, F, Home and Backspace act on their own page. Esc always stops a run and keeps it."


class SettingsPage(PageFrame):
    """Shows the settings and tells which ones are to change, by their names; whoever owns them puts them in force."""

    chosen = Signal(object)
    change_folder = Signal()
    leave = Signal()
    put_in_menu = Signal(bool)
    install_wanted = Signal()
    test_wanted = Signal()

    def __init__(self) -> None:
        super().__init__("Settings", "Each takes effect at once.")
        self._settings = Settings()
        self.looks = [button(words, name=f"Look of the window: {words}") for _, words in _LOOKS]
        self._look = OneOf(self.looks, self)
        self._look.chosen.connect(self._tell)
        self.text_sizes = [button(f"{percent} %", name=f"Text size: {percent} %") for percent in _TEXT_SIZES]
        self._text_size = OneOf(self.text_sizes, self)
        self._text_size.chosen.connect(self._tell)
        self.sounds = TickBox("Sounds in a run")
        self.single_keys = TickBox("Single keys")
        for box in (self.sounds, self.single_keys):
            box.clicked.connect(self._tell)
        self.folder = PathLabel("Kept in", Type.BODY)
        self.folder_button = button("Change…", name="Change where sessions are kept")
        self.folder_button.clicked.connect(self.change_folder)
        self.task.addWidget(_part("Look", _row(*self.looks)))
        self.task.addWidget(_part("Text size", _row(*self.text_sizes)))
        self.task.addWidget(_part("Sessions", _row(self.folder, self.folder_button)))
        self.menu_button = button("")
        self.menu_button.clicked.connect(self._ask_menu)
        self.task.addWidget(_part("Menu", _row(self.menu_button), _MENU))
        self.show_menu(in_menu=False)
        self.install_button = button(INSTALL_OFFER)
        self.install_button.clicked.connect(self.install_wanted)
        self.test_button = button(TEST_OFFER)
        self.test_button.clicked.connect(self.test_wanted)
        self.task.addWidget(_part("Probe", _row(self.install_button, self.test_button), _PROBE))
        self.task.addWidget(_part("Sounds", self.sounds, _SOUNDS))
        self.task.addWidget(_part("Keys", self.single_keys, _KEYS))
        self.task.addStretch(1)
        self.reset_button = button("All back to usual", name="Set everything back to usual")
        self.reset_button.clicked.connect(self._reset)
        self.done_button = button("Done", Kind.MAIN)
        self.done_button.clicked.connect(self.leave)
        self.foot.addWidget(self.reset_button)
        self.foot.addStretch(1)
        self.foot.addWidget(self.done_button)
        escape = QShortcut(QKeySequence(Qt.Key.Key_Escape), self)
        escape.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        escape.activated.connect(self.leave)

    def main_button(self) -> QPushButton | None:
        """Return the button that leaves."""
        return self.done_button

    def show_settings(self, settings: Settings) -> None:
        """Show the settings in force without telling anybody of a change."""
        self._settings = settings
        keys = [key for key, _ in _LOOKS]
        self._look.choose(keys.index(settings.theme) if settings.theme in keys else 0)
        sizes = [abs(percent - settings.text_percent) for percent in _TEXT_SIZES]
        self._text_size.choose(sizes.index(min(sizes)))
        self.sounds.setChecked(settings.sounds)
        self.single_keys.setChecked(settings.single_keys)
        self.folder.show_path(str(session_folder(settings)))

    def show_menu(self, *, in_menu: bool) -> None:
        """Show whether the program is in the system's menu."""
        self._in_menu = in_menu
        words = "Take out of the menu" if in_menu else "Put into the menu"
        self.menu_button.setText(words)
        self.menu_button.setAccessibleName(words)

    @Slot()
    def _ask_menu(self) -> None:
        self.put_in_menu.emit(not self._in_menu)

    @Slot()
    def _tell(self) -> None:
        values = {
            "theme": _LOOKS[self._look.index()][0],
            "text_percent": _TEXT_SIZES[self._text_size.index()],
            "sounds": self.sounds.isChecked(),
            "single_keys": self.single_keys.isChecked(),
        }
        changed = {name: value for name, value in values.items() if value != getattr(self._settings, name)}
        if changed:
            self.chosen.emit(changed)

    @Slot()
    def _reset(self) -> None:
        self.chosen.emit(usual_values())


def _row(*parts: QWidget) -> QWidget:
    holder = QWidget()
    row = WrapRow()
    for part in parts:
        row.addWidget(part, 1 if isinstance(part, PathLabel) else 0)
    holder.setLayout(row)
    return holder


def _part(title: str, control: QWidget, sentence: str = "") -> QWidget:
    frame = card()
    column = QVBoxLayout(frame)
    column.setContentsMargins(Space.LARGE, Space.MEDIUM, Space.LARGE, Space.MEDIUM)
    column.setSpacing(Space.SMALL)
    column.addWidget(PlainLabel(title, Type.LEAD, bold=True))
    column.addWidget(control)
    if sentence:
        column.addWidget(PlainLabel(sentence, Type.BODY, soft=True, wrap=True))
    return frame
