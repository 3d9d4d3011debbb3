"""Words for opening a capture: what its leads can be clipped to, and how much of it there is."""

from collections.abc import Mapping, Sequence

from benchapp.presentation.ground.numbers import NBSP, at_places, counted
from benchapp.presentation.ground.wording import role_words
from benchapp.presentation.shown import CARDS
from benchapp.records.named_tests import Roles, named_test
from benchapp.records.run import PickUp

NOT_CLIPPED = "not used"
ON_OFF_ROLES = ("switch", "output", "module", "drive")
VOLT_ROLES = ("stick", "horn", "voltage", "current")
TIME_UNITS = ("s", "ms", "us", "ns")
CAPTURE_ENDINGS = (".vcd", ".csv", ".tsv", ".txt")
QUIET = "Nothing changes on this lead."


def role_choices(*, volts: bool) -> tuple[tuple[str, str], ...]:
    """Return what a lead can be clipped to, (role, words), not used first; roles in volts for a lead in volts."""
    roles = VOLT_ROLES if volts else ON_OFF_ROLES
    return (("", NOT_CLIPPED), *((role, role_words(role)) for role in roles))


TEST_QUESTION = "What was tested"
_SAY: Mapping[Roles, str] = {
    ("output",): "Say which lead was on the servo output.",
    ("switch", "stick"): "Say which lead was on the switch (or the stick).",
    ("stick",): "Say which lead, in volts, was on the stick.",
}
"""What to say for a row of needs that no lead meets."""
PICK_UPS: tuple[tuple[PickUp | None, str], ...] = (
    (None, "not noted"),
    (PickUp.CONTACT, "the switch contact"),
    (PickUp.DRIVEN, "a contact driven for it"),
    (PickUp.TAPED, "a contact taped to the lever"),
    (PickUp.LIGHT_GATE, "a light gate at the lever"),
)
"""How a flip reached the instrument that captured it."""


def captured_tests() -> tuple[tuple[str, str], ...]:
    """Return the tests a capture can hold, (name, words), with what each tells."""
    return tuple((test, card.captured) for test, card in CARDS.named())


def capture_sentence(seconds: float, leads: int) -> str:
    """Return how much a capture holds."""
    return f"{counted(leads, 'lead')} over {at_places(seconds, 1)}{NBSP}s. Say what each was clipped to."


def what_is_missing(clipped: Mapping[str, str] | Sequence[str], test: str) -> str:
    """Return why no session of a test can be made yet of leads with these roles; "" where nothing is missing."""
    roles = list(clipped.values()) if isinstance(clipped, Mapping) else list(clipped)
    used = [role for role in roles if role]
    twice = next((role for role in used if used.count(role) > 1), None)
    if twice is not None:
        return f"Two leads are clipped to the {role_words(twice)}; only one can be."
    missing = named_test(test).missing(used)
    return _SAY.get(missing[0], f"Say which lead was on the {role_words(missing[0][0])}.") if missing else ""
