"""What the card of stick-sweep says."""

from benchapp.presentation.ground.card import CardWords

PART = CardWords(
    title="Stick sweep",
    answers="How straight is the stick's travel? You move it from end to end, or to marks; never the throttle stick.",
    needs="Needs a lead on its servo output, and a voltage lead on the stick unless marks are used.",
    takes="Takes one to five minutes.",
    first="Take aileron, elevator or rudder, never the throttle stick. Expo, rates and mixes off, or the curve you "
    "see is theirs.",
    captured="A stick sweep: how straight",
    help_pages={"stick-sweep": "Stick sweep by hand", "stick-by-stops": "Stick sweep by stops"},
)
