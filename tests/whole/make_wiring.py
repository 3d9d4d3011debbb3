"""Draw the wiring drawings anew: `python -m tests.whole.make_wiring`.

Its values, and every figure on the pages about wiring, are computed in `wiring_values` and compared by a test: a
change is made there, never in a drawing.
"""

from collections.abc import Callable, Mapping
from pathlib import Path

from benchapp.presentation.ground.colours import EDGE, SOFT_INK
from tests.whole import wiring_values as v
from tests.whole.drawing import (
    arrow_head,
    box,
    colour,
    contact,
    dot,
    drawing,
    lamp,
    light,
    lines,
    mosfet,
    note,
    phototransistor,
    polygon,
    rail,
    resistor,
    ring,
    wire,
    words,
)

FOLDER = Path(__file__).parents[2] / "resources" / "help"
PINS_LEFT = (
    ("D2", "switch", "switch"),
    ("D3", "module pulse train", "module"),
    ("D4 to D7", "four spare on-off leads", ""),
    ("D8", "servo output", "output"),
    ("D9", "flips a contact", ""),
    ("D10", "servo pulses out", ""),
    ("D13", "lamp on the board", ""),
)
PINS_RIGHT = (
    ("A0", "stick, 0 to 5 V", "stick"),
    ("A1", "servo horn, 0 to 5 V", "horn"),
    ("A2", "voltage, by a divider", ""),
    ("A3", "current, by an amplifier", ""),
    ("GND", "the common ground", ""),
    ("5V", f"pull-ups; all else by {v.FUSE_OHM:g} Ω", ""),
    ("USB", "computer, the only supply", ""),
)


def ohm(value: float) -> str:
    """Return a resistance as it is printed on a parts list."""
    if value >= 1_000_000:
        return f"{value / 1e6:g} MΩ"
    if value >= 1000:
        return f"{value / 1000:g} kΩ"
    return f"{value:g} Ω"


def board() -> str:
    """Which pin is which lead."""
    left, right, top, step = 250, 390, 62, 34
    title = words(320, 48, "the probe's board", anchor="middle", bold=True)
    parts = [box(left, 24, right - left, 282, ink=EDGE), title]
    for row, (pin, what, role) in enumerate(PINS_LEFT):
        y = top + 14 + step * row
        ink = colour(role)
        parts += [wire((208, y), (left, y), ink=ink), ring(left, y, ink=ink), words(left + 12, y + 5, pin, size=12)]
        parts.append(words(200, y + 5, what, anchor="end", size=13))
    for row, (pin, what, role) in enumerate(PINS_RIGHT):
        y = top + 14 + step * row
        ink = colour(role) if pin not in ("GND", "5V", "USB") else SOFT_INK
        parts += [wire((right, y), (432, y), ink=ink), ring(right, y, ink=ink)]
        parts += [words(right - 12, y + 5, pin, size=12, anchor="end"), words(440, y + 5, what, size=13)]
    bare = "No lead goes to a pin bare: each has its own small circuit."
    parts.append(words(320, 330, bare, anchor="middle", soft=True))
    return drawing("The pins of the probe's board and their leads", 344, *parts)


def tapped(title: str, source: tuple[str, str], pin: str, role: str, *, point: str, gate: str) -> str:
    """Draw a line that is listened to by the gate of a small transistor."""
    gy, y = 238, 112
    ink = colour(role)
    return drawing(
        title,
        272,
        box(20, 72, 150, 80, *source),
        wire((170, y), (234, y), ink=ink),
        dot(186, y, ink),
        lines(178, y - 34, point),
        resistor(254, y, gate, ink=ink),
        wire((274, y), (300, y), ink=ink),
        mosfet(300, y),
        lines(312, y + 56, "N-channel, logic level:", "gate ± 20 V, below 100 pF", anchor="end"),
        wire((334, y - 36), (334, 66), ink=ink),
        resistor(334, 46, ohm(v.PULL_UP_OHM), upright=True, side="start"),
        wire((334, 26), (334, 16)),
        words(346, 20, "5 V of the probe", size=12, soft=True),
        dot(334, 76, ink),
        wire((334, 76), (400, 76), (400, y), (470, y), ink=ink),
        box(470, 72, 150, 80, "probe", pin),
        rail(gy, (95, 152), (334, y + 36), (545, 152)),
        lines(352, 172, "nothing flows into the", "gate, whether the probe", "has power or not"),
    )


