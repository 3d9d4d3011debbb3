"""What the settings file may hold: every text from it is taken only if it can be what it says it is."""

import json
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

_MOST_DIGITS = 9
_LONGEST_TEXT = 4_000
_LONGEST_KEPT = 2_000_000  # recent sessions and what was noted last
KEPT_AS_JSON = frozenset({"recent", "skipped", "last_bench"})


def kept_json(text: str, otherwise: Any) -> Any:
    """Return what a kept text holds as JSON; `otherwise` for none, and for what cannot be read, however deep."""
    try:
        return json.loads(text) if text and len(text) <= _LONGEST_KEPT else otherwise
    except (ValueError, RecursionError):
        return otherwise


def value_of(name: str, text: str, default: bool | float | str) -> bool | float | str | None:
    """Return a setting's text as the type of its default; None where it makes no sense for that setting."""
    value = _typed(text, default)
    return value if value is not None and _FITS.get(name, _is_short)(value) else None


def _typed(text: str, default: bool | float | str) -> bool | float | str | None:
    if isinstance(default, bool):
        return {"true": True, "false": False}.get(text)
    if isinstance(default, int | float):
        try:
            return type(default)(text) if len(text) <= _MOST_DIGITS else None
        except ValueError:
            return None
    return text


def _is_short(value: bool | float | str) -> bool:
    return not isinstance(value, str) or len(value) <= _LONGEST_TEXT


def _is_kept(value: bool | float | str) -> bool:
    text = str(value)
    return not text or kept_json(text, None) is not None or Path(text.split("\n", 1)[0]).is_absolute()


def _is_folder(value: bool | float | str) -> bool:
    text = str(value)
    return not text or (_is_short(text) and "\0" not in text and Path(text).is_absolute())


_FITS: Mapping[str, Callable[[bool | float | str], bool]] = {
    "theme": lambda value: value in ("system", "light", "dark"),
    "text_percent": lambda value: isinstance(value, int) and 100 <= value <= 200,
    "flips": lambda value: isinstance(value, int) and 1 <= value <= 100_000,
    "speed_m_per_s": lambda value: isinstance(value, int) and 1 <= value <= 100,
    "session_folder": _is_folder,
    **dict.fromkeys(KEPT_AS_JSON, _is_kept),
}
