"""What to say when something went wrong: what happened, what was kept, what to do, and the details."""

from collections.abc import Mapping
from dataclasses import dataclass

from benchapp.presentation.ground.cleaning import message_line
from benchapp.records.errors import (
    BenchError,
    DamagedEvidence,
    DiskTrouble,
    NewerProbeProgram,
    NewerSession,
    NoBootLoader,
    NoProbeProgram,
    NotEnoughData,
    NotOurProbe,
    OldProbeProgram,
    OtherProbe,
    OutOfMemory,
    OutputExists,
    PortBusy,
    PortGone,
    PortNotAllowed,
    ProbeTrouble,
    SafetyRefused,
    SessionBusy,
    SessionTakenAway,
    StoppedByHand,
    SystemTrouble,
    UploadBroken,
    WrongCall,
    WrongChip,
    WrongInput,
)

_NOTHING_OPEN = "Nothing was being recorded, so nothing is lost."
_UNTOUCHED = "The file is as it was; nothing was written."


@dataclass(frozen=True, kw_only=True, slots=True)
class Message:
    """One message for a person: title, what was kept, what to do, and the details."""

    title: str
    kept: str
    do: str
    details: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """What the catalogue of messages says for one class of error."""

    title: str
    kept: str
    do: str


CATALOGUE: Mapping[type[BenchError], Entry] = {
    WrongCall: Entry(
        title="That call cannot be carried out",
        kept=_NOTHING_OPEN,
        do="Correct the part named below and call again.",
    ),
    SessionBusy: Entry(
        title="This session is still being recorded",
        kept="The recording goes on, and nothing of it was changed.",
        do="Stop the recording first, then try again.",
    ),
    WrongInput: Entry(
        title="This file cannot be read",
        kept=_UNTOUCHED,
        do="Choose another file, or mend this one at the place named below.",
    ),
    OutputExists: Entry(
        title="There is already a file of that name",
        kept="The file that is there was left alone.",
        do="Choose another name, or say that it may be replaced.",
    ),
    NotEnoughData: Entry(
        title="Not enough data for that",
        kept="Everything recorded so far is in the session file.",
        do="Record more, then ask again.",
    ),
    DamagedEvidence: Entry(
        title="Parts of this session are damaged",
        kept="Whatever is whole can still be read; nothing was changed.",
        do="Use a good copy if there is one. Findings from this one leave the damaged parts out and say so.",
    ),
    NewerSession: Entry(
        title="This session was made by a newer version",
        kept=_UNTOUCHED,
        do="Update this program, then open the session again.",
    ),
    ProbeTrouble: Entry(
        title="The probe cannot be used",
        kept=_NOTHING_OPEN,
        do="Unplug the probe, plug it in again, and try once more. The practice bench works without one.",
    ),
    PortBusy: Entry(
        title="The port is in use",
        kept=_NOTHING_OPEN,
        do="Close the other program that holds it, or choose another port.",
    ),
    PortGone: Entry(
        title="The port is not there",
        kept=_NOTHING_OPEN,
        do="Plug the probe in again, or choose another port.",
    ),
    PortNotAllowed: Entry(
        title="You may not open this port",
        kept=_NOTHING_OPEN,
        do="Do what is said below, then plug the probe in again.",
    ),
    NotOurProbe: Entry(
        title="Something else is on this port",
        kept="Nothing was sent to it but the question what it is.",
        do="Choose another port, or put the probe program on the board.",
    ),
    NoProbeProgram: Entry(
        title="Nothing answers on this port",
        kept="Nothing was sent to it but the question what it is.",
        do="If it is a board for the probe, put the probe program on it. If it is something else, choose another port.",
    ),
    OldProbeProgram: Entry(
        title="The probe has an old program",
        kept=_NOTHING_OPEN,
        do="Put the probe program that came with this version on the board.",
    ),
    NewerProbeProgram: Entry(
        title="The probe has a newer program than this one knows",
        kept=_NOTHING_OPEN,
        do="Update this program, or put the probe program that came with it back on the board.",
    ),
    OtherProbe: Entry(
        title="That is another probe",
        kept="What was recorded with the first one is kept.",
        do="Plug the first one in again, or begin a new session with this one.",
    ),
    WrongChip: Entry(
        title="The probe program does not fit this board",
        kept="The board was not changed.",
        do="Use a board with the chip named below.",
    ),
    NoBootLoader: Entry(
        title="No board answers on this port",
        kept="The board was not changed.",
        do="Press the board's reset button just when the installing starts, or choose another port.",
    ),
    UploadBroken: Entry(
        title="The probe program was not installed",
        kept="The board's boot loader is untouched.",
        do="Press the board's reset button, or unplug it and plug it in again, and start the installing once more.",
    ),
    StoppedByHand: Entry(
        title="Stopped",
        kept="Nothing was being recorded.",
        do="Start it again whenever you like.",
    ),
    DiskTrouble: Entry(
        title="The disk would not take it",
        kept="Everything saved before is still there.",
        do="Make room, or choose another folder, then try again.",
    ),
    SessionTakenAway: Entry(
        title="The session's file was taken away",
        kept="What could be kept is in a new file beside it.",
        do="Leave a session where it is until it is closed. Move or rename it then.",
    ),
    SystemTrouble: Entry(
        title="A part of the system is missing",
        kept=_NOTHING_OPEN,
        do="Install what is named below, then try again.",
    ),
    OutOfMemory: Entry(
        title="There is not enough memory for that",
        kept="Nothing was changed.",
        do="Close other programs and try again, or take a shorter session.",
    ),
    SafetyRefused: Entry(
        title="Make it safe is not confirmed to its end",
        kept="No run was started.",
        do="Go through the safety lines and confirm each.",
    ),
}

UNEXPECTED = Entry(
    title="Something happened that this program did not expect",
    kept="Everything saved before is still there.",
    do="Carry on if you can. Copy the details for a bug report.",
)


def message_for(error: BaseException) -> Message:
    """Return the message for an error; what the system says of a file or folder is a trouble with
    the disk, and anything else that is not a BenchError gets the words for the unexpected.

    The nearest class of the catalogue speaks; what the error itself says was kept goes before the catalogue's words.
    """
    if isinstance(error, OSError) and error.strerror:
        where = f": {error.filename}" if error.filename else ""
        entry, details = CATALOGUE[DiskTrouble], message_line(f"{error.strerror}{where}", limit=600)
        return Message(title=entry.title, kept=entry.kept, do=entry.do, details=details)
    if isinstance(error, MemoryError):
        entry = CATALOGUE[OutOfMemory]
        return Message(title=entry.title, kept=entry.kept, do=entry.do, details="")
    if not isinstance(error, BenchError):
        details = message_line(f"{type(error).__name__}: {error}", limit=600)
        return Message(title=UNEXPECTED.title, kept=UNEXPECTED.kept, do=UNEXPECTED.do, details=details)
    entry = next((CATALOGUE[kind] for kind in type(error).__mro__ if kind in CATALOGUE), UNEXPECTED)
    kept = message_line(error.kept, limit=600) or entry.kept
    return Message(title=entry.title, kept=kept, do=entry.do, details=message_line(error.message, limit=600))