def switch_tap() -> str:
    return tapped(
        "Tap on a switch contact",
        ("transmitter", "switch contact"),
        "D2, switch",
        "switch",
        point="the contact's live side",
        gate=ohm(v.GATE_OHM),
    )


def buffer() -> str:
    return tapped(
        "Servo pulses of 3.3 V",
        ("receiver", "3.3 V pulses"),
        "D8, servo output",
        "output",
        point="signal of the servo plug",
        gate=ohm(v.GATE_OHM),
    )


def module() -> str:
    """The pulse train of a module bay, with a divider for ports above 5 V."""
    gy, y, ink = 268, 112, colour("module")
    upper, lower = v.MODULE_DIVIDER_OHM
    return drawing(
        "Tap on a module's pulse train",
        302,
        box(20, 72, 150, 80, "module bay", "pulse-train contact"),
        wire((170, y), (196, y), ink=ink),
        resistor(216, y, ohm(upper), ink=ink),
        wire((236, y), (300, y), ink=ink),
        dot(266, y, ink),
        wire((266, y), (266, 150), ink=ink, dashed=True),
        resistor(266, 170, ohm(lower), upright=True, side="end"),
        wire((266, 190), (266, gy), ink=SOFT_INK, dashed=True),
        lines(176, 214, "dashed: only", "above 5 V"),
        mosfet(300, y),
        wire((334, y - 36), (334, 66), ink=ink),
        resistor(334, 46, ohm(v.PULL_UP_OHM), upright=True),
        wire((334, 26), (334, 16)),
        words(346, 20, "5 V of the probe", size=12, soft=True),
        dot(334, 76, ink),
        wire((334, 76), (400, 76), (400, y), (470, y), ink=ink),
        box(470, 72, 150, 80, "probe", "D3, module"),
        rail(gy, (95, 152), (334, y + 36), (545, 152)),
        lines(352, 186, "cover the bay's other", "contacts: one carries", "the raw battery"),
    )


def output() -> str:
    gy, y, ink = 232, 92, colour("output")
    return drawing(
        "Servo output through a resistor",
        266,
        box(20, 52, 140, 80, "receiver", "one servo output"),
        wire((160, y), (470, y), ink=ink),
        dot(250, y, ink),
        resistor(370, y, ohm(v.SERIES_OHM), ink=ink),
        box(470, 52, 150, 80, "probe", "D8, servo output"),
        wire((250, y), (250, 168), (300, 168), ink=ink),
        box(300, 148, 100, 44, "servo"),
        wire((160, 66), (196, 66), (196, 184), (300, 184), ink=EDGE, dashed=True),
        lines(206, 66, "plus: never to the probe"),
        rail(gy, (90, 132), (350, 192), (545, 132)),
    )


