"""Codes of stick tests turned into plain English: notes, flags, and lines of the uncertainty."""

from collections.abc import Mapping

from benchapp.presentation.ground.flag_words import FlagWords
from benchapp.records.codes import Flag, Note

NOTES: Mapping[str, str] = {
    Note.NO_STICK_SAMPLES: "The voltage lead on the stick recorded nothing. Clip it to the wiper, the middle contact "
    "of the stick's potentiometer, and run again.",
    Note.STICK_NEVER_MOVED: "The stick was never moved from end to end, as far as its voltage lead could see. If you "
    "did move it, the lead sits on something else.",
    Note.STOPPED_BEFORE_FIRST_SWEEP: "The run was stopped before the stick had gone there and back once, so nothing "
    "can be said of its travel.",
    Note.OUTPUT_DID_NOT_FOLLOW: "The servo pulse did not follow the stick. Clip the servo output of the channel that "
    "this stick drives, and run again.",
    Note.NO_FULL_CYCLE: "The stick did not go all the way there and back even once; the figures are for what it "
    "covered.",
    Note.ONE_CYCLE_ONLY: "The stick went there and back once only. It takes three times to see how well it repeats.",
    Note.REVERSED: "The channel is reversed: as the stick's reading rises, the servo pulse gets shorter. The figures "
    "are the same either way round.",
    Note.STICK_LEAD_AT_RAIL_LOW: "The voltage lead reached the bottom of its range before the stick reached its end. "
    "What lies beyond was not seen, and the figures are for the rest.",
    Note.STICK_LEAD_AT_RAIL_HIGH: "The voltage lead reached the top of its range before the stick reached its end. "
    "What lies beyond was not seen, and the figures are for the rest.",
    Note.NO_REST_LOW: "The stick did not rest at its low end, so that end was read from the moving stick and is less "
    "sure.",
    Note.NO_REST_HIGH: "The stick did not rest at its high end, so that end was read from the moving stick and is less "
    "sure.",
    Note.SPEED_NOT_VARIED: "The strokes were too much alike in speed, for the noise there is, to tell lag from "
    "hysteresis: neither is given. Next time make some strokes clearly quicker than others.",
    Note.POSITIONS_MISSING: "{n} had no reading; the lines were drawn without.",
    Note.STRAYS: "{n} lay far off every stroke and were left out.",
    Note.STOPS_UNREAD: "{n} had too few servo pulses to be read.",
    Note.TOO_FEW_POSITIONS: "Fewer than five positions were read: too few to judge how straight a travel is.",
    Note.STICK_MOVED: "The stick moved while it was meant to be left alone, so some of the wander is the stick's own.",
}
COUNTED: Mapping[str, str] = {
    Note.POSITIONS_MISSING: "position",
    Note.STRAYS: "servo pulse",
    Note.STOPS_UNREAD: "stop",
}
"""What the number in a note counts."""

STICK_FLAGS: Mapping[str, FlagWords] = {
    Flag.PROBE_GAP: FlagWords(
        title="the probe missed records",
        sentence="The probe missed records during this run. Nothing is read across such a gap.",
    ),
    Flag.POLARITY_GUESSED: FlagWords(
        title="pulse and pause may be swapped",
        sentence="Both states of the output could be the servo pulse; the shorter one was taken.",
    ),
}
"""A flag's words where a stick test needs others than a flip does."""

BUDGET: Mapping[str, str] = {
    "level lead": "how true the voltage lead reads",
    "typed positions": "how well the marked positions were set",
    "strokes": "how the strokes differ from each other",
    "output step": "the steps of the servo pulse at both ends",
    "bend within a reading": "the bend of the curve within one reading",
}
"""Lines of the uncertainty of a sweep."""
