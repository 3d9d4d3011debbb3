"""Which version of this program is running."""

from importlib.metadata import PackageNotFoundError, version


def software() -> str:
    """Return the program's name and version, as sessions and findings carry it."""
    try:
        return f"benchapp {version('benchapp')}"
    except PackageNotFoundError:
        return "benchapp (not installed)"