def flip() -> str:
    gy = 262
    least, most = (f"{value / 1000:g}" for value in v.OPTO_OHM)
    return drawing(
        "The probe flips a contact through an opto-coupler",
        316,
        box(20, 76, 130, 100, "probe", "D9, flip"),
        wire((150, 106), (176, 106)),
        resistor(196, 106, f"{least} to {most} kΩ"),
        wire((216, 106), (274, 106), (274, 116)),
        f'<rect x="248" y="86" width="104" height="96" rx="6" fill="none" stroke="{EDGE}" stroke-width="1.5"/>',
        lamp(274, 134),
        light(288, 134),
        phototransistor(322, 134),
        wire((274, 152), (274, gy)),
        words(300, 76, "opto-coupler", size=12, anchor="middle", soft=True),
        wire((334, 116), (334, 106), (476, 106)),
        wire((334, 152), (334, 162), (476, 162)),
        wire((322, 145), (322, 214), (376, 214)),
        resistor(396, 214, ohm(v.OPTO_BASE_OHM)),
        wire((416, 214), (448, 214), (448, 162)),
        dot(448, 162),
        words(316, 206, "base", size=12, anchor="end", soft=True),
        box(476, 76, 144, 120),
        words(556, 100, "transmitter", anchor="middle", bold=True),
        contact(528, 166, 40),
        wire((476, 106), (488, 106), (488, 146), (510, 146), (510, 166), (524, 166)),
        wire((476, 162), (482, 162), (482, 182), (590, 182), (590, 166), (572, 166)),
        words(556, 117, "its own switch", size=12, anchor="middle", soft=True),
        lines(356, 78, "the side with the", "higher voltage"),
        words(356, 178, "its other side", size=12, soft=True),
        wire((20, gy), (300, gy), ink=SOFT_INK),
        wire((85, 176), (85, gy), ink=SOFT_INK, width=1.5),
        words(20, gy + 20, "ground of the probe", size=12, soft=True),
        lines(330, 242, "leave the lever in its open position;", "the light closes the contact in its place"),
        words(
            20, gy + 42, "Only light crosses while the tap on D2 is off. With it, the two grounds are joined.", size=12
        ),
    )


def dry_contact() -> str:
    gy, y, ink = 226, 96, colour("switch")
    return drawing(
        "A contact of your own at the lever",
        260,
        box(20, 56, 190, 90, "", ""),
        words(115, 80, "your contact, at the lever", anchor="middle", bold=True, size=12),
        contact(70, 122, 50),
        wire((124, 122), (240, 122), (240, y), (470, y), ink=ink),
        wire((66, 122), (46, 122), (46, gy), ink=SOFT_INK, width=1.5),
        dot(46, gy, SOFT_INK),
        dot(330, y, ink),
        wire((330, y), (330, 66), ink=ink),
        resistor(330, 46, ohm(v.PULL_UP_OHM), upright=True),
        wire((330, 26), (330, 16)),
        words(342, 20, "5 V of the probe", size=12, soft=True),
        resistor(400, y, ohm(v.SERIES_OHM), ink=ink),
        box(470, 56, 150, 80, "probe", "D4, set to: switch"),
        rail(gy, (545, 136)),
        lines(224, 180, "nothing of this touches the transmitter's inside"),
    )


def gate() -> str:
    gy, ink = 250, colour("switch")
    return drawing(
        "A light gate at the lever",
        284,
        words(182, 30, "5 V of the probe", size=12, soft=True),
        wire((176, 26), (70, 26), (70, 34)),
        resistor(126, 26, ohm(v.FUSE_OHM)),
        resistor(70, 54, ohm(v.GATE_LAMP_OHM), upright=True),
        wire((70, 74), (70, 112)),
        f'<rect x="40" y="100" width="172" height="60" rx="6" fill="none" stroke="{EDGE}" stroke-width="1.5"/>',
        lamp(70, 130),
        light(86, 130),
        wire((132, 84), (132, 176), ink=colour("switch"), width=5),
        words(142, 94, "flag taped to the lever", size=12, soft=True),
        phototransistor(166, 130),
        wire((178, 112), (178, 104), (250, 104), ink=ink),
        wire((178, 148), (178, gy), ink=SOFT_INK, width=1.5),
        wire((70, 148), (70, gy), ink=SOFT_INK, width=1.5),
        dot(70, gy, SOFT_INK),
        dot(178, gy, SOFT_INK),
        words(222, 136, "slotted light gate", size=12, soft=True),
        wire((250, 104), (470, 104), ink=ink),
        dot(330, 104, ink),
        wire((330, 104), (330, 70), ink=ink),
        resistor(330, 50, ohm(v.GATE_PULL_UP_OHM), upright=True),
        wire((330, 30), (330, 16)),
        words(342, 20, "5 V of the probe", size=12, soft=True),
        box(470, 64, 150, 80, "probe", "D5, set to: switch"),
        rail(gy, (545, 144)),
    )


