"""A box to tick; the tick is drawn, so that colour does not have to say it alone."""

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QCheckBox, QStyle, QStyleOptionButton, QWidget


class TickBox(QCheckBox):
    """A check box whose tick stands out on the ground of actions."""

    def __init__(self, text: str, *, name: str = "", parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self.setAccessibleName(name or text)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the box, then the tick."""
        super().paintEvent(event)
        if not self.isChecked():
            return
        option = QStyleOptionButton()
        self.initStyleOption(option)
        box = self.style().subElementRect(QStyle.SubElement.SE_CheckBoxIndicator, option, self)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        cap, join = Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin
        painter.setPen(QPen(self.palette().highlightedText().color(), 2, Qt.PenStyle.SolidLine, cap, join))
        corners = ((0.22, 0.52), (0.42, 0.72), (0.78, 0.30))
        painter.drawPolyline([QPointF(box.x() + x * box.width(), box.y() + y * box.height()) for x, y in corners])
        painter.end()
