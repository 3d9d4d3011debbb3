"""What may be typed for a number with a fraction: a decimal point or a decimal comma, whatever the system's is."""

from PySide6.QtCore import QLocale, QObject
from PySide6.QtGui import QDoubleValidator, QValidator


class DecimalValidator(QDoubleValidator):
    """Takes a decimal point and a decimal comma alike; the text stays as it was typed."""

    def __init__(self, least: float, most: float, *, places: int, parent: QObject | None = None) -> None:
        super().__init__(least, most, places, parent)
        self.setNotation(QDoubleValidator.Notation.StandardNotation)
        plain = QLocale.c()
        plain.setNumberOptions(QLocale.NumberOption.RejectGroupSeparator)
        self.setLocale(plain)

    def validate(self, text: str, place: int) -> tuple[QValidator.State, str, int]:
        """Return whether the text is a number within the limits, may become one, or never will."""
        judged = super().validate(text.replace(",", "."), place)
        return judged[0], text, place  # type: ignore[index]
