"""Warnings about a session, on stderr: that it was stopped early, that part of it is damaged."""

from pathlib import Path

from benchapp.cli.printing import say_aside
from benchapp.desk.loading import Loaded
from benchapp.desk.names import shown

_MOST_SHOWN = 5


def say_state(path: Path, loaded: Loaded) -> None:
    """Say on stderr whether a session was stopped early, and what of it is damaged."""
    if loaded.kept:
        say_aside(f"{shown(path)} {loaded.kept}.")
    for line in loaded.facts.damage[:_MOST_SHOWN]:
        say_aside(f"{shown(path)}: {line}")
    if len(loaded.facts.damage) > _MOST_SHOWN:
        say_aside(f"{shown(path)}: and {len(loaded.facts.damage) - _MOST_SHOWN} more places; see benchapp check.")
