"""Words about a port that may not be opened."""

from benchapp.presentation.ground.cleaning import message_line

RULE = "Best: a device rule. It lets whoever sits at this computer use the probe, and keeps other services off it."
GROUP = "Or join the group the port belongs to, then log out and in again."
NEITHER = "Ask whoever looks after this computer to let you use the port."
WATCHING = "The port is looked at every 2 seconds. As soon as it may be opened, it is connected by itself."
_LONGEST_PORT = 80


def permission_title(port: str) -> str:
    """Return the heading over what can be done."""
    return f"You may not open {message_line(port, limit=_LONGEST_PORT)}"
