"""What a run and its probe say while it goes on: prompts, pauses, endings, safety refusals and the probe's state."""

from collections.abc import Mapping

from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.page import PRACTICE_MARK
from benchapp.procedures.gate import Why
from benchapp.procedures.ground.progress import PauseReason, Prompt, StopReason
from benchapp.records.events import SWITCH_ON

PRACTICE_RUN = f"{PRACTICE_MARK}: this comes from the practice bench, not from a real set."
PROMPTS: Mapping[Prompt, str] = {
    Prompt.WAIT_FOR_PULSES: "Waiting for servo pulses",
    Prompt.FLIP_TO_START: "Ready. Starts when you first flip",
    Prompt.FLIP_NOW: "Flip now",
    Prompt.WAIT_FOR_ANSWER: "Wait",
    Prompt.LAST_ANSWER: "Wait for the last answer",
    Prompt.CARRY_ON: "Paused. Carry on, or stop and keep",
    Prompt.SWITCH_OFF_AND_ON: "Switch the transmitter off and on, then carry on",
    Prompt.HANDS_OFF: "Hands off: the probe flips the switch",
    Prompt.GO_TO_AN_END: "Bring the stick to one end and let it rest there",
    Prompt.REST: "Let it rest",
    Prompt.SWEEP: "Move the stick slowly to the other end",
    Prompt.GO_ON: "Go on to the end",
    Prompt.SET_STOP: "Set the stick to the next position, without going past it",
    Prompt.KEEP_STILL: "Keep it there",
    Prompt.WENT_PAST: "The stick went past. Go back a little and come to the position again",
    Prompt.TOUCH_NOTHING: "Hands off. Touch nothing",
    Prompt.LET_GO: "Let go and wait until all is still",
    Prompt.NEXT_POSITION: "Bring the stick to the next position and let go",
    Prompt.DONE: "Done",
}

STOPS: Mapping[StopReason, str] = {
    StopReason.ENOUGH_FLIPS: "All the flips asked for are done.",
    StopReason.TIME_OVER: "The time asked for is over.",
    StopReason.TARGET_MET: "The figure is as sure as was asked for.",
    StopReason.BY_HAND: "Stopped by hand.",
    StopReason.PROBE_LOST: "The probe was lost.",
    StopReason.PROBE_RESET: "The probe started anew.",
    StopReason.COMPUTER_SLEPT: "The computer slept.",
    StopReason.DISK_TROUBLE: "The disk would not take any more.",
    StopReason.PAUSED_TOO_LONG: "The run was paused for too long.",
    StopReason.NO_FLIPS: "No flip came.",
    StopReason.ENOUGH_CYCLES: "All the there-and-backs asked for are done.",
    StopReason.ALL_STOPS: "All the stops are taken.",
    StopReason.NO_MOVES: "Nobody moved the stick.",
    StopReason.NEVER_STILL: "The stick was never left alone for long enough.",
    StopReason.NOT_SWITCHED_ON: "The transmitter was not switched off and on again.",
    StopReason.SESSION_CLOSED: "The session was closed.",
    StopReason.UNFORESEEN: "Something this program did not expect ended it.",
}

PAUSES: Mapping[str, str] = {
    PauseReason.BAD_SIGNAL: "The servo pulses stopped.",
    PauseReason.BY_HAND: "Paused by hand.",
    PauseReason.TOUCHED: "The stick was touched.",
    PauseReason.NEXT_POSITION: "On the way to the next position.",
    PauseReason.SETTLING: "Until all is still.",
    SWITCH_ON: "Model off first, then the transmitter; transmitter on first, then the model.",
}

REFUSALS: Mapping[Why, str] = {
    Why.NOT_CONFIRMED: "not confirmed yet",
    Why.STALE: "confirmed more than 30 minutes ago",
    Why.LEAD_CHANGED: "a lead has changed since",
    Why.POWERED_UP: "the model was powered up since",
    Why.ANSWER_CHANGED: "something else is on the bench since",
    Why.TEST_CHANGED: "another test was chosen since",
}

LINKS: Mapping[str, str] = {
    "looking": "looking",
    "ready": "ready",
    "recording": "recording",
    "paused": "paused",
    "lost": "probe lost",
    "in-use": "in use",
    "not-allowed": "not allowed",
    "not-our-probe": "not our probe",
    "no-program": "no probe program yet",
    "old-program": "old probe program",
    "other-probe": "another probe",
    "closed": "no probe",
}


def stop_sentence(reason: str) -> str:
    """Return why a run ended; "" for no reason, words that say so for an unknown one."""
    if not reason:
        return ""
    try:
        return STOPS[StopReason(reason)]
    except ValueError:
        return f"Ended: {clean(reason, limit=80)}."


def pause_sentence(reason: str) -> str:
    """Return why a run is paused; "" for no reason, words that say so for an unknown one."""
    if not reason:
        return ""
    return PAUSES.get(reason, f"Paused: {clean(reason, limit=80)}.")
