"""What the program remembers between starts, each value typed, kept where the system keeps such things."""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any

from PySide6.QtCore import QSettings, QStandardPaths

from benchapp.records.named_tests import USUAL_TEST
from benchapp.ui.kept.kept_values import KEPT_AS_JSON, kept_json, value_of

_FOLDER = "benchapp"


@dataclass(frozen=True, kw_only=True, slots=True)
class Settings:
    """Everything that is remembered. theme: system, light or dark; session_folder "" means the usual place.

    text_percent is the size of letters beside the usual, test the one that was run last, speed_m_per_s the
    model's speed that the human ruler is drawn for. recent holds the sessions
    open lately, the newest first, skipped the unfinished ones that were left alone, last_bench what was noted for the
    last one, all as JSON.
    """

    theme: str = "system"
    text_percent: int = 100
    session_folder: str = ""
    practice_radio: str = "alder"
    test: str = USUAL_TEST
    flips: int = 60
    speed_m_per_s: int = 20
    bench_flips: bool = False
    sounds: bool = True
    single_keys: bool = True
    recent: str = ""
    skipped: str = ""
    last_bench: str = ""


def usual_values() -> dict[str, bool | float | str]:
    """Return every setting as it usually is, by its name; what was opened and noted lately is no setting."""
    usual = Settings()
    return {field.name: getattr(usual, field.name) for field in fields(Settings) if field.name not in KEPT_AS_JSON}


def noted_last(settings: Settings) -> dict[str, str]:
    """Return what was noted for the last session; nothing where that makes no sense."""
    noted = kept_json(settings.last_bench, {})
    if not isinstance(noted, dict):
        return {}
    return {str(key): text for key, text in noted.items() if isinstance(text, str)}


def settings_file() -> Path:
    """Return where the settings are kept, under the system's folder for configuration."""
    place = QStandardPaths.StandardLocation.GenericConfigLocation
    return Path(QStandardPaths.writableLocation(place)) / _FOLDER / "settings.ini"


def usual_session_folder() -> Path:
    """Return the folder sessions go to unless another was chosen, under the system's folder for data."""
    return _data_folder() / "sessions"


def trash_folder() -> Path:
    """Return where deleted sessions lie until they are deleted for good."""
    return _data_folder() / "trash"


def documents_folder() -> Path:
    """Return the folder of the person's own documents, where a report is looked for first."""
    place = QStandardPaths.StandardLocation.DocumentsLocation
    found = Path(QStandardPaths.writableLocation(place))
    return found if found.is_dir() else Path.home()


def _data_folder() -> Path:
    place = QStandardPaths.StandardLocation.GenericDataLocation
    return Path(QStandardPaths.writableLocation(place)) / _FOLDER


def session_folder(settings: Settings) -> Path:
    """Return the folder new sessions are written to."""
    return Path(settings.session_folder) if settings.session_folder else usual_session_folder()


class SettingsStore:
    """Reads and writes the settings; what makes no sense reads as the default, it never stops the program.

    ignored names the settings of which the last reading made no sense.
    """

    def __init__(self, path: Path | None = None) -> None:
        self._path = path or settings_file()
        self.ignored: tuple[str, ...] = ()

    def load(self) -> Settings:
        """Return what was remembered, defaults where there is nothing."""
        store = QSettings(str(self._path), QSettings.Format.IniFormat)
        found: dict[str, Any] = {}
        ignored = []
        for field in fields(Settings):
            kept = store.value(field.name)
            value = value_of(field.name, kept, getattr(Settings(), field.name)) if isinstance(kept, str) else None
            if value is not None:
                found[field.name] = value
            elif kept is not None:
                ignored.append(field.name)
        self.ignored = tuple(ignored)
        return replace(Settings(), **found)

    def save(self, settings: Settings, *, only: Sequence[str] = ()) -> None:
        """Remember every value, or only those that are named."""
        store = QSettings(str(self._path), QSettings.Format.IniFormat)
        for name in only or [field.name for field in fields(Settings)]:
            value = getattr(settings, name)
            store.setValue(name, str(value).lower() if isinstance(value, bool) else str(value))
        store.sync()
