"""Errors named by what the person at the bench can do about them."""


class BenchError(Exception):
    """Something a person can act on: the message says what was wanted, what came, where, and what next.

    status is the command line's exit status: 2 the call or the input was wrong, 3 the probe, the disk or a
    system library failed. kept says what was kept, where something was being recorded.
    """

    status = 2

    def __init__(self, message: str, *, kept: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.kept = kept


class WrongCall(BenchError):
    """An argument was wrong: call again, corrected."""


class SessionBusy(WrongCall):
    """Another program is writing this session: stop it there, or choose another name."""


class WrongInput(BenchError):
    """A file or a capture could not be read as what it claims to be: choose or mend another."""


class OutputExists(BenchError):
    """An output is already there: choose another name or say --force."""


class NotEnoughData(BenchError):
    """Too little was recorded for what was asked: record more."""


class DamagedEvidence(BenchError):
    """Parts of a session do not match their checks: what is whole can still be read."""


class NewerSession(WrongInput):
    """A session written by a newer version: update the program."""


class ProbeTrouble(BenchError):
    """The probe cannot be used."""

    status = 3


class PortBusy(ProbeTrouble):
    """Another program holds the port: close it, or choose another port."""


class PortGone(ProbeTrouble):
    """The port is not there, or went away: plug the probe in again."""


class PortNotAllowed(ProbeTrouble):
    """This user may not open the port: add the rule or the group, then try again."""


class NotOurProbe(ProbeTrouble):
    """Something else answers on the port, or nothing does: choose another port."""


class NoProbeProgram(NotOurProbe):
    """Nothing at all answers, as on a board without the probe program: install it, or choose another port."""


class OldProbeProgram(ProbeTrouble):
    """The probe's program speaks an older wire format: install the one that came with this program."""


class NewerProbeProgram(ProbeTrouble):
    """The probe's program speaks a newer wire format: update this program."""


class OtherProbe(ProbeTrouble):
    """Another probe answers than the one that was lost: plug that one in, or begin anew."""


class WrongChip(ProbeTrouble):
    """The board has another chip than the probe program was made for: use another board."""


class NoBootLoader(ProbeTrouble):
    """No boot loader answers, so nothing can be written: press reset and try again, or choose another port."""


class UploadBroken(ProbeTrouble):
    """Writing the probe program did not come to its end: press reset and try again."""


class StoppedByHand(BenchError):
    """Somebody stopped it: nothing needs to be done."""

    status = 130


class DiskTrouble(BenchError):
    """The disk refused to write: make room or choose another folder."""

    status = 3


class SessionTakenAway(DiskTrouble):
    """A session's file was taken away or replaced while it was recorded: look where it is kept now."""


class SystemTrouble(BenchError):
    """A system library failed or is missing: install it."""

    status = 3


class OutOfMemory(BenchError):
    """The computer's memory did not suffice: close other programs, or take a shorter session."""

    status = 3


class SafetyRefused(BenchError):
    """The bench was not confirmed safe: answer every line first."""
