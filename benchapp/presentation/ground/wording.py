"""Codes turned into plain English: flags, notes, reasons, methods, roles and tests, each as whole sentences."""

import re
from collections.abc import Mapping

from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.flag_words import FlagWords
from benchapp.presentation.ground.numbers import NBSP, counted, digits, exists, plainly
from benchapp.presentation.ground.stick_codes import BUDGET as STICK_BUDGET
from benchapp.presentation.ground.stick_codes import COUNTED
from benchapp.presentation.ground.stick_codes import NOTES as STICK_NOTES
from benchapp.records.codes import Estimator, Exclusion, Flag, Note
from benchapp.records.findings import Excluded
from benchapp.records.run import Outcome, PickUp

FLAGS: Mapping[str, FlagWords] = {
    Flag.PHASE_LOCKED: FlagWords(
        title="your flips kept step with the radio",
        sentence="Your flips kept step with the radio, so they did not meet every part of its frame: the figure may be "
        "off by as much as half a frame. Flip less evenly and run again.",
    ),
    Flag.PHASE_STEPPED: FlagWords(
        title="flips spread evenly over the frame",
        sentence="The probe flipped the switch itself, spread evenly over the radio's frame.",
    ),
    Flag.INSUFFICIENT: FlagWords(
        title="too few flips",
        sentence="Too few flips were answered for a figure that would hold; at least 20 flips are needed.",
    ),
    Flag.POLARITY_GUESSED: FlagWords(
        title="up and down may be swapped",
        sentence="Both states of the output could be the servo pulse; the shorter one was taken. Up and down may be "
        "swapped, and the pulse may end elsewhere.",
    ),
    Flag.DAMAGED_EVIDENCE: FlagWords(
        title="damaged evidence",
        sentence="Parts of the session file are damaged. They were left out, and each counts as a gap.",
    ),
    Flag.PROBE_GAP: FlagWords(
        title="the probe missed records",
        sentence="The probe missed records during this run. Flips that touch a gap were left out.",
    ),
    Flag.RAMP: FlagWords(
        title="the output glides",
        sentence="The output glides to its new place over more than three frames: a speed or slow setting is on.",
    ),
    Flag.COARSE_STAMPS: FlagWords(
        title="some times are coarse",
        sentence="Some edges were stamped later than usual by the probe; their times are coarser than the rest.",
    ),
    Flag.PRACTICE: FlagWords(
        title=Flag.PRACTICE, sentence="Practice, simulated: this comes from the practice bench, not from a real set."
    ),
    Flag.ONE_POWER_UP: FlagWords(
        title="the next switch-on will differ",
        sentence="The radio reads the switch in step with its own frame, and keeps one offset while it stays on: after "
        "the next switch-on the figure will differ, by as much as a frame. For what the set does, switch it off and on "
        "between blocks of flips.",
    ),
}

NOTES: Mapping[str, str] = {
    Note.UNEVEN: "The flips fell unevenly over the frame; more flips would even that out.",
    Note.SERIAL_OUTPUT: "The output carries serial data, not servo pulses; pick another pin or set servo pulses.",
    Note.TRAIN_OUTPUT: "The output carries several channels on one wire; pick a pin with one servo's pulses.",
    Note.STROBED_CONTACT: "The contact is scanned by the radio, not steady; use another pick-up.",
    Note.TWO_STEPS: "Flips came in two steps each, as from a three-position switch; use a two-position one.",
    Note.COARSE_CLOCK: "The probe's clock was not compared with the computer's, and may be off by more than "
    "0.1\u00a0%: every length in µs or ms carries that.",
    Note.PICK_UP_NOT_NOTED: "Nobody said how the flips reached the instrument, and the give or take holds nothing for "
    "it: right on the switch contact, too small for a contact taped to the lever or a light gate.",
    Note.NEAR_HALF_WAY: "{n} had a pulse so near half-way that the noise could have decided which pulse counts.",
    Note.STRAGGLERS: "{n} straggled and are left out of the mean; their share stands beside it.",
    Note.TREND: "The latency changed while the run went on; the give or take holds a line for it.",
    **STICK_NOTES,
}

EXCLUSIONS: Mapping[str, str] = {
    Exclusion.DROPPED: "dropped by hand",
    Exclusion.PAUSED: "the run was paused",
    Exclusion.PROBE_GAP: "records are missing during this flip",
    Exclusion.NO_LEVEL_BEFORE: "fewer than 5 servo pulses before the flip",
    Exclusion.NEXT_FLIP_TOO_SOON: "fewer than 5 servo pulses after it before the next flip",
    Exclusion.RUN_ENDED: "fewer than 5 servo pulses after it before the run ended",
    Exclusion.STEP_TOO_SMALL: "the output moved too little beside its own noise",
    Exclusion.ALREADY_THERE: "the output already stood where the flip would have sent it",
    Exclusion.NO_ANSWER: "no answer in time",
}

ESTIMATORS: Mapping[str, str] = {
    Estimator.MEAN: "the plain mean of the flips that count",
    Estimator.BALANCED_MEAN: "the mean of the flips that count, evened out over the frame",
    Estimator.MEAN_OF_SWITCH_ONS: "the mean over the switch-ons of the transmitter",
}

PREDICTIONS: Mapping[str, str] = {
    "waiting-and-place": "half a frame of waiting for the train, and the channel's place in it",
    "rest-of-frame": "the rest of the train's frame after the channel's place, if the output follows the train",
}
"""What the prediction of a stage is made of; computing times, the air and the servo pulse itself are in none."""

