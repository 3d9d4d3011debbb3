"""What a sweep of the stick shows."""

from collections.abc import Iterable, Mapping, Sequence

from benchapp.presentation.ground.flag_words import FlagWords
from benchapp.presentation.ground.page import Block, Definition, Figure
from benchapp.presentation.ground.shown_test import ShownTest
from benchapp.presentation.ground.stick_codes import STICK_FLAGS
from benchapp.presentation.sweep.sweep_definitions import SWEEP_DEFINITIONS
from benchapp.presentation.sweep.sweep_part import sweep_definition, sweep_figure, sweep_plots, sweep_tables
from benchapp.presentation.sweep.sweep_terminal import sweep_lines
from benchapp.presentation.sweep.sweep_verdict import sweep_meaning, sweep_verdict
from benchapp.presentation.sweep.transfer import transfer
from benchapp.records.codes import Flag, Note
from benchapp.records.findings import RunFindings
from benchapp.records.run import RunEvidence
from benchapp.records.sweep_findings import Linearity


class _Sweep(ShownTest[Linearity]):
    beside = "deviation"
    own_settings = ("sweep_",)
    definitions: Mapping[str, Definition] = SWEEP_DEFINITIONS
    flags: Mapping[str, FlagWords] = {
        Flag.INSUFFICIENT: FlagWords(
            title="too few cycles",
            sentence="The stick went there and back fewer than three times; it takes three full cycles for figures "
            "that would hold.",
        ),
        **STICK_FLAGS,
    }

    def verdict(self, run: RunFindings, found: Linearity) -> str:
        return sweep_verdict(run, found)

    def is_empty(self, run: RunFindings, found: Linearity) -> bool:
        return Note.STOPPED_BEFORE_FIRST_SWEEP in run.notes

    def first_drawing(self, found: Linearity, *, practice: bool) -> Figure | None:
        return transfer(found, practice=practice)

    def meaning(self, run: RunFindings, found: Linearity, others: Iterable[RunFindings]) -> tuple[str, ...]:
        return sweep_meaning(run, found, others)

    def definition(self, found: Linearity) -> str:
        return sweep_definition(found)

    def figure(self, run: RunFindings, found: Linearity, *, key: str, practice: bool) -> tuple[Block, ...]:
        return sweep_figure(run, found, key=key, practice=practice)

    def plots(
        self, run: RunFindings, found: Linearity, evidence: RunEvidence | None, *, key: str, practice: bool
    ) -> tuple[Block, ...]:
        return sweep_plots(found, key=key, practice=practice)

    def tables(
        self, run: RunFindings, found: Linearity, others: Sequence[RunFindings], *, key: str
    ) -> tuple[Block, ...]:
        return sweep_tables(run, found, key=key)

    def terminal(self, run: RunFindings, found: Linearity, others: Sequence[RunFindings]) -> Iterable[str]:
        return sweep_lines(run, found)


PART = _Sweep()