def lever() -> str:
    """Two ways to see a lever move from outside: a contact, and a beam that is cut."""
    parts = []
    for x, title in ((150, "a contact taped to the lever"), (470, "a flag that cuts a beam")):
        parts += [
            words(x, 26, title, anchor="middle", bold=True),
            wire((x - 130, 170), (x + 130, 170), ink=SOFT_INK),
            words(x - 130, 188, "the closed case", size=12, soft=True),
            wire((x, 170), (x - 34, 86), ink=EDGE, width=7),
            wire((x, 170), (x + 34, 86), ink=colour("switch"), width=7),
            dot(x, 170),
        ]
    parts += [
        wire((228, 170), (228, 118), (194, 100), ink=colour("output"), width=3),
        polygon(((182, 92), (190, 88), (196, 104), (188, 108)), ink=colour("output")),
        words(236, 116, "springy strip", size=12, soft=True),
        words(172, 78, "foil on tape", size=12, soft=True),
        polygon(((498, 84), (540, 70), (544, 80), (502, 94)), ink=colour("output")),
        box(524, 96, 24, 60),
        box(560, 96, 24, 60),
        wire((548, 126), (560, 126), ink=colour("output"), dashed=True),
        words(554, 62, "flag", size=12, soft=True),
        words(590, 130, "gate", size=12, soft=True),
        lines(
            320,
            222,
            "Set it so that it answers just where the lever's own contact clicks over;",
            "a few millimetres off are a few milliseconds, and they count as if they were the radio's.",
            anchor="middle",
        ),
    ]
    return drawing("Two ways to see a closed transmitter's lever move", 256, *parts)


def stick() -> str:
    gy, y = 252, 118
    return drawing(
        "Tap on a stick's potentiometer",
        286,
        box(20, 40, 150, 150, "", ""),
        words(95, 62, "transmitter", anchor="middle", bold=True),
        resistor(110, 118, "", upright=True),
        wire((110, 98), (110, 80)),
        wire((110, 138), (110, 156)),
        wire((170, y), (124, y)),
        arrow_head(118, y),
        words(36, 122, "stick", size=12, soft=True),
        wire((170, y), (194, y)),
        resistor(214, y, ohm(v.STICK_OHM)),
        wire((234, y), (290, y)),
        polygon(((290, y - 40), (290, y + 22), (352, y - 9))),
        words(297, y + 5, "+", bold=True),
        words(297, y - 18, "−", bold=True),
        wire((352, y - 9), (470, y - 9)),
        dot(384, y - 9),
        wire((384, y - 9), (384, 58), (272, 58), (272, y - 22), (290, y - 22)),
        words(330, 48, "follower", size=12, anchor="middle", soft=True),
        words(214, y + 24, "at the clip", size=12, anchor="middle", soft=True),
        wire((321, y + 7), (321, y + 20)),
        resistor(321, y + 40, ohm(v.FUSE_OHM), upright=True),
        wire((321, y + 60), (321, y + 70), (340, y + 70)),
        words(346, y + 74, "5 V of the probe", size=12, soft=True),
        box(470, 69, 150, 80, "probe", "A0, stick"),
        rail(gy, (95, 190), (545, 149)),
        lines(
            186,
            210,
            "rail-to-rail amplifier with a CMOS input;",
            f"without one, {ohm(v.BARE_STICK_OHM)} straight to A0",
            "will do, at a price: see the page",
        ),
    )


