"""Where shipped files lie: `resources` and `sample_sessions`, in an installed copy or a checkout."""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def _folder(name: str) -> Path:
    shipped = _PACKAGE / "_shipped" / name
    return shipped if shipped.is_dir() else _PACKAGE.parent / name


def resource(name: str) -> Path:
    """Return the path of a file in `resources`."""
    return _folder("resources") / name


def sample_session(name: str) -> Path:
    """Return the path of a file in `sample_sessions`."""
    return _folder("sample_sessions") / name
