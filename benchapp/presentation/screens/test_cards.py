"""What the card of each test says: what it answers, and what it needs."""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class CardWords:
    """What a test answers and what is done for it, and what it needs and how long it takes.

    first : the sentence of the page while this test is chosen
    """

    answers: str
    needs: str
    first: str


CARDS: Mapping[str, CardWords] = {
    "switch-flip": CardWords(
        answers="How late is the servo pulse? You flip a switch, and every flip is timed.",
        needs="Needs a lead on the switch and one on a servo output. About two minutes.",
        first="Flip the switch up and down, a second or so apart and not in a beat. Each flip is timed from the "
        "contact to the end of the first servo pulse that has passed half-way.",
    ),
    "stick-sweep": CardWords(
        answers="How straight is the stick's travel? You move the stick from end to end, or to marks.",
        needs="Needs a lead on its servo output, and a voltage lead on the stick unless marks are used. One to five "
        "minutes.",
        first="Take aileron, elevator or rudder, never the throttle stick. Expo, rates and mixes off, or the curve you "
        "see is theirs.",
    ),
    "hold-still": CardWords(
        answers="How steady is the servo pulse while nothing moves? You touch nothing.",
        needs="Needs a lead on a servo output; one on the stick also tells whether it was touched. Under a minute.",
        first="Set the stick where you want it, never the throttle stick, and let go. Touch nothing until the time is "
        "over.",
    ),
}
"""The tests that can be run, in the order of their cards."""
