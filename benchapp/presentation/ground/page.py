"""What a page holds: plain text, numbers with units, tables and figures, in reading order; drawn alike everywhere."""

from dataclasses import dataclass
from enum import StrEnum


class Signal(StrEnum):
    """Signal words, the gravest first. NOTICE is for property only; what can hurt is CAUTION or more."""

    DANGER = "DANGER"
    WARNING = "WARNING"
    CAUTION = "CAUTION"
    NOTICE = "NOTICE"


class Tone(StrEnum):
    """How loud a paragraph speaks."""

    BODY = "body"
    LEAD = "lead"
    SOFT = "soft"


@dataclass(frozen=True, kw_only=True, slots=True)
class Heading:
    """A heading. key names the part it opens, for links and tests; level 2 opens a part, 3 a piece of it."""

    text: str
    key: str
    level: int = 2


@dataclass(frozen=True, kw_only=True, slots=True)
class Paragraph:
    """A paragraph of whole sentences."""

    text: str
    tone: Tone = Tone.BODY


@dataclass(frozen=True, kw_only=True, slots=True)
class Bullets:
    """Sentences that stand each for itself."""

    items: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Notice:
    """Lines of a safety notice under one signal word."""

    signal: Signal
    lines: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """A label and what is said of it. code: long letters and digits, shown whole and broken anywhere."""

    label: str
    value: str
    code: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Facts:
    """Labels with their values. label_share is how much of the width the labels take."""

    caption: str
    rows: tuple[Row, ...]
    label_share: float = 0.33


@dataclass(frozen=True, kw_only=True, slots=True)
class KeyFigure:
    """The figure, large, with its unit and its give or take. value is a dash where there is none."""

    label: str
    value: str
    unit: str
    spread: str
    lines: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Figure:
    """A drawing as SVG. width and height are its own units (px); alt says in words what it shows."""

    key: str
    svg: str
    width: float
    height: float
    alt: str
    caption: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Photo:
    """A photo as a JPEG. width and height are its own pixels; alt says what it is of."""

    key: str
    jpeg: bytes
    width: int
    height: int
    alt: str
    caption: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Column:
    """A column. A numeric one states its unit ("ms", "flips"), right-aligned; share is its weight in width."""

    title: str
    unit: str = ""
    numeric: bool = False
    share: float = 1.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Cell:
    """A cell; why is the reason where its text is a dash."""

    text: str
    why: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Table:
    """Rows under columns. splits: so long that it may run over several pages."""

    key: str
    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    notes: tuple[str, ...] = ()
    splits: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Definition:
    """A word, what it means, and whose usage that follows ("" where it is our own)."""

    word: str
    meaning: str
    source: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Definitions:
    """The definitions used."""

    entries: tuple[Definition, ...]


Block = Heading | Paragraph | Bullets | Notice | Facts | KeyFigure | Figure | Photo | Table | Definitions


@dataclass(frozen=True, kw_only=True, slots=True)
class Page:
    """Everything a report or a screen shows, in order.

    evidence_code is the whole code; practice marks every page, plot and table as simulated.
    """

    title: str
    subtitle: str
    practice: bool
    session: str
    evidence_code: str
    software: str
    blocks: tuple[Block, ...]


PRACTICE_MARK = "PRACTICE, SIMULATED"
"""Stands on everything that comes from the practice bench."""
