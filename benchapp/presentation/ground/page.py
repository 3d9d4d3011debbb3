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
    """A heading. key names the part it opens, for links and tests; level 2 opens a part, 3 a piece of it.

    quiet      : not drawn, as what follows speaks for itself; a screen reader and the table of contents still have it
    opens_sheet: what follows begins a new sheet of paper, and is set there in two columns
    """

    text: str
    key: str
    level: int = 2
    quiet: bool = False
    opens_sheet: bool = False


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
    """Labels with their values. label_share is how much of the width the labels take.

    one_line : on paper each value has one line, and is cut there with "…"
    """

    caption: str
    rows: tuple[Row, ...]
    label_share: float = 0.33
    one_line: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Band:
    """One give or take of a figure, "± 0.64 ms", and what it holds for, "this switch-on"."""

    give: str
    holds_for: str


@dataclass(frozen=True, kw_only=True, slots=True)
class KeyFigure:
    """The figure, large, with its unit and its give or take. value is a dash where there is none.

    bands : each give or take by itself, with the words for what it holds; spread says the first of them in a sentence
    """

    label: str
    value: str
    unit: str
    spread: str
    lines: tuple[str, ...]
    bands: tuple[Band, ...] = ()


NARROW_PX = 400.0
"""A figure no wider than this stands beside another, on screen and in a column of paper."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Spot:
    """One flip's mark in a plot: where it lies, and whether it is an up, a down, or was left out ("up", "down", "out").

    y is None for a flip left out without a value: its mark stands at the plot's upper edge.
    """

    flip: int
    x: float
    y: float | None
    kind: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Plot:
    """What a figure shows, as numbers: its spots, the line of the figure and the bands, with the words beside them.

    bands : low, high, words; the first is drawn the strongest.    breaks : where a thin upright line parts the spots
    """

    x_title: str
    y_title: str
    spots: tuple[Spot, ...]
    level: float | None = None
    bands: tuple[tuple[float, float, str], ...] = ()
    breaks: tuple[float, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Figure:
    """A drawing as SVG. width and height are its own units (px); alt says in words what it shows.

    plot       : the same as numbers, where it can be touched in the window
    by_request : shows once more what another figure shows: on paper only where every row is asked for
    """

    key: str
    svg: str
    width: float
    height: float
    alt: str
    caption: str
    plot: Plot | None = None
    by_request: bool = False


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
    """Rows under columns. splits: so long that it may run over several pages.

    by_request : a row for every flip, stroke or position: on paper only where it was asked for
    """

    key: str
    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    notes: tuple[str, ...] = ()
    splits: bool = False
    by_request: bool = False


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