def horn() -> str:
    gy = 240
    ink = colour("horn")
    return drawing(
        "A potentiometer on the servo horn",
        274,
        box(20, 60, 110, 110, "servo"),
        wire((130, 115), (176, 115), ink=EDGE, width=5),
        words(182, 100, "light arm", size=12, anchor="middle", soft=True),
        wire((360, 26), (250, 26), (250, 80), ink=ink),
        resistor(310, 26, ohm(v.FUSE_OHM), ink=ink),
        words(366, 30, "5 V of the probe", size=12, soft=True),
        resistor(250, 115, "", upright=True, ink=ink),
        wire((250, 80), (250, 95), ink=ink),
        wire((250, 135), (250, gy), ink=SOFT_INK, width=1.5),
        dot(250, gy, SOFT_INK),
        wire((176, 115), (236, 115), ink=EDGE, width=2, dashed=True),
        lines(264, 160, "10 kΩ, linear,", "turns freely"),
        wire((266, 115), (340, 115), ink=ink),
        arrow_head(258, 115, ink=ink),
        resistor(360, 115, "1 kΩ", ink=ink),
        wire((380, 115), (470, 115), ink=ink),
        box(470, 75, 150, 80, "probe", "A1, servo horn"),
        rail(gy, (545, 155)),
        wire((75, 170), (75, gy), ink=SOFT_INK, width=1.5),
        dot(75, gy, SOFT_INK),
    )


def voltage() -> str:
    gy, ink = 254, SOFT_INK
    upper, lower = v.DIVIDER_OHM
    return drawing(
        "A supply through a divider",
        288,
        box(20, 60, 150, 110, "supply", "of receiver or", "transmitter"),
        wire((170, 80), (290, 80), ink=ink),
        words(180, 70, "plus", size=12, soft=True),
        wire((290, 80), (290, 90), ink=ink),
        resistor(290, 110, ohm(upper), upright=True),
        wire((290, 130), (290, 170), ink=ink),
        dot(290, 150, ink),
        resistor(290, 190, ohm(lower), upright=True),
        wire((290, 210), (290, gy), ink=ink, width=1.5),
        dot(290, gy, SOFT_INK),
        wire((290, 150), (470, 150), ink=ink),
        box(470, 110, 150, 80, "probe", "A2, voltage"),
        rail(gy, (95, 170), (545, 190)),
        lines(312, 60, "no more than 18 V at “plus”;", "both resistors 1 %, as close to the", "supply as can be"),
    )


def current() -> str:
    """The minus wires are a star: what the servo takes flows through none but its own."""
    ink = SOFT_INK
    shunts, gains = (" or ".join(f"{shunt[at]:g}" for shunt in v.SHUNTS) for at in (0, 1))
    return drawing(
        "A shunt in the servo's plus",
        326,
        box(20, 50, 120, 210, "supply", "4.8 to 8.4 V"),
        words(132, 74, "+", bold=True, anchor="end"),
        words(132, 240, "−", bold=True, anchor="end"),
        wire((140, 70), (206, 70), ink=ink, width=3),
        resistor(226, 70, f"{shunts} Ω", ink=ink),
        wire((246, 70), (500, 70), ink=ink, width=3),
        box(500, 40, 110, 90, "servo"),
        words(508, 74, "+", bold=True),
        words(602, 114, "−", bold=True, anchor="end"),
        dot(206, 70, ink),
        dot(246, 70, ink),
        wire((206, 70), (206, 122)),
        wire((246, 70), (246, 122)),
        lines(256, 92, "taken at the shunt's", "own ends"),
        box(166, 122, 150, 72, "amplifier", f"gain {gains}"),
        wire((316, 146), (372, 146)),
        resistor(392, 146, ohm(v.SERIES_OHM)),
        wire((412, 146), (440, 146), (440, 166), (470, 166)),
        box(470, 148, 140, 66, "probe", "A3, current"),
        wire((316, 184), (336, 184), (336, 200), (372, 200)),
        resistor(392, 200, ohm(v.FUSE_OHM)),
        wire((412, 200), (470, 200)),
        words(464, 194, "5 V", size=12, anchor="end", soft=True),
        wire((140, 236), (632, 236), (632, 110), (610, 110), ink=ink, width=3),
        dot(160, 236),
        wire((160, 236), (160, 212), (241, 212), (241, 194)),
        wire((160, 236), (160, 264), (545, 264), (545, 214)),
        words(172, 254, "the star: every minus wire has its own way to the supply", size=12, soft=True),
        lines(
            172,
            286,
            "thick: supply, shunt, servo and back, short;",
            "the servo's current flows through no probe lead and no probe ground",
        ),
    )


