"""What the card of hold-still says."""

from benchapp.presentation.ground.card import CardWords

PART = CardWords(
    title="Hold still",
    answers="How steady is the servo pulse while nothing moves? You touch nothing; never the throttle stick.",
    needs="Needs a lead on a servo output; one on the stick also tells whether it was touched.",
    takes="Takes under a minute.",
    first="Set the stick where you want it, never the throttle stick, and let go. Touch nothing until the time is "
    "over.",
    captured="A hold: how steady",
    help_pages={"hold-still": "Hold still"},
)
