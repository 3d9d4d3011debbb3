"""The way in without a probe: the practice bench, with one of its radios."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QWidget

from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.screens.start.ways import WayCard
from benchapp.ui.widgets.buttons import BenchButton, Kind, button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.one_of import OneOf
from benchapp.ui.widgets.wrap_row import WrapRow

RADIOS = (
    ("alder", "Alder", "Its link is built in; quick."),
    ("birch", "Birch", "A module fed by a pulse train; slow frame."),
    ("cedar", "Cedar", "In between, and in step with nothing."),
)


class PracticeCard(WayCard):
    """Lets one of the practice radios be chosen, and tells which."""

    practise = Signal(str)

    def __init__(self, radio: str, parent: QWidget | None = None) -> None:
        super().__init__("Try without a probe", "A practice bench: simulated, and nothing can move.", parent)
        self.radio_buttons: dict[str, BenchButton] = {}
        row = WrapRow(spacing=Space.HAIR, line_spacing=Space.HAIR)
        for key, name, _ in RADIOS:
            made = button(name, name=f"Practice radio {name}")
            self.radio_buttons[key] = made
            row.addWidget(made, 1)
        self._radios = OneOf(list(self.radio_buttons.values()), self)
        self._radios.choose(list(self.radio_buttons).index(radio) if radio in self.radio_buttons else 0)
        self._radios.chosen.connect(self._say_radio)
        self.sentence = PlainLabel("", Type.BODY, soft=True, wrap=True)
        self.practise_button = button("Open the practice bench", Kind.MAIN)
        self.practise_button.clicked.connect(self._practise)
        self.column.addLayout(row)
        self.column.addWidget(self.sentence)
        self.column.addStretch(1)
        self.column.addWidget(self.practise_button)
        self._say_radio()

    def chosen_radio(self) -> str:
        """Return the key of the practice radio that is chosen."""
        return RADIOS[self._radios.index()][0]

    @Slot()
    def _say_radio(self) -> None:
        self.sentence.show_text(RADIOS[self._radios.index()][2])

    @Slot()
    def _practise(self) -> None:
        self.practise.emit(self.chosen_radio())
