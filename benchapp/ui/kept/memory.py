"""The settings in force, and the one way to change them: whatever changes is remembered at once."""

from dataclasses import replace
from typing import Any

from benchapp.ui.kept.settings import Settings, SettingsStore


class Memory:
    """Holds the settings; a second copy of the program keeps what this one did not change.

    ignored names the settings that made no sense as the program started.
    """

    def __init__(self, store: SettingsStore) -> None:
        self._store = store
        self.now: Settings = store.load()
        self.ignored = store.ignored

    def change(self, **values: Any) -> None:
        """Put other values in force, and remember them."""
        self.now = replace(self.now, **values)
        self._store.save(self.now, only=tuple(values))

    def refresh(self) -> None:
        """Take over which sessions another copy of the program opened or skipped meanwhile."""
        stored = self._store.load()
        self.now = replace(self.now, recent=stored.recent, skipped=stored.skipped)
