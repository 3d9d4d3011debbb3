"""What a named test leaves in a report's files: its block of the findings document, and its tables."""

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from benchapp.records.events import Json
from benchapp.records.findings import RunFindings
from benchapp.records.named_tests import Parts
from benchapp.records.results import Result

R = TypeVar("R", bound=Result)
Tree = dict[str, Json]
Row = tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class CsvTable(Generic[R]):
    """One table of a test, a file of its own in the report.

    columns stand after those that say which session and run a row is of; rows gives cells fit to be written;
    always : the file is there without a row too
    """

    file: str
    columns: Row
    rows: Callable[[R], Iterable[Row]]
    always: bool = False


class FiledTest(ABC, Generic[R]):
    """One named test in a report's files; `found` is always the run's own result.

    block_name : the key of its block in the findings document
    """

    block_name: str
    tables: tuple[CsvTable[R], ...] = ()

    @abstractmethod
    def block(self, run: RunFindings, found: R) -> Tree:
        """Return everything the test concludes as a tree that JSON can hold; what does not exist is null."""


FILED: Parts[FiledTest[Any]] = Parts("benchapp.report.{}.filed")
