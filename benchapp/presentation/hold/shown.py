"""What a hold shows."""

from collections.abc import Iterable, Mapping, Sequence

from benchapp.presentation.ground.flag_words import FlagWords
from benchapp.presentation.ground.page import Block, Definition, Figure
from benchapp.presentation.ground.shown_test import ShownTest
from benchapp.presentation.ground.stick_codes import STICK_FLAGS
from benchapp.presentation.ground.terminal import detail_lines
from benchapp.presentation.hold.hold import hold
from benchapp.presentation.hold.hold_definitions import HOLD_DEFINITIONS
from benchapp.presentation.hold.hold_details import hold_details
from benchapp.presentation.hold.hold_part import HOLD_DEFINITION, hold_figure, hold_plots, hold_tables
from benchapp.presentation.hold.hold_verdict import hold_meaning, hold_verdict
from benchapp.records.codes import Flag
from benchapp.records.findings import RunFindings
from benchapp.records.run import RunEvidence
from benchapp.records.sweep_findings import Steadiness


class _Hold(ShownTest[Steadiness]):
    beside = "hold"
    own_settings = ("hold_touch", "hold_fewest")
    definitions: Mapping[str, Definition] = HOLD_DEFINITIONS
    flags: Mapping[str, FlagWords] = {
        Flag.INSUFFICIENT: FlagWords(
            title="too short",
            sentence="Too few servo pulses came while it was held; it takes 100 pulses to know how much they wander.",
        ),
        **STICK_FLAGS,
    }

    def verdict(self, run: RunFindings, found: Steadiness) -> str:
        return hold_verdict(run, found)

    def first_drawing(self, found: Steadiness, *, practice: bool) -> Figure | None:
        return hold(found, practice=practice)

    def meaning(self, run: RunFindings, found: Steadiness, others: Iterable[RunFindings]) -> tuple[str, ...]:
        return hold_meaning(run, found, others)

    def definition(self, found: Steadiness) -> str:
        return HOLD_DEFINITION

    def figure(self, run: RunFindings, found: Steadiness, *, key: str, practice: bool) -> tuple[Block, ...]:
        return hold_figure(run, found, key=key, practice=practice)

    def plots(
        self, run: RunFindings, found: Steadiness, evidence: RunEvidence | None, *, key: str, practice: bool
    ) -> tuple[Block, ...]:
        return hold_plots(found, key=key, practice=practice)

    def tables(
        self, run: RunFindings, found: Steadiness, others: Sequence[RunFindings], *, key: str
    ) -> tuple[Block, ...]:
        return hold_tables(run, found, others, key=key)

    def terminal(self, run: RunFindings, found: Steadiness, others: Sequence[RunFindings]) -> Iterable[str]:
        return detail_lines(run, hold_details(found, others))


PART = _Hold()
