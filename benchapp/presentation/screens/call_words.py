"""What the help of the command line says of roles, of the pick-up and of captures."""

from collections.abc import Mapping

from benchapp.presentation.ground.wording import PICK_UPS
from benchapp.records.leads import ROLES
from benchapp.records.named_tests import named_test, names_of_tests
from benchapp.records.run import PickUp

ROLE_HELP: Mapping[str, str] = {
    "switch": "the switch's contact: on-off",
    "stick": "the stick's wiper: volts",
    "module": "the pulse train into the transmitter's module: on-off",
    "output": "a servo output of the receiver: on-off; output-2, output-3 … for further ones",
    "horn": "the potentiometer on the servo's horn: volts",
    "voltage": "the receiver's supply: volts",
    "current": "the current into receiver and servo, as volts",
    "drive": "the lead through which the probe flips the contact itself",
}
_IMPORT_HELP = """\
A CSV needs a header row, a time column and one column a lead: 0 and 1, or volts. A blank is no new value.
In a VCD wires are on-off and reals are volts; scope.name tells wires of one name apart."""
COMPARE_HELP = """\
A switch-on of the transmitter is one sample, however many flips it has: record every set with several, best as
record … --flips 60 --switch-ons 10. Two are different only where the interval of their difference leaves out zero.
Sets of the same name (the field set of what is under test) are taken together with --by set."""
_NOTED = {kind: words for kind, words in PICK_UPS.items() if kind is not PickUp.UNKNOWN}


def import_help() -> str:
    """Return what a capture must hold to be imported, and which leads each test needs."""
    needs = ", ".join(f"{test} needs {_needs(test)}" for test in names_of_tests())
    return f"{_IMPORT_HELP}\n{needs}."


def _needs(test: str) -> str:
    """Return the leads a test needs: "output and switch (or stick)"."""
    rows = reversed(named_test(test).needs)
    return " and ".join(row[0] + (f" (or {' or '.join(row[1:])})" if row[1:] else "") for row in rows)


def roles_help() -> str:
    """Return the roles a lead can have, one a line, each with what it is clipped to."""
    width = max(map(len, ROLES)) + 2
    return "\n".join(["roles:", *(f"  {role:<{width}}{ROLE_HELP[role]}" for role in ROLES)])


def pick_up_help(where: str) -> str:
    """Return the ways in which the control's motion can reach where it is stamped, each in words."""
    ways = ", ".join(f"{kind} ({words})" for kind, words in _NOTED.items())
    return f"how the motion reaches {where}: {ways}; unknown where nobody says"
