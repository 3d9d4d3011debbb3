"""What the reduction of a named test is."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from benchapp.records.findings import RunFindings
from benchapp.records.run import RunEvidence


@dataclass(frozen=True, kw_only=True, slots=True)
class Recipe:
    """A pure function from a run's evidence to its findings, and what it is set to, printed with every finding."""

    reduce: Callable[[RunEvidence], RunFindings]
    settings: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
