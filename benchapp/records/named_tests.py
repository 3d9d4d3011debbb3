"""The named tests: the one list of them, and how a room finds its own part of each."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from importlib import import_module
from typing import Generic, TypeVar

from benchapp.records.errors import WrongCall

P = TypeVar("P")


Roles = tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class NamedTest:
    """A test by its name, and what every room must know of it.

    folder  : where each room keeps its part of the test; "" for a test that brings its parts along when it is entered
    needs   : the roles it needs leads on, a row each: of a row's roles one is enough, and the first is the usual one
    typed   : roles it does without where positions are typed (`RunSettings.stops_deg`)
    options : the fields of `RunSettings` that say something to it, beside `seconds`
    by_flips: it times single flips of a control, so that what moves and stamps them is part of the run
    """

    name: str
    folder: str = ""
    needs: tuple[Roles, ...] = (("output",),)
    typed: Roles = ()
    options: frozenset[str] = frozenset()
    by_flips: bool = False

    def missing(self, roles: Collection[str], *, typed: bool = False) -> tuple[Roles, ...]:
        """Return the rows of needs that leads with these roles do not meet; typed: positions are typed."""
        met = {*roles, *(self.typed if typed else ())}
        return tuple(row for row in self.needs if met.isdisjoint(row))


_SHIPPED = (
    NamedTest(
        name="switch-flip",
        folder="flips",
        needs=(("switch", "stick"), ("output",)),
        options=frozenset({"flips", "target_ms", "switch_ons", "correction_ms", "correction_within_ms"}),
        by_flips=True,
    ),
    NamedTest(
        name="stick-sweep",
        folder="sweep",
        needs=(("stick",), ("output",)),
        typed=("stick",),
        options=frozenset({"cycles", "stops_deg", "stop_half_width_deg"}),
    ),
    NamedTest(name="hold-still", folder="hold", options=frozenset({"positions"})),
)
"""The one list: a test that ships has a line here, and its folder in every room."""
USUAL_TEST = _SHIPPED[0].name
_known: dict[str, NamedTest] = {test.name: test for test in _SHIPPED}


def names_of_tests() -> tuple[str, ...]:
    """Return the names of all tests that can be run and reduced, in the order in which they are offered."""
    return tuple(_known)


def named_test(name: str) -> NamedTest:
    """Return a test by its name. Raises WrongCall, naming those there are, for one this version does not know."""
    found = _known.get(name)
    if found is None:
        known = ", ".join(_known)
        raise WrongCall(f"There is no test {name[:40]!a} in this version; the tests are {known}.")
    return found


def times_flips(name: str) -> bool:
    """Return whether a test times single flips of a control; False for one this version does not know."""
    return name in _known and _known[name].by_flips


def enter_test(test: NamedTest) -> None:
    """Take a test that is not shipped into the list. Raises WrongCall for a name that another test has."""
    if _known.get(test.name, test) != test:
        raise WrongCall(f"There is a test {test.name[:40]!a} already.")
    _known[test.name] = test


def leave_test(name: str) -> None:
    """Take a test that was entered off the list again; a shipped one stays."""
    if name in _known and not _known[name].folder:
        del _known[name]


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
        shipped = _known.get(test)
        if part is None and shipped is not None and shipped.folder:
            part = self._parts[test] = import_module(self._place.format(shipped.folder)).PART
        return part

    def of(self, test: str) -> P:
        """Return a test's part. Raises WrongCall for a test that has none here."""
        part = self.find(test)
        if part is None:
            raise WrongCall(f"There is no test {test[:40]!a} in this version.")
        return part

    def names(self) -> tuple[str, ...]:
        """Return the names of the tests that have a part here, in the order of the list."""
        return tuple(test for test, _ in self.named())

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
