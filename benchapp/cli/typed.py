"""What is typed after an option, read: each says what was expected where it is something else."""

import argparse
import math
from collections.abc import Callable, Sequence
from pathlib import Path

from benchapp.desk.names import shown
from benchapp.procedures.gate import OnBench
from benchapp.records.errors import WrongCall
from benchapp.records.run import PickUp


def path(text: str) -> Path:
    """Return the name of a file as a path."""
    if not text or "\0" in text:
        raise argparse.ArgumentTypeError(f"the name of a file was expected, got {shown(text)}")
    return Path(text)


def pick_up(text: str) -> PickUp:
    """Return how the motion reaches the instrument."""
    known = [kind.value for kind in PickUp]
    if text not in known:
        raise argparse.ArgumentTypeError(f"one of {', '.join(known)} was expected, got {shown(text)}")
    return PickUp(text)


def one_of(*words: str) -> Callable[[str], str]:
    """Return what reads one of a few words."""

    def read(text: str) -> str:
        if text not in words:
            raise argparse.ArgumentTypeError(f"one of {', '.join(words)} was expected, got {shown(text)}")
        return text

    return read


def on_bench(text: str) -> OnBench:
    """Return what stands on the bench."""
    known = [answer.value for answer in OnBench]
    if text not in known:
        raise argparse.ArgumentTypeError(f"one of {', '.join(known)} was expected, got {shown(text)}")
    return OnBench(text)


def counted(most: int) -> Callable[[str], int]:
    """Return what reads a whole number from 1 to the most."""

    def read(text: str) -> int:
        if not text.isascii() or not text.isdigit() or not 1 <= int(text[:12]) <= most:
            raise argparse.ArgumentTypeError(f"a whole number from 1 to {most} was expected, got {shown(text)}")
        return int(text)

    return read


def whole(text: str) -> int:
    """Return a whole number of lines."""
    if not text.isascii() or not text.isdigit() or len(text) > 12:
        raise argparse.ArgumentTypeError(f"a whole number of lines was expected, got {shown(text)}")
    return int(text)


def number(low: float, high: float) -> Callable[[str], float]:
    """Return what reads a number between two bounds."""

    def read(text: str) -> float:
        try:
            value = float(text)
        except ValueError:
            value = math.nan
        if not low <= value <= high:
            raise argparse.ArgumentTypeError(f"a number from {low:g} to {high:g} was expected, got {shown(text)}")
        return value

    return read


def pair(text: str) -> tuple[str, str]:
    """Return what stands before and after the last =, as (name, role)."""
    name, equals, role = text.rpartition("=")
    if not name or not equals or not role:
        raise argparse.ArgumentTypeError(f"NAME=ROLE was expected, got {shown(text)}")
    return name, role


def unique(pairs: Sequence[tuple[str, str]], option: str) -> dict[str, str]:
    """Return {name: role}. Raises WrongCall where a name or a role is given twice."""
    found: dict[str, str] = {}
    for name, role in pairs:
        if name in found:
            raise WrongCall(f"{option} names {shown(name)} twice; a lead can be clipped to one thing.")
        if role in found.values():
            raise WrongCall(f"{option} gives the role {shown(role)} twice; only one lead can have it.")
        found[name] = role
    return found