def servo() -> str:
    """The probe as a source of servo pulses."""
    gy, ink = 250, colour("output")
    series, down = v.SERVO_OHM
    return drawing(
        "Servo pulses from the probe",
        312,
        box(20, 60, 140, 90, "probe", "D10, servo pulses"),
        wire((160, 90), (200, 90), ink=ink),
        resistor(220, 90, ohm(series), ink=ink),
        wire((240, 90), (470, 90), ink=ink),
        dot(290, 90, ink),
        wire((290, 90), (290, 140), ink=ink),
        resistor(290, 160, ohm(down), upright=True, side="end"),
        wire((290, 180), (290, gy), ink=SOFT_INK, width=1.5),
        dot(290, gy, SOFT_INK),
        box(470, 60, 150, 90, "servo", "a servo, nothing else"),
        box(326, 170, 120, 50, "its own supply"),
        words(450, 177, "+", bold=True),
        wire((446, 184), (510, 184), (510, 150), ink=SOFT_INK, width=3),
        wire((386, 220), (386, gy), ink=SOFT_INK, width=3),
        wire((580, 150), (580, gy), ink=SOFT_INK, width=3),
        wire((386, gy), (580, gy), ink=SOFT_INK, width=3),
        dot(386, gy, SOFT_INK),
        wire((90, 150), (90, gy), (386, gy), ink=SOFT_INK, width=1.5),
        words(620, gy + 20, "minus of all at the supply, connected first", size=12, anchor="end", soft=True),
        words(
            20, gy + 46, "Never into a speed controller: a motor may start. Never into a receiver's output.", bold=True
        ),
    )


def steps(title: str, *what_and_more: tuple[str, str]) -> str:
    """Draw steps in their order, each with a number."""
    parts = []
    for number, (what, more) in enumerate(what_and_more):
        x = 60 + 104 * number
        parts += [note(number + 1, x, 34), words(x, 68, what, anchor="middle", bold=True, size=12)]
        parts.append(words(x, 86, more, anchor="middle", soft=True, size=12))
        if number:
            parts.append(wire((x - 88, 34), (x - 16, 34), ink=EDGE))
    return drawing(title, 104, *parts)


def order() -> str:
    return steps(
        "The order in which things are connected and switched on",
        ("everything off", "batteries out"),
        ("ground", "of all to all"),
        ("leads", "one by one"),
        ("USB", "look at Leads"),
        ("transmitter", "then it alone"),
        ("receiver", "last of all"),
    )


def apart() -> str:
    return steps(
        "The order in which things are switched off and taken apart",
        ("receiver", "off first"),
        ("transmitter", "off, battery out"),
        ("USB", "plug out"),
        ("leads", "one by one"),
        ("ground", "last of all"),
        ("as it was", "cover, aerial"),
    )


DRAWINGS: Mapping[str, Callable[[], str]] = {
    "wiring-board": board,
    "wiring-order": order,
    "wiring-apart": apart,
    "wiring-switch": switch_tap,
    "wiring-contact": dry_contact,
    "wiring-gate": gate,
    "wiring-lever": lever,
    "wiring-flip": flip,
    "wiring-module": module,
    "wiring-output": output,
    "wiring-buffer": buffer,
    "wiring-stick": stick,
    "wiring-horn": horn,
    "wiring-voltage": voltage,
    "wiring-current": current,
    "wiring-servo": servo,
}


if __name__ == "__main__":
    for name, draw in DRAWINGS.items():
        (FOLDER / f"{name}.svg").write_text(draw(), encoding="utf-8")
