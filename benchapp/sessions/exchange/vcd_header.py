"""The declarations of a VCD file (IEEE 1364): timescale, scopes and variables."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from typing import NoReturn

from benchapp.sessions.exchange.iso_date import iso_date
from benchapp.sessions.exchange.refusal import line_at, refused, shown

_EXPONENT = {"s": 9, "ms": 6, "us": 3, "ns": 0, "ps": -3, "fs": -6}
_TIMESCALE = re.compile(r"(1|10|100) ?(s|ms|us|ns|ps|fs)")
_WORD = re.compile(rb"\S+")
_KEYWORDS = {"$end", "$comment", "$dumpvars", "$dumpall", "$dumpon", "$dumpoff", "$vcdclose"}


class Shape(Enum):
    """What a variable's values look like."""

    WIRE = "wire"
    REAL = "real"
    OTHER = "other"


@dataclass(frozen=True, kw_only=True, slots=True)
class Variable:
    """One `$var`. reason says why it is no lead, where shape is OTHER."""

    code: bytes
    name: str
    scoped_name: str
    shape: Shape
    reason: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Header:
    """What stands before `$enddefinitions`. A tick is 10^tick_exponent ns; body is the byte where values begin."""

    tick_exponent: int
    started: str | None
    comments: tuple[str, ...]
    variables: tuple[Variable, ...]
    body: int


@dataclass(frozen=True, slots=True)
class _Section:
    """A keyword, its words, and the byte where it begins."""

    keyword: str
    words: tuple[str, ...]
    at: int
    end: int


def read_header(data: bytes, *, file: str) -> Header:
    """Return the declarations. Raises WrongInput with the line of whatever is not understood."""
    exponent: int | None = None
    started: str | None = None
    comments: list[str] = []
    scopes: list[str] = []
    variables: list[Variable] = []
    for section in _sections(data, file):
        match section.keyword:
            case "$timescale":
                if exponent is not None:
                    _refuse(data, file, section, "a second $timescale; a file has one")
                exponent = _tick_exponent(data, file, section)
            case "$date":
                started = iso_date(" ".join(section.words))
            case "$comment":
                comments.append(" ".join(section.words))
            case "$scope":
                scopes.append(section.words[1] if len(section.words) > 1 else "")
            case "$upscope":
                if not scopes:
                    _refuse(data, file, section, "$upscope without a $scope before it")
                scopes.pop()
            case "$var":
                variables.append(_variable(data, file, section, scopes))
            case "$enddefinitions":
                if exponent is None:
                    _refuse(data, file, section, "no $timescale before $enddefinitions, so times have no unit")
                _check_shared_codes(variables, file)
                return Header(
                    tick_exponent=exponent,
                    started=started,
                    comments=tuple(comments),
                    variables=tuple(variables),
                    body=section.end,
                )
    raise refused(file, None, "no $enddefinitions: this is no VCD file (IEEE 1364), or it is cut off in its header")


def _sections(data: bytes, file: str) -> Iterator[_Section]:
    keyword, at = "", 0
    words: list[str] = []
    for found in _WORD.finditer(data):
        word = found.group().decode("utf-8", errors="replace")
        if not keyword:
            if not word.startswith("$") or word == "$end":
                raise refused(
                    file,
                    line_at(data, found.start()),
                    f"expected a declaration such as $timescale or $var, got {shown(word)}; is this a VCD file?",
                )
            keyword, words, at = word, [], found.start()
        elif word == "$end":
            yield _Section(keyword, tuple(words), at, found.end())
            keyword = ""
        else:
            words.append(word)
    if keyword:
        raise refused(file, line_at(data, at), f"{shown(keyword)} is never closed with $end; is the file cut off?")


def _refuse(data: bytes, file: str, section: _Section, reason: str) -> NoReturn:
    raise refused(file, line_at(data, section.at), reason)


def _tick_exponent(data: bytes, file: str, section: _Section) -> int:
    text = " ".join(section.words)
    found = _TIMESCALE.fullmatch(text)
    if not found:
        _refuse(data, file, section, f"expected a timescale of 1, 10 or 100 s, ms, us, ns, ps or fs, got {shown(text)}")
    return len(found.group(1)) - 1 + _EXPONENT[found.group(2)]


def _variable(data: bytes, file: str, section: _Section, scopes: list[str]) -> Variable:
    if len(section.words) < 4:
        text = " ".join(section.words)
        _refuse(data, file, section, f"expected $var type width id name $end, got {shown(text)}")
    kind, width, code, *rest = section.words
    if not width.isascii() or not width.isdigit() or int(width[:9]) == 0:
        _refuse(data, file, section, f"expected a width in bits, got {shown(width)}")
    if not all("!" <= letter <= "~" for letter in code) or code in _KEYWORDS:
        _refuse(data, file, section, f"expected an identifier of printable ASCII, got {shown(code)}")
    name = _joined(rest)
    shape, reason = _shape(kind, int(width[:9]))
    return Variable(
        code=code.encode("ascii"),
        name=name,
        scoped_name=".".join([*(scope for scope in scopes if scope), name]),
        shape=shape,
        reason=reason,
    )


def _joined(words: list[str]) -> str:
    """Return a reference: a bit index belongs to the name without a blank, other words with one."""
    name = words[0]
    for word in words[1:]:
        bound = word[0] in "[:]" or name[-1] in "[:"
        name += word if bound else f" {word}"
    return name


def _shape(kind: str, width: int) -> tuple[Shape, str]:
    if kind in {"real", "realtime"}:
        return Shape.REAL, ""
    if kind in {"string", "event"}:
        return Shape.OTHER, f"it is {'a text' if kind == 'string' else 'an event'}, which has no level"
    if width > 1:
        return Shape.OTHER, f"it is {width} bits wide; a lead is one wire, or a real in volts"
    return Shape.WIRE, ""


def _check_shared_codes(variables: list[Variable], file: str) -> None:
    shapes: dict[bytes, Variable] = {}
    for variable in variables:
        other = shapes.setdefault(variable.code, variable)
        if other.shape is not variable.shape:
            raise refused(
                file,
                None,
                f"{shown(other.scoped_name)} and {shown(variable.scoped_name)} share the identifier "
                f"{shown(variable.code)} but are not of one kind",
            )
