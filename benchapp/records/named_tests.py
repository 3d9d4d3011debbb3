"""The named tests: the one list of them, and how a room finds its own part of each."""

from collections.abc import Iterator
from dataclasses import dataclass
from importlib import import_module
from typing import Generic, TypeVar

P = TypeVar("P")


@dataclass(frozen=True, kw_only=True, slots=True)
class NamedTest:
    """A test by its name.

    folder : where each room keeps its part of the test; "" for a test that brings its parts along when it is entered
    """

    name: str
    folder: str = ""


_SHIPPED = (
    NamedTest(name="switch-flip", folder="flips"),
    NamedTest(name="stick-sweep", folder="sweep"),
    NamedTest(name="hold-still", folder="hold"),
)
_entered: dict[str, NamedTest] = {test.name: test for test in _SHIPPED}


def names_of_tests() -> tuple[str, ...]:
    """Return the names of all tests that can be run and reduced, in the order in which they are offered."""
    return tuple(_entered)


def named_test(name: str) -> NamedTest | None:
    """Return a test by its name; None for one this version does not know."""
    return _entered.get(name)


class Parts(Generic[P]):
    """One room's parts of the named tests, by the test's name.

    A shipped test's part is the `PART` of a module in the room's own folder of that test. It is loaded when it is first
    asked for: what Start does not need is not imported on the way there.
    """

    def __init__(self, place: str) -> None:
        """Place is the module's dotted path, with {} where the test's folder goes."""
        self._place = place
        self._parts: dict[str, P] = {}

    def find(self, test: str) -> P | None:
        """Return a test's part; None for a test this version does not know."""
        part = self._parts.get(test)
        shipped = _entered.get(test)
        if part is None and shipped is not None and shipped.folder:
            part = self._parts[test] = import_module(self._place.format(shipped.folder)).PART
        return part

    def named(self) -> Iterator[tuple[str, P]]:
        """Yield every test that has a part here, with its part, in the order of the list."""
        found = ((test, self.find(test)) for test in names_of_tests())
        return ((test, part) for test, part in found if part is not None)

    def all(self) -> Iterator[P]:
        """Yield the part of every test that has one, in the order of the list."""
        return (part for _, part in self.named())

    def enter(self, test: str, part: P) -> None:
        """Take in the part of a test that is not shipped."""
        self._parts[test] = part

    def leave(self, test: str) -> None:
        """Let go of a part that was entered; nothing where there is none."""
        self._parts.pop(test, None)
