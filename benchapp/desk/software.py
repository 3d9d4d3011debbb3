"""Which version of this program is running."""

from importlib.metadata import PackageNotFoundError, version

from benchapp.records.findings import REDUCTION_VERSION


def recorder() -> str:
    """Return what a new session says recorded it: the program, and the version of its reduction.

    Findings are never stored, so this is how a session tells that what was printed when it was recorded may differ
    from what is computed now. No version named means 1.
    """
    return f"{software()}, reduction {REDUCTION_VERSION}"


def software() -> str:
    """Return the program's name and version, as sessions and findings carry it."""
    try:
        return f"benchapp {version('benchapp')}"
    except PackageNotFoundError:
        return "benchapp (not installed)"