RULES: Mapping[str, str] = {
    "one-frame": "Any switch-on: the same flips, and beside their give or take a whole frame for the switch-ons not "
    "seen, T/√12 over the root of those seen.",
    "known-frame": "Any switch-on: this set keeps step with its frame, so its switch-ons lie anywhere in one frame: "
    "T/√12 over the root of those seen, and the flips within each.",
    "switch-on-means": "Any switch-on: how far the means of the switch-ons lie apart, over the root of their number.",
}
"""How the uncertainty of any switch-on was found."""

ROLES: Mapping[str, str] = {
    "switch": "switch",
    "stick": "stick",
    "module": "module input",
    "output": "servo output",
    "horn": "servo horn",
    "voltage": "voltage",
    "current": "current",
    "drive": "probe's flip",
}

CONTROLS: Mapping[str, str] = {"switch": "the switch", "stick": "the stick passing its middle"}

POINTS: Mapping[str, str] = {
    "first": "starts (10\u00a0%)",
    "mid": "half-way (50\u00a0%)",
    "near_final": "nearly there (90\u00a0%)",
    "first_lead": "starts, pulse begins",
    "mid_lead": "half-way, pulse begins",
    "near_final_lead": "nearly there, pulse begins",
}

PICK_UPS: Mapping[PickUp, str] = {
    PickUp.CONTACT: "on the switch contact",
    PickUp.DRIVEN: "the probe flips the contact",
    PickUp.TAPED: "a contact taped to the lever",
    PickUp.LIGHT_GATE: "a light gate at the lever",
    PickUp.UNKNOWN: "not noted",
}

OUTCOMES: Mapping[Outcome, str] = {Outcome.COMPLETE: "complete", Outcome.CUT_SHORT: "stopped early"}

BUDGET: Mapping[str, str] = {
    "stamp interval": "the probe's time steps",
    "lead lateness": "how late the probe may stamp an edge",
    "stamp, self-tested": "how late the probe's own test found it to stamp an edge",
    "lead jitter": "how late the probe may stamp an edge",
    "coarse stamps": "edges stamped later than usual",
    "clock": "the probe's clock",
    "pick-up": "from the lever to the pick-up",
    "driven opening": "the coupler's opening",
    "correction": "corrections entered by hand",
    "phase": "where in the frame the flips fell",
    "switch-on": "the offset that each switch-on of the transmitter brings",
    "sampling": "the number of flips",
    "trend": "the change while the run went on",
    **STICK_BUDGET,
}

WORDS: Mapping[str, str] = {
    "95 % interval, half-width": "give or take",
    "phase-locked": "your flips kept step with the radio",
    "phase-balanced": "evened out over the frame",
    "first": "starts",
    "mid": "half-way",
    "near_final": "nearly there",
    "headline": "the figure",
    "trial": "flip",
    "edge lead": "on-off lead",
    "level lead": "voltage lead",
    "role": "clipped to",
    "dwell": "wait",
    "hold-off": "bounce time",
    "polarity guessed": "up and down may be swapped",
    "insufficient": "too few",
    "cut short": "stopped early",
    "evidence hash": "evidence code",
    "limit set": "limits for this shop",
    "independent linearity": "straightness (best line)",
    "terminal-based linearity": "straightness (end to end)",
    "dead band": "play around the centre",
}

_NUMBERED = re.compile(r"([a-z][a-z-]*)(?:[ :=]+(\d+))?")


def flag_words(code: str) -> FlagWords:
    """Return the words most tests have for a flag; for a code of a newer program, words that say so."""
    known = FLAGS.get(code)
    if known is not None:
        return known
    shown = clean(code, limit=40)
    return FlagWords(title=shown, sentence=f"Flag “{shown}”: this version of the program has no words for it.")


def note_sentence(note: str) -> str:
    """Return the sentence for a note, whose code may carry a count ("near-half-way 3")."""
    match = _NUMBERED.fullmatch(note)
    if match is None or match[1] not in NOTES:
        return f"Note “{clean(note, limit=40)}”: this version of the program has no words for it."
    what = COUNTED.get(match[1], "flip")
    number = counted(int(match[2]), what) if match[2] else f"Some {what}s"
    return NOTES[match[1]].format(n=number)


def exclusion_reason(flip: Excluded, *, window_s: float | None) -> str:
    """Return why a flip was left out, with the facts: "no answer within 0.5 s"."""
    if flip.code == Exclusion.NO_ANSWER and exists(window_s):
        return f"no answer within {plainly(window_s, 3, 's')}"
    if flip.code == Exclusion.STEP_TOO_SMALL and exists(flip.step_us) and exists(flip.sigma_us):
        moved, noise = digits(abs(flip.step_us), 2, "µs"), digits(flip.sigma_us, 2, "µs")
        return f"the output moved by {moved} only, beside a noise of {noise}"
    if flip.code == Exclusion.DROPPED and exists(flip.mid_ms):
        return f"dropped by hand; it had taken {digits(flip.mid_ms, 4, 'ms')}"
    return EXCLUSIONS.get(flip.code, f"for a reason without words in this version (“{clean(flip.code, limit=40)}”)")


def role_words(role: str) -> str:
    """Return what a lead is clipped to: "servo output", "servo output 2"."""
    if role in ROLES:
        return ROLES[role]
    stem, _, number = role.rpartition("-")
    if stem == "output" and number.isdigit():
        return f"{ROLES['output']}{NBSP}{number}"
    return clean(role, limit=40) or "nothing"


def budget_words(source: str) -> str:
    """Return a line of the uncertainty budget in plain words."""
    return BUDGET.get(source, clean(source, limit=60))


def direction_words(direction: str | None) -> str:
    """Return "up" (a longer pulse after the flip), "down", or a dash."""
    return direction if direction in ("up", "down") else "–"
