"""What is said once a report is written, and what is offered to do with it."""

from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.messages import Message

OPEN = "Open"
SHOW_IN_FOLDER = "Show in folder"
_LONGEST = 200


def report_written_message(folder: str) -> Message:
    """Return what to say of a report that lies in a folder now."""
    where = clean(folder, limit=_LONGEST)
    return Message(title="The report is written", kept=f"It is in {where}.", do="", details="")
