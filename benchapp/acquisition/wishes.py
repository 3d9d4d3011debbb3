"""What a person can ask of a recording; sent to the conductor, answered in its status."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

from benchapp.records.named_tests import USUAL_TEST
from benchapp.records.run import PickUp, Polarity, RunSettings

USUAL_SETTINGS = RunSettings(flips=60)
"""60 flips and no target."""


@dataclass(frozen=True, kw_only=True, slots=True)
class NewSession:
    """Begin a session file at path and record everything from now on.

    name is the session's; bench holds the fields of what is under test; started is ISO 8601 with its offset.
    """

    path: Path
    name: str
    started: str | None = None
    bench: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    force: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Confirm:
    """Confirm (or, with yes False, take back) one line of *Make it safe*; ago_ns: how long before now that was said.

    answer is what the session keeps beside a line that was confirmed: a person's own yes, or who answered instead.
    """

    line: str
    yes: bool = True
    ago_ns: int = 0
    answer: str = "yes"


@dataclass(frozen=True, kw_only=True, slots=True)
class SayOnBench:
    """Say what is on a real bench, which decides the lines of *Make it safe*; ago_ns: how long before now it was said.

    answer is what the session keeps beside the question, the answer itself where it is "".
    """

    on_bench: str
    ago_ns: int = 0
    answer: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class ChooseTest:
    """Say which test is wanted next: the lines of *Make it safe* hold for one test and are asked again for another."""

    test: str


@dataclass(frozen=True, kw_only=True, slots=True)
class PoweredUp:
    """The model was powered up again: every confirmation is asked anew."""


@dataclass(frozen=True, kw_only=True, slots=True)
class ClipTo:
    """Say what one lead is clipped to; role "" takes it off."""

    lead: int
    role: str


@dataclass(frozen=True, kw_only=True, slots=True)
class PulseIs:
    """Say which state of a lead is the pulse; FIND leaves it to the data. It holds for every run begun after it.

    It is merged into the run's own `polarity` when the run starts; nothing that was recorded is rewritten.
    """

    lead: int
    polarity: Polarity


@dataclass(frozen=True, kw_only=True, slots=True)
class StartRun:
    """Start a run of a named test; the session must be begun and the gate open.

    roles maps a lead's index to its role; empty means the roles that stand (descriptor's own, changed by ClipTo).
    clips maps a lead's label to its role, on top of those. polarity maps a role to the state that is its pulse; where
    it names none, what was said of the lead by PulseIs holds.
    phase_stepped: the probe flips the switch itself through the lead of role drive. It does so unasked where a driven
    lead is clipped to the switch, nobody else being able to.
    alone: nobody is there to press Carry on; the run goes on by itself once the signal is back, and the recording
    ends with it. takes_itself: a sweep by stops takes each stop once all is still; otherwise TakeStop says when.
    switches_itself: between switch-ons the probe switches the transmitter off and on by its lead "radio power", and the
    run carries on; otherwise Resume says when that is done.
    """

    test: str = USUAL_TEST
    roles: Mapping[int, str] = field(default_factory=lambda: MappingProxyType({}))
    clips: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    polarity: Mapping[str, Polarity] = field(default_factory=lambda: MappingProxyType({}))
    pick_up: PickUp = PickUp.CONTACT
    settings: RunSettings = USUAL_SETTINGS
    phase_stepped: bool = False
    alone: bool = False
    takes_itself: bool = False
    switches_itself: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class TakeStop:
    """The stick is set to the position asked for: take it once all is still."""


@dataclass(frozen=True, kw_only=True, slots=True)
class StopRun:
    """Stop the run and keep it."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Pause:
    """Pause the run by hand."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Resume:
    """Carry on with the run, once there are servo pulses."""


@dataclass(frozen=True, kw_only=True, slots=True)
class SwitchOn:
    """Pause while the transmitter is switched off and on; Resume then opens the next block."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Drop:
    """Leave one flip (or stop) out by hand: the last one, or the one at flip_ns."""

    flip_ns: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Undrop:
    """Take the last drop back, or that of the flip (or stop) at flip_ns."""

    flip_ns: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Note:
    """Write a note into the session."""

    text: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Mark:
    """Mark this moment in the session."""

    text: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Describe:
    """Note more of what is under test; a later text replaces an earlier one, "" takes it back."""

    bench: Mapping[str, str]


@dataclass(frozen=True, kw_only=True, slots=True)
class PutBack:
    """Confirm one line of *Put it back*."""

    line: str
    answer: str = "yes"


@dataclass(frozen=True, kw_only=True, slots=True)
class Drive:
    """Set a lead that the probe drives to a level.

    On the practice bench "flip" flips the switch and "radio power" switches the transmitter; where it has a stick,
    "stick hand" at 0 leaves it alone, at 1 sweeps it, at 2 to 101 takes it by so many stops, and "stick place" takes it
    to 0 to 240 parts of its travel.
    """

    lead: int
    level: int


@dataclass(frozen=True, kw_only=True, slots=True)
class AcknowledgeMissed:
    """The person has seen how many records were missed."""


@dataclass(frozen=True, kw_only=True, slots=True)
class CloseSession:
    """End the run if one is open, and close the session file."""


Wish = (
    NewSession
    | Confirm
    | SayOnBench
    | ChooseTest
    | PoweredUp
    | ClipTo
    | PulseIs
    | StartRun
    | StopRun
    | TakeStop
    | Pause
    | Resume
    | SwitchOn
    | Drop
    | Undrop
    | Note
    | Mark
    | Describe
    | PutBack
    | Drive
    | AcknowledgeMissed
    | CloseSession
)
