"""Which state of a lead is the pulse, in words to choose from."""

from benchapp.records.run import Polarity

PULSE_QUESTION = "Which state of the lead is the pulse"
PULSE_CHOICES: tuple[tuple[Polarity, str], ...] = (
    (Polarity.FIND, "pulse found by itself"),
    (Polarity.HIGH, "the pulse is high"),
    (Polarity.LOW, "the pulse is low"),
)


def may_be_told(role: str) -> bool:
    """Return whether a lead clipped to this role carries servo pulses, whose state may be told by hand."""
    return role.partition("-")[0] == "output"
