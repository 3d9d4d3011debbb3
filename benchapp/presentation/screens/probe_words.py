"""Words about a probe's program, its ports and how it is looked after."""

from collections.abc import Mapping

from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.numbers import at_places, counted
from benchapp.records.clock_check import ClockCheck, ClockProgress
from benchapp.records.probe_install import Installed, InstallProgress, InstallStep
from benchapp.records.self_test import LeadTest, SelfTest, SelfTestProgress, SelfTestStep

ASK_BEFORE_OPENING = (
    "No probe has been seen on {port} yet. Opening it can reset the board behind it: make sure that nothing it drives "
    "can move or switch. Open it?"
)
OPENED_BY_THE_CALL = (
    "No probe has been seen on {port} yet. Opening it can reset the board behind it, and what that board drives can "
    "move or switch. There is no terminal to ask at, so this call is taken as the yes."
)
ASK_BEFORE_TESTING = (
    "No probe has been seen on {port} yet. Opening it can reset the board behind it, and the test moves its flip "
    "lead: make sure that only the test's wire is on it. Go on?"
)
ASK_BEFORE_DRIVING = (
    "The test moves the flip lead of the probe on {port}, and whatever is on that lead moves with it: make sure that "
    "only the test's wire is on the probe. Go on?"
)
ASK_BEFORE_INSTALLING = (
    "No probe has been seen on {port} yet. Installing resets the board behind it and replaces its program: make sure "
    "that it is the board for the probe, and that nothing it drives can move or switch. Go on?"
)

_STEPS: Mapping[InstallStep, str] = {
    InstallStep.RESET: "Resetting the board",
    InstallStep.BOOT_LOADER: "Looking for the boot loader (press the board's reset button if this takes long)",
    InstallStep.WRITE: "Writing",
    InstallStep.VERIFY: "Reading back",
    InstallStep.GREET: "Starting the probe",
}
_COUNTED = {InstallStep.BOOT_LOADER: "try", InstallStep.WRITE: "page", InstallStep.VERIFY: "page"}


def ask_before_opening(port: str) -> str:
    """Return the question before a port is opened on which no probe was seen."""
    return ASK_BEFORE_OPENING.format(port=clean(port))


def opened_by_the_call(port: str) -> str:
    """Return what opening may do, where nobody can be asked and the call itself is the yes."""
    return OPENED_BY_THE_CALL.format(port=clean(port))


def ask_before_testing(port: str) -> str:
    """Return the question before a port is opened for a self-test on which no probe was seen."""
    return ASK_BEFORE_TESTING.format(port=clean(port))


def ask_before_driving(port: str) -> str:
    """Return the question before a probe that is known moves its flip lead for a self-test."""
    return ASK_BEFORE_DRIVING.format(port=clean(port))


def ask_before_installing(port: str) -> str:
    """Return the question before the program of a board on which no probe was seen is replaced."""
    return ASK_BEFORE_INSTALLING.format(port=clean(port))


def install_text(progress: InstallProgress) -> str:
    """Return how far the installing is, as one line."""
    words = _STEPS[progress.step]
    unit = _COUNTED.get(progress.step)
    if unit is None or not progress.total:
        return words
    return f"{words}, {unit} {progress.done} of {progress.total}"


def installed_text(installed: Installed) -> str:
    """Return what was installed, and that it runs."""
    board = installed.board
    serial = f", serial {clean(board.serial)}" if board.serial else ""
    return (
        f"The probe program is on the board on {clean(installed.port)}: {installed.size_bytes} bytes written and read "
        f"back alike. It answers as {clean(board.program) or 'a probe'}{serial}."
    )


def self_test_text(progress: SelfTestProgress) -> str:
    """Return what to do for the self-test, or how far it is, as one line."""
    drive = clean(progress.drive)
    if progress.step is SelfTestStep.GREET:
        return "Looking for the probe"
    if progress.step is SelfTestStep.MEASURE:
        return f"Measuring {clean(progress.lead)}, edge {progress.done} of {progress.total}: leave the wire on"
    if progress.crowd:
        crowd = " and ".join(clean(label) for label in progress.crowd)
        return f"{crowd} follow {drive} together: leave one wire on and take the others off"
    left = ", ".join(clean(label) for label in progress.left)
    return f"Put a wire from {drive} straight to one of {left}; nothing else on these pins"


