"""What a named test is called, and what its card says: what it answers, and what it needs."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType


@dataclass(frozen=True, kw_only=True, slots=True)
class CardWords:
    """What a test is called, what it answers and what is done for it, and what it needs.

    takes      : how long it takes, "" where nobody can say
    first      : the sentence of the page while this test is chosen
    captured   : how it is called where a capture is opened, with what it tells
    counts     : what its run counts, one and several of them, where these are neither flips nor a stick's moves
    help_pages : its pages of the help, {page: title}, each a file of that name in `resources/help`
    """

    title: str
    answers: str
    needs: str
    first: str
    captured: str
    takes: str = ""
    counts: tuple[str, str] = ("", "")
    help_pages: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
