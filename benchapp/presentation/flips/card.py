"""What the card of switch-flip says."""

from benchapp.presentation.ground.card import CardWords

PART = CardWords(
    title="Switch to servo pulse",
    answers="How late is the servo pulse? You flip a switch, and every flip is timed.",
    needs="Needs a lead on the switch and one on a servo output.",
    takes="Takes about two minutes.",
    first="Flip the switch up and down, a second or so apart and not in a beat. Each flip is timed from the "
    "contact to the end of the first servo pulse that has passed half-way.",
    captured="Flips: switch to servo pulse",
    help_pages={"switch-flip": "Switch to servo pulse"},
)