def lead_test_text(test: LeadTest) -> str:
    """Return what was found about one lead, as a sentence."""
    label, edges = clean(test.label), counted(test.driven, "edge")
    if test.mean_ns is None or test.sd_ns is None or test.earliest_ns is None or test.latest_ns is None:
        return f"{label}: only {test.seen} of {edges} came in. Look at the wire and test again."
    lost = "none lost" if test.seen == test.driven else f"{test.driven - test.seen} lost"
    strays = f", {test.strays} that nobody made" if test.strays else ""
    found = (
        f"{label}: {edges}, {lost}{strays}; stamped {_microseconds(test.mean_ns)} late on average, spread "
        f"{_microseconds(test.sd_ns)}, from {_microseconds(test.earliest_ns)} to {_microseconds(test.latest_ns)}"
    )
    if test.keeps_promise:
        return f"{found}. As its description says."
    return f"{found}. That is not what its description says: look at the wire and test again, or use another lead."


def self_test_texts(test: SelfTest) -> tuple[str, ...]:
    """Return what a probe found about itself, a line a lead, and what becomes of it."""
    if test.serial:
        kept = (
            f"Kept for the probe with the serial number {clean(test.serial)}: the give or take of what is recorded "
            "with it uses this from now on."
        )
    else:
        kept = "Not kept: this probe states no serial number, so it could not be told from another one."
    return (*(lead_test_text(lead) for lead in test.leads), kept)


def _microseconds(ns: float) -> str:
    # + 0.0: what rounds to nothing has no sign
    return f"{at_places(ns / 1000, 2)} µs"


def clock_progress_text(progress: ClockProgress) -> str:
    """Return how far a clock check is, as one line."""
    words = f"Listening to the probe's clock, {progress.elapsed_s:.0f} of {progress.total_s:.0f} s"
    if progress.error_ppm is None or progress.expanded_ppm is None:
        return words
    return f"{words}: {_rate(progress.error_ppm, progress.expanded_ppm)} so far"


def clock_texts(check: ClockCheck) -> tuple[str, ...]:
    """Return what a clock check found, what it means, and whether the probe is still warming up."""
    # loaded only now: the reductions come after the window can be seen
    from benchapp.reduction.ground.clock import COMPUTER_PPM  # noqa: PLC0415

    seconds, beats = f"{check.span_s:.0f} s", counted(check.heartbeats, "heartbeat")
    found = (
        f"The probe's clock is {_rate(check.error_ppm, check.expanded_ppm)} beside this computer's, from {beats} in "
        f"{seconds}. The computer's own clock is good to {2 * COMPUTER_PPM:.0f} ppm."
    )
    allowed = "" if check.tolerance_ppm is None else f"{check.tolerance_ppm:.0f} ppm, as the probe describes itself"
    within = {
        True: f"That is within {allowed}.",
        False: f"That is outside {allowed}: the board's clock may be damaged, or another than it says.",
        None: f"It cannot be told whether that is within {allowed}." if allowed else "The probe names no limit for it.",
    }[check.inside]
    return (found, within, _USED, _warmth(check))


_USED = (
    "Findings watch the clock by themselves while they are recorded: an error larger than its own give or take is "
    "corrected, a smaller one is a line of the uncertainty."
)


def _warmth(check: ClockCheck) -> str:
    if check.drift_ppm is None:
        return "Too short to see whether the probe is still warming up: check for 30 s or more."
    if check.warming:
        return (
            f"It changed by {abs(check.drift_ppm):.0f} ppm meanwhile: the probe is still warming up. Leave it on for "
            "some minutes, then check again."
        )
    return "It kept its rate meanwhile: the probe has warmed up, or needs not to."


def _rate(error_ppm: float, expanded_ppm: float) -> str:
    """Return a rate error in words; ppm are millionths."""
    way = "fast" if error_ppm >= 0 else "slow"
    return f"{abs(error_ppm):.0f} ± {expanded_ppm:.0f} ppm (millionths) {way}"
