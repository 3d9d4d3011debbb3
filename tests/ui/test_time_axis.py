"""The scale below the lanes: no mark's words run into the next one's, however large the letters."""

from itertools import pairwise

import pytest
from PySide6.QtWidgets import QApplication

from benchapp.ui.look.theme import apply_theme
from benchapp.ui.look.tokens import LIGHT
from benchapp.ui.widgets.time_axis import TimeAxis


def axis_of(qtbot, theme, *, width, window_s=2.0, text_percent=100):
    apply_theme(QApplication.instance(), theme, LIGHT, text_percent=text_percent)
    axis = TimeAxis(theme)
    qtbot.addWidget(axis)
    axis.show_window(window_s)
    axis.resize(width, axis.sizeHint().height())
    return axis


@pytest.mark.parametrize("window_s", [0.2, 2.0, 10.0])
@pytest.mark.parametrize("width", [240, 420, 900])
@pytest.mark.parametrize("text_percent", [100, 200])
def test_no_words_touch_and_all_are_within_the_scale(qtbot, theme, width, window_s, text_percent):
    axis = axis_of(qtbot, theme, width=width, window_s=window_s, text_percent=text_percent)
    places = [place for place, _ in axis.placed_labels()]
    assert places[0].left() >= 0
    assert places[-1].right() <= width
    assert all(one.right() < other.left() for one, other in pairwise(places))


def test_every_mark_has_words_where_there_is_room_and_the_ends_have_theirs_always(qtbot, theme):
    wide = axis_of(qtbot, theme, width=900)
    assert [text for _, text in wide.placed_labels()] == wide.labels()
    for width in (420, 240):
        narrow = axis_of(qtbot, theme, width=width, text_percent=200)
        written = [text for _, text in narrow.placed_labels()]
        assert (written[0], written[-1]) == (narrow.labels()[0], "now")
        assert len(written) < len(narrow.labels())
