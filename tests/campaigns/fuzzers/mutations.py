"""Ways to spoil bytes, texts and trees of JSON; each draws from the chance it is given and from nothing else."""

import json
import random
import string
from collections.abc import Callable, Sequence

DIGITS = "@@digits@@"
NEST = "@@nest@@"
NUMBERS: tuple[int | float, ...] = (
    0, 1, -1, 2, 7, 255, 65_535, 1 << 31, 1 << 32, (1 << 53) + 1, 1 << 62, (1 << 63) - 1, -(1 << 63), 1 << 63,
    1 << 64, 10**40, 10**308, 0.5, -0.0, 1e-320, 1e-9, 1e9, 1e18, 1e299, 1.7e308, -1.7e308,
)  # fmt: skip
TEXTS = (
    "", " ", "None", "NaN", "-Infinity", "null", "true", "<img src=x onerror=alert(1)>", "</style><script>", "=1+1",
    "\u202egnp", "\u2028", "\x00", "\x1b[2J", "\ud800", "%s%n{}{0}", "../../x", "a" * 3_000, "9" * 5_000, "run-stop",
    "switch", "output", "stick", "switch-flip", "stick-sweep", "hold-still", "switch-on", "complete", "contact",
)  # fmt: skip
PIECES = (
    *TEXTS, "9" * 400, "-", "+", ".", ",", ";", "\t", '"', "'", "e", "1e999", "1e-999", "0x1f", "1_000", "inf", "nan",
    "\r", "\n", "\r\n", "\ufeff", "$end", "$var wire 1 ! a $end", "$dumpoff", "#", "#-1", "#99999999999999999999",
    "b1x ", "x!", "r1e308 !", "$scope module a $end ", "1 s", "time_s", "time_ms", "#benchapp", "[", "]", "{", "}",
    "\\",
)  # fmt: skip


def spoilt_bytes(data: bytes, chance: random.Random, others: Sequence[bytes] = ()) -> bytes:
    """Return the bytes after one to four changes, now and then with a piece of another file."""
    spoilt = bytearray(data)
    for _ in range(chance.choice((1, 1, 1, 2, 4))):
        chance.choice(_BYTE_CHANGES)(spoilt, chance)
        if others and chance.random() < 0.1:
            other = chance.choice(others)
            begin = chance.randrange(len(other) + 1)
            place = chance.randrange(len(spoilt) + 1)
            spoilt[place:place] = other[begin : begin + chance.randrange(1, 400)]
    return bytes(spoilt)


def _flip(data: bytearray, chance: random.Random) -> None:
    for _ in range(chance.choice((1, 1, 3, 20))):
        if data:
            data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)


def _replace(data: bytearray, chance: random.Random) -> None:
    begin = chance.randrange(len(data) + 1)
    data[begin : begin + chance.randrange(8)] = chance.randbytes(chance.randrange(8))


def _drop(data: bytearray, chance: random.Random) -> None:
    begin = chance.randrange(len(data) + 1)
    del data[begin : begin + chance.choice((1, 2, 16, 512))]


def _double(data: bytearray, chance: random.Random) -> None:
    begin = chance.randrange(len(data) + 1)
    data[begin:begin] = data[begin : begin + chance.choice((1, 16, 512))]


def _cut(data: bytearray, chance: random.Random) -> None:
    del data[chance.randrange(len(data) + 1) :]


def _piece(data: bytearray, chance: random.Random) -> None:
    begin = chance.randrange(len(data) + 1)
    data[begin : begin + chance.choice((0, 0, 1, 4))] = chance.choice(PIECES).encode("utf-8", "surrogatepass")


_BYTE_CHANGES: tuple[Callable[[bytearray, random.Random], None], ...] = (_flip, _replace, _drop, _double, _cut, _piece)


def spoilt_lines(text: str, chance: random.Random) -> str:
    """Return a text of lines after one to three changes that keep it looking like what it was."""
    lines = text.splitlines(keepends=True) or [""]
    for _ in range(chance.randrange(1, 4)):
        place = chance.randrange(len(lines))
        match chance.randrange(6):
            case 0:
                del lines[place]
                lines = lines or [""]
            case 1:
                lines.insert(place, lines[place] * chance.choice((1, 2, 300)))
            case 2:
                other = chance.randrange(len(lines))
                lines[place], lines[other] = lines[other], lines[place]
            case 3:
                lines[place] = _other_word(lines[place], chance)
            case 4:
                lines[place] = lines[place].rstrip("\n")
            case _:
                lines.insert(place, chance.choice(PIECES) + "\n")
    return "".join(lines)


def _other_word(line: str, chance: random.Random) -> str:
    """Return a line with one of its words made another."""
    for sign in (",", ";", "\t", " ", "="):
        if sign in line:
            words = line.split(sign)
            words[chance.randrange(len(words))] = chance.choice((*PIECES, str(chance.choice(NUMBERS))))
            return sign.join(words)
    return chance.choice(PIECES) + "\n"


def spoilt_tree(value: object, chance: random.Random, share: float = 0.08) -> object:
    """Return a tree of JSON in which some values are hostile ones, and some keys are missing, doubled or new."""
    if chance.random() < share:
        return hostile(chance)
    if isinstance(value, dict):
        tree = {key: spoilt_tree(item, chance, share) for key, item in value.items() if chance.random() > share / 4}
        if chance.random() < share:
            tree[chance.choice(TEXTS) or "x"] = hostile(chance)
        return tree
    if isinstance(value, list):
        items = [spoilt_tree(item, chance, share) for item in value if chance.random() > share / 4]
        return items * chance.choice((2, 50)) if chance.random() < share / 4 else items
    return value


def hostile(chance: random.Random) -> object:
    """Return a value nobody meant."""
    match chance.randrange(8):
        case 0 | 1 | 2:
            return chance.choice(NUMBERS)
        case 3 | 4:
            return chance.choice(TEXTS)
        case 5:
            return chance.choice((None, True, False, [], {}, [None], {"a": {}}, [[]], [1, "a", None]))
        case 6:
            return chance.choice((DIGITS, NEST))
        case _:
            return "".join(chance.choices(string.printable, k=chance.randrange(40)))


def json_text(tree: object, chance: random.Random) -> str:
    """Return a tree as a session writes it; numbers of thousands of digits and deep nests are put in as they stand."""
    text = json.dumps(tree, sort_keys=True, separators=(",", ":"), allow_nan=True)
    deep = chance.choice((50, 900, 5_000))
    for mark, raw in ((DIGITS, chance.choice("123456789") * 5_000), (NEST, "[" * deep + "]" * deep)):
        text = text.replace(f'"{mark}"', raw)
    return text
