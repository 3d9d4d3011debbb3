"""The safety notes, line by line under their signal words, and the lines of *Put it back*."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from benchapp.presentation.ground.on_bench import ANSWER_FIRST
from benchapp.presentation.ground.page import Notice, Signal
from benchapp.procedures.gate import SafetyLine


@dataclass(frozen=True, kw_only=True, slots=True)
class SafetyWords:
    """One line of *Make it safe*: its signal word (None: nothing to warn of), whole sentences, and the act it asks for.

    act says the line as something done, as whoever confirms it would say it; "" where there is nothing to confirm. note
    says what the text has beyond the act: both together warn of the same as the text alone.
    """

    signal: Signal | None
    text: str
    act: str = ""
    note: str = ""


SAFETY: Mapping[SafetyLine, SafetyWords] = {
    SafetyLine.ON_BENCH: SafetyWords(signal=None, text=ANSWER_FIRST),
    SafetyLine.PRACTICE: SafetyWords(
        signal=None,
        text="This is the practice bench: nothing here can move.",
        act="I have seen that this is the practice bench: nothing here can move.",
    ),
    SafetyLine.RECEIVER_ONLY: SafetyWords(
        signal=None,
        text="Receiver and servo only; nothing that drives a motor is connected. This is the safest bench.",
        act="I have looked: nothing that drives a motor is connected.",
        note="Receiver and servo only: this is the safest bench.",
    ),
    SafetyLine.COMBUSTION_OFF: SafetyWords(
        signal=Signal.WARNING,
        text="Combustion engine: fuel shut, ignition off, nothing hot; never a turbine.",
        act="I have shut the fuel and switched the ignition off.",
        note="Nothing is hot. Never a turbine.",
    ),
    SafetyLine.PROPELLER_OFF: SafetyWords(
        signal=Signal.WARNING,
        text="Take the propeller or rotor off, or unplug the motor wires, before the flight battery goes in. Expect "
        "full power at every connection; an arm switch in software or on the transmitter is not a safeguard. Hold "
        "the model; nobody stands in the plane of the disc. Wear eye protection; mind hair and sleeves. Ducted fan: "
        "unplug the motor wires. Helicopter: main and tail blades off. Car: wheels off the ground.",
        act="I have taken propeller and rotor off, or unplugged the motor wires.",
        note="Before the flight battery goes in: expect full power at every connection; an arm switch in software "
        "or on the transmitter is not a safeguard. Hold the model; nobody stands in the plane of the disc. "
        "Wear eye protection; mind hair and sleeves. Ducted fan: unplug the motor wires. Helicopter: main and"
        " tail blades off. Car: wheels off the ground.",
    ),
    SafetyLine.FLYING_CONTROLS: SafetyWords(
        signal=Signal.WARNING,
        text="Never tap a throttle stick or an arm switch for a test, and never sweep or hold a throttle stick: take "
        "aileron, elevator or rudder.",
        act="I have chosen aileron, elevator or rudder for the test.",
        note="Never tap a throttle stick or an arm switch for a test, and never sweep or hold a throttle stick.",
    ),
    SafetyLine.POWER_ORDER: SafetyWords(
        signal=Signal.WARNING,
        text="Transmitter on first, model last; model off first, transmitter last. A link-loss test breaks this on "
        "purpose: before it, take the propeller off or unplug the motor, whatever the fail-safe is set to.",
        act="I have switched the transmitter on first and the model last.",
        note="Model off first, transmitter last. A link-loss test breaks this on purpose: before it, take the "
        "propeller off or unplug the motor, whatever the fail-safe is set to.",
    ),
    SafetyLine.STABILISER: SafetyWords(
        signal=Signal.WARNING,
        text="A stabiliser or autopilot may start motors by itself when the link goes.",
        act="I have seen to it that no stabiliser or autopilot can start a motor.",
        note="It may start one by itself when the link goes.",
    ),
    SafetyLine.ONE_RECEIVER: SafetyWords(
        signal=Signal.WARNING,
        text="Only the receiver on this bench is powered; every other model bound to this transmitter is off. Never "
        "test at a flying site while anyone flies.",
        act="I have switched every other model bound to this transmitter off, and nobody flies here.",
        note="Only the receiver on this bench is powered. Never test at a flying site while anyone flies.",
    ),
    SafetyLine.OPENED_SET: SafetyWords(
        signal=Signal.WARNING,
        text="Opening a set: battery out and not while charging; aerial back on before it is powered. Think of the "
        "maker's warranty, and ask the owner first. Soldering: every supply off and unplugged, eye protection on, the "
        "room aired, nothing that burns near the iron; what you cannot solder well, leave to somebody who can.",
        act="I have opened nothing, or opened it with the battery out and put the aerial back before power.",
        note="Not while charging. Think of the maker's warranty, and ask the owner first. Soldering: every supply "
        "off and unplugged, eye protection on, the room aired, nothing that burns near the iron; what you "
        "cannot solder well, leave to somebody who can.",
    ),
    SafetyLine.LITHIUM: SafetyWords(
        signal=Signal.WARNING,
        text="Lithium packs: stay with them, on a surface that cannot burn; stop at smell, heat, swelling or noise. "
        "A bench supply with a current limit is better.",
        act="I have put every lithium pack on a surface that cannot burn, and stay with it.",
        note="Stop at smell, heat, swelling or noise. A bench supply with a current limit is better.",
    ),
    SafetyLine.EARTH: SafetyWords(
        signal=Signal.WARNING,
        text="Never defeat a protective earth. Use one common ground; where the model has its own mains supply, use a "
        "computer that runs from its battery or is isolated. Nothing here is to be wired to the mains: that, and any "
        "doubt about an earth or a mains supply, is for a licensed or qualified person.",
        act="I have left every protective earth as it is and wired nothing to the mains.",
        note="Use one common ground; where the model has its own mains supply, use a computer that runs from its "
        "battery or is isolated. Mains, and any doubt about an earth, is for a licensed or qualified person.",
    ),
    SafetyLine.NOT_READY_TO_FLY: SafetyWords(
        signal=Signal.WARNING,
        text="A set changed for a test is not ready to fly. Put it back lists what is to be undone; a ticked list is a "
        "note of what was ticked and no statement that the set is fit to fly.",
        act="I have understood that a set changed for a test is not ready to fly.",
        note="Put it back lists what is to be undone; a ticked list is a note of what was ticked and no statement "
        "that the set is fit to fly.",
    ),
    SafetyLine.SERVO_STARTS: SafetyWords(
        signal=Signal.CAUTION,
        text="Keep fingers and cables clear of horns and linkages: a servo starts without notice, and retracts and "
        "large servos crush.",
        act="I have moved fingers and cables clear of horns and linkages.",
        note="A servo starts without notice, and retracts and large servos crush.",
    ),
    SafetyLine.OUTPUT_RATE: SafetyWords(
        signal=Signal.CAUTION,
        text="Fast output rates overheat analog servos. A narrow-pulse servo on a normal output, or wide end points, "
        "drive into the stop: stop at buzzing.",
        act="I have chosen an output rate and end points that the servo stands.",
        note="Fast output rates overheat analog servos. A narrow-pulse servo on a normal output, or wide end "
        "points, drive into the stop: stop at buzzing.",
    ),
    SafetyLine.CONNECT_OFF: SafetyWords(
        signal=Signal.CAUTION,
        text="Connect with everything off, ground first; leave no loose clip beside a plus. One contact of a module "
        "bay carries the raw battery: cover it.",
        act="I have connected everything while it was off, ground first.",
        note="Leave no loose clip beside a plus. One contact of a module bay carries the raw battery: cover it.",
    ),
    SafetyLine.ONE_SUPPLY: SafetyWords(
        signal=Signal.NOTICE,
        text="One supply only: the probe never powers receiver or servo. Never go above a lead's stated voltage, put "
        "no supply voltage on a voltage lead without a divider, and pass no motor current through a probe lead.",
        act="I have left receiver and servo on one supply of their own.",
        note="The probe powers neither. Never go above a lead's stated voltage, put no supply voltage on a voltage"
        " lead without a divider, and pass no motor current through a probe lead.",
    ),
    SafetyLine.UNMODIFIED: SafetyWords(
        signal=Signal.NOTICE,
        text="Radio: an unmodified set with its own aerial on, under the local radio rules. Nothing here is advice on "
        "altering a transmitter.",
        act="I have an unmodified set here, with its own aerial on.",
        note="Keep to the local radio rules. Nothing here is advice on altering a transmitter.",
    ),
}

SHORT_SAFETY = (
    "Propeller or rotor off, or the motor wires unplugged, before a flight battery goes in: expect full power.",
    "Transmitter on first, model last; model off first, transmitter last. Fingers clear of horns and linkages.",
    "Makers' manuals, site, club and law come first. A bench figure is no statement that anything is fit to fly.",
)
"""What stands on the sheet that is handed over; a line about putting the set back goes before the last one."""

REBIND = (
    "Binding again can overwrite a stored fail-safe: test it as it came, change it afterwards, and try it again with "
    "the propeller off."
)
MANUALS_WIN = (
    "Follow the makers' manuals, the rules of your site and club, and local law; where they say otherwise, they win. "
    "What needs a licensed or qualified person is theirs to do. A bench figure is not a statement that anything is fit "
    "to fly, and neither is a ticked list."
)
BY_YES_SAFE = "answered by --yes-safe"
"""What a session keeps beside a safety line that nobody answered one by one: the call's own option did."""
YES_SAFE_TOLD = (
    "All of this was answered by --yes-safe, as a whole. Whether a motor can run was not asked, so the session says "
    "nothing of it."
)
YES_SAFE_BENCH_TOLD = "All of this was answered by --yes-safe, as a whole; what is on the bench was said by --on-bench."
PRACTICE_TOLD = "This was answered by --yes-safe."

