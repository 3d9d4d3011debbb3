"""What does not fit on screen: words cut off, things outside the window or the page that scrolls them."""

from PySide6.QtWidgets import QAbstractButton, QComboBox, QLabel, QScrollArea

from benchapp.ui.screens.start.recent_list import RecentList


def shown(window, *kinds):
    """Return the widgets of a kind that can be seen, or would be after scrolling."""
    found = []
    for kind in kinds:
        found += [w for w in window.findChildren(kind) if w.isVisible() and w.window() is window]
    return found


def too_small(window):
    """Return what has less room than its words need."""
    found = []
    for widget in shown(window, QAbstractButton, QLabel, QComboBox):
        needed, has = widget.sizeHint(), widget.size()
        wraps = isinstance(widget, QLabel) and widget.wordWrap()
        if wraps:
            needed_px = widget.heightForWidth(has.width())
            if needed_px > has.height() + 1:
                found.append(f"{words(widget)} needs {needed_px} px of height, has {has.height()}")
            parts = widget.text().replace("\u200b", " ").split()
            longest = max((widget.fontMetrics().horizontalAdvance(part) for part in parts), default=0)
            if longest > has.width():
                found.append(f"{words(widget)} has a word {longest} px wide, has {has.width()}")
            continue
        if not isinstance(widget, QComboBox) and needed.width() > has.width():
            found.append(f"{words(widget)} needs {needed.width()} px, has {has.width()}")
        least_px = widget.fontMetrics().height()
        if least_px > has.height():
            found.append(f"{words(widget)} needs {least_px} px of height, has {has.height()}")
    return found


def outside(window):
    """Return what sticks out of the window, or out of the width of the area that scrolls it."""
    found = []
    for widget in shown(window, QAbstractButton, QLabel, QComboBox, RecentList):
        area = scroller_of(widget)
        holder = area.viewport() if area is not None else window
        left = widget.mapTo(window, widget.rect().topLeft())
        right = widget.mapTo(window, widget.rect().bottomRight())
        edge = holder.mapTo(window, holder.rect().bottomRight())
        start = holder.mapTo(window, holder.rect().topLeft())
        if right.x() > edge.x() or left.x() < start.x():
            found.append(f"{words(widget)} reaches from {left.x()} to {right.x()}, room {start.x()} to {edge.x()}")
        if area is None and right.y() > edge.y():
            found.append(f"{words(widget)} ends at {right.y()}, window at {edge.y()}")
    return found


def overlapping(window):
    """Return the pairs of words that lie on each other: neighbours in one place that share pixels."""
    found = []
    labels = shown(window, QAbstractButton, QLabel, QComboBox)
    for place, one in enumerate(labels):
        for other in labels[place + 1 :]:
            if one.parent() is other.parent() and one.geometry().intersects(other.geometry()):
                found.append(f"{words(one)} and {words(other)}")
    return found


def scroller_of(widget):
    """Return the area that scrolls a widget, None where nothing does."""
    parent = widget.parentWidget()
    while parent is not None and not isinstance(parent, QScrollArea):
        parent = parent.parentWidget()
    return parent


def words(widget):
    """Return what a widget says, for people."""
    text = widget.currentText() if isinstance(widget, QComboBox) else getattr(widget, "text", str)()
    return f"{type(widget).__name__} {text[:40]!r}"
