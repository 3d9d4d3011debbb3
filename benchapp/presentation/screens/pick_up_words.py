"""The question how a flip reaches the probe: opened or closed, in words.

It is asked with every probe and answered by nobody but a person; until then the pick-up is "not noted". (A default of
"opened" that nobody read would have left 5 ms out of a closed set's uncertainty.)
"""

from benchapp.records.run import PickUp

QUESTION = "How does the flip reach the probe?"
NOT_ANSWERED = "Choose: case open, or case stays shut?"
"""Until it is answered, the pick-up counts as not noted."""
CARRIED_OVER = "Carried over from before. Is it still so? Choose again if not."
"""Stands beside an answer that was given for another session."""
CHOICES: tuple[tuple[PickUp, str], ...] = (
    (PickUp.CONTACT, "Case open: a lead on the switch contact"),
    (PickUp.TAPED, "Case stays shut: a contact taped to the lever"),
    (PickUp.LIGHT_GATE, "Case stays shut: a light gate at the lever"),
)
"""Where the probe flips the contact itself, the test says so by itself."""