PUT_BACK: Mapping[str, str] = {
    "leads-off": "Leads off; cover and aerial back in place.",
    "flying-memory": "The model memory for flying is chosen again.",
    "surfaces": "Each surface moves the right way.",
    "fail-safe": "The fail-safe does what the owner wants; tried with the propeller off.",
    "range-check": "Range check done as the maker says.",
    "propeller-last": "The propeller went on last.",
}
PUT_BACK_NOTE = "This list is a note of what was ticked, no statement that the set is fit to fly."
_YES = frozenset({"yes", "confirmed", "done", "true"})


def notices() -> tuple[Notice, ...]:
    """Return every safety line that warns, gathered under its signal word, the gravest first."""
    extra = {Signal.WARNING: (REBIND,)}
    found = []
    for signal in Signal:
        lines = tuple(words.text for words in SAFETY.values() if words.signal is signal) + extra.get(signal, ())
        if lines:
            found.append(Notice(signal=signal, lines=lines))
    return tuple(found)


def safety_words(line: str) -> str:
    """Return the sentences of one line of *Make it safe*; for a key of a newer program, words that say so."""
    try:
        return SAFETY[SafetyLine(line)].text
    except ValueError:
        return "A safety line that this version of the program has no words for."


def is_yes(answer: str) -> bool:
    """Return whether an answer confirms its line."""
    return answer.strip().lower() in _YES


def by_yes_safe(answer: str) -> bool:
    """Return whether --yes-safe gave an answer, and no person at the bench."""
    return answer.strip().lower() == BY_YES_SAFE


def put_back_ticked(answers: Iterable[tuple[str, str]]) -> int:
    """Return how many lines of *Put it back* are ticked; a later answer replaces an earlier one."""
    latest = dict(answers)
    return sum(is_yes(latest.get(line, "")) for line in PUT_BACK)
