"""The codes that findings carry: flags, notes, and why a flip was left out. The words for them are in `presentation`.

A document holds their values. A note may carry a count after its code ("near-half-way: 3").
"""

from enum import StrEnum


class Flag(StrEnum):
    """What must be known before a figure is used."""

    INSUFFICIENT = "insufficient"
    PHASE_LOCKED = "phase-locked"
    PHASE_STEPPED = "phase-stepped"
    ONE_POWER_UP = "one-power-up"
    POLARITY_GUESSED = "polarity-guessed"
    RAMP = "ramp"
    COARSE_STAMPS = "coarse-stamps"
    PROBE_GAP = "probe-gap"
    DAMAGED_EVIDENCE = "damaged-evidence"
    PRACTICE = "practice"


class Note(StrEnum):
    """What was seen on the way to a figure."""

    UNEVEN = "uneven"
    NEAR_HALF_WAY = "near-half-way"
    STRAGGLERS = "stragglers"
    TREND = "trend"
    SERIAL_OUTPUT = "serial-output"
    TRAIN_OUTPUT = "train-output"
    STROBED_CONTACT = "strobed-contact"
    TWO_STEPS = "two-steps"
    COARSE_CLOCK = "coarse-clock"
    PICK_UP_NOT_NOTED = "pick-up-not-noted"
    NO_STICK_SAMPLES = "no-stick-samples"
    STICK_NEVER_MOVED = "stick-never-moved"
    STOPPED_BEFORE_FIRST_SWEEP = "stopped-before-first-sweep"
    OUTPUT_DID_NOT_FOLLOW = "output-did-not-follow"
    NO_FULL_CYCLE = "no-full-cycle"
    ONE_CYCLE_ONLY = "one-cycle-only"
    REVERSED = "reversed"
    STICK_LEAD_AT_RAIL_LOW = "stick-lead-at-rail-low"
    STICK_LEAD_AT_RAIL_HIGH = "stick-lead-at-rail-high"
    NO_REST_LOW = "no-rest-low"
    NO_REST_HIGH = "no-rest-high"
    SPEED_NOT_VARIED = "speed-not-varied"
    POSITIONS_MISSING = "positions-missing"
    STRAYS = "strays"
    STOPS_UNREAD = "stops-unread"
    TOO_FEW_POSITIONS = "too-few-positions"
    STICK_MOVED = "stick-moved"


class Exclusion(StrEnum):
    """Why a flip was left out: each has exactly one reason."""

    DROPPED = "dropped"
    PAUSED = "paused"
    PROBE_GAP = "probe-gap"
    NO_LEVEL_BEFORE = "no-level-before"
    NEXT_FLIP_TOO_SOON = "next-flip-too-soon"
    RUN_ENDED = "run-ended"
    STEP_TOO_SMALL = "step-too-small"
    ALREADY_THERE = "already-there"
    NO_ANSWER = "no-answer"


class Estimator(StrEnum):
    """Which mean a headline is."""

    MEAN = "mean"
    BALANCED_MEAN = "balanced-mean"
    MEAN_OF_SWITCH_ONS = "mean-of-switch-ons"
