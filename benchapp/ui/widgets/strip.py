"""The strip at the bottom: how the probe and the saving are, in words."""

from PySide6.QtWidgets import QFrame, QSizePolicy, QWidget

from benchapp.presentation.live.strip_words import NO_PROBE, StripWords
from benchapp.ui.look.theme import Theme
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.buttons import button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.state_mark import StateMark
from benchapp.ui.widgets.wrap_row import WrapRow

_LEAST_PX = 44


class Strip(QFrame):
    """How the probe is at the left, how the saving is at the right; missed records stay said until somebody saw it."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("strip")
        self.setMinimumHeight(_LEAST_PX)
        self.mark = StateMark(theme)
        self.state = PlainLabel("", Type.BODY, bold=True, wrap=True)
        self.tag = PlainLabel("", Type.CAPTION, bold=True)
        self.tag.setObjectName("tag")
        self.tag.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.saving = PlainLabel("", Type.BODY, wrap=True)
        self.acknowledge = button("Seen", name="I have seen that records were missed")
        self.end_session = button("End session", name="End the session: the next test begins another")
        self.end_session.hide()
        self._shown: StripWords | None = None
        row = WrapRow(line_spacing=0)
        row.setContentsMargins(Space.WIDE, 0, Space.WIDE, 0)
        row.addWidget(self.mark)
        row.addWidget(self.state, 1, whole=True)
        for part in (self.tag, self.saving, self.acknowledge, self.end_session):
            row.addWidget(part, whole=True)
        self.setLayout(row)
        self.show_words(NO_PROBE)

    def show_words(self, words: StripWords) -> None:
        """Say how things are; unchanged words cost nothing."""
        if words == self._shown:
            return
        turned = self._shown is None or self._shown.recording != words.recording
        self._shown = words
        self.mark.show_mark(words.mark)
        self.tag.show_text(words.tag)
        self.tag.setVisible(bool(words.tag))
        self.state.show_text(words.state)
        self.saving.show_text(words.saving)
        self.acknowledge.setVisible(words.missed)
        self.end_session.setVisible(words.can_end)
        self.setAccessibleName(". ".join(part for part in (words.state, words.tag, words.saving) if part))
        if turned:
            self.setProperty("recording", words.recording)
            for part in (self, self.state, self.tag, self.saving):
                part.style().unpolish(part)
                part.style().polish(part)
