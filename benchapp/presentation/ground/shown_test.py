"""What a named test shows: the words, drawings and tables of its runs, one object a test."""

from abc import ABC, abstractmethod
from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import Generic, TypeVar

from benchapp.presentation.ground.flag_words import FlagWords
from benchapp.presentation.ground.human_ruler import Timed
from benchapp.presentation.ground.page import Block, Definition, Figure
from benchapp.records.findings import Latency, RunFindings
from benchapp.records.results import Result
from benchapp.records.run import RunEvidence

R = TypeVar("R", bound=Result)


class ShownTest(ABC, Generic[R]):
    """One named test as it is shown on page, paper and terminal; `found` is always the run's own result.

    beside       : the key of the drawing that stands beside the figure on screen, "" where there is none
    lines_on_card: how many of the figure's lines stand on its card, the others below as how to read it
    flags        : a flag's words where this test needs others than most
    definitions  : the words this test's findings use, by their keys; of one key the first test's is printed
    """

    beside: str = ""
    own_settings: tuple[str, ...] = ()
    lines_on_card: int = 1
    flags: Mapping[str, FlagWords] = MappingProxyType({})
    definitions: Mapping[str, Definition] = MappingProxyType({})

    @abstractmethod
    def verdict(self, run: RunFindings, found: R) -> str:
        """Return one sentence: the figure, or why it cannot be told."""

    def short_verdict(self, run: RunFindings, found: R) -> str:
        """Return the verdict for over a figure that shows its gives or takes itself; "" where it is no other."""
        return ""

    def is_empty(self, run: RunFindings, found: R) -> bool:
        """Return whether a run ended before there was anything to show of it: one line says so then."""
        return False

    def first_drawing(self, found: R, *, practice: bool) -> Figure | None:
        """Return the drawing that stands with the figure on the first sheet; None where there is none."""
        return None

    def timed(self, found: R) -> Timed | None:
        """Return the time found, for the human ruler; None for a test, or a run, without one."""
        return None

    def left_out(self, found: R) -> str:
        """Return in one line what does not count and why; "" for a test whose trials all do."""
        return ""

    def meaning(self, run: RunFindings, found: R, others: Iterable[RunFindings]) -> tuple[str, ...]:
        """Return what the verdict means, the most useful first; others: the session's other runs."""
        return ()

    def definition(self, found: R) -> str:
        """Return what the verdict's words mean exactly, to stand right below it; "" where nothing needs saying."""
        return ""

    def flag_sentence(self, code: str, run: RunFindings, found: R) -> str:
        """Return a flag's sentence where it holds facts of the run; "" where the flag's own words do."""
        return ""

    @abstractmethod
    def figure(self, run: RunFindings, found: R, *, key: str, practice: bool) -> tuple[Block, ...]:
        """Return the figure, large, with the lines that say what it stands for."""

    def plots(
        self, run: RunFindings, found: R, evidence: RunEvidence | None, *, key: str, practice: bool
    ) -> tuple[Block, ...]:
        """Return the plots that there is data for; one that cannot be drawn is named with the reason."""
        return ()

    @abstractmethod
    def tables(self, run: RunFindings, found: R, others: Sequence[RunFindings], *, key: str) -> tuple[Block, ...]:
        """Return the tables, and how the figures were computed."""

    def trials(self, run: RunFindings, found: R, *, key: str) -> tuple[Block, ...]:
        """Return every single trial and every one left out with its reason, where a test has such."""
        return ()

    def definition_keys(self, run: RunFindings) -> set[str]:
        """Return the keys of the definitions that a run's findings use."""
        return set(self.definitions)

    @abstractmethod
    def terminal(self, run: RunFindings, found: R, others: Sequence[RunFindings]) -> Iterable[str]:
        """Yield the figures as lines of plain text, below the verdict and what it means."""

    def touched(self, found: R) -> Latency | None:
        """Return the flips that the window draws as dots, to be touched one by one; None where a test has none."""
        return None

    def kept_words(self, found: R) -> str:
        """Return what the file holds of a run that trouble ended."""
        return "The run up to then is in the file."
