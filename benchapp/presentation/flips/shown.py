"""What a run of flips shows."""

from collections.abc import Iterable, Mapping, Sequence

from benchapp.presentation.flips.dots import dots
from benchapp.presentation.flips.flip_definitions import FLIP_DEFINITIONS
from benchapp.presentation.flips.flip_figure_part import flip_figure_part, ramp_sentence
from benchapp.presentation.flips.flip_plots import flip_plots
from benchapp.presentation.flips.flip_tables import flip_tables
from benchapp.presentation.flips.flip_terminal import flip_lines
from benchapp.presentation.flips.flip_verdict import flip_meaning, flip_verdict
from benchapp.presentation.flips.short_verdict import short_verdict
from benchapp.presentation.flips.switch_on_words import bands
from benchapp.presentation.flips.trials_part import left_out_line, left_out_part, trials_part
from benchapp.presentation.ground.enough import has_figure
from benchapp.presentation.ground.human_ruler import Timed
from benchapp.presentation.ground.numbers import counted
from benchapp.presentation.ground.page import Block, Definition, Figure
from benchapp.presentation.ground.shown_test import ShownTest
from benchapp.records.codes import Flag
from benchapp.records.findings import Latency, RunFindings
from benchapp.records.run import RunEvidence


class _Flips(ShownTest[Latency]):
    lines_on_card = 2  # the figure for any switch-on beside the one on the card, and how many flips count
    definitions: Mapping[str, Definition] = FLIP_DEFINITIONS

    def verdict(self, run: RunFindings, found: Latency) -> str:
        return flip_verdict(run, found)

    def short_verdict(self, run: RunFindings, found: Latency) -> str:
        return short_verdict(run, found)

    def is_empty(self, run: RunFindings, found: Latency) -> bool:
        return not found.flips

    def first_drawing(self, found: Latency, *, practice: bool) -> Figure | None:
        return dots(found, practice=practice)

    def timed(self, found: Latency) -> Timed | None:
        value_ms = found.headline.value_ms
        return Timed(value_ms=value_ms, bands=bands(found)) if has_figure(found) and value_ms is not None else None

    def left_out(self, found: Latency) -> str:
        return left_out_line(found)

    def meaning(self, run: RunFindings, found: Latency, others: Iterable[RunFindings]) -> tuple[str, ...]:
        return flip_meaning(run, found)

    def flag_sentence(self, code: str, run: RunFindings, found: Latency) -> str:
        return ramp_sentence(run, found) if code == Flag.RAMP else ""

    def figure(self, run: RunFindings, found: Latency, *, key: str, practice: bool) -> tuple[Block, ...]:
        return flip_figure_part(run, found, key=key, practice=practice)

    def plots(
        self, run: RunFindings, found: Latency, evidence: RunEvidence | None, *, key: str, practice: bool
    ) -> tuple[Block, ...]:
        return flip_plots(run, found, evidence, key=key, practice=practice)

    def tables(self, run: RunFindings, found: Latency, others: Sequence[RunFindings], *, key: str) -> tuple[Block, ...]:
        return flip_tables(run, found, key=key)

    def trials(self, run: RunFindings, found: Latency, *, key: str) -> tuple[Block, ...]:
        width_u_us = None if run.frame is None else run.frame.width_u_us
        return (*trials_part(found, key=key, width_u_us=width_u_us), *left_out_part(found, key=key))

    def definition_keys(self, run: RunFindings) -> set[str]:
        return set(self.definitions) - (set() if run.stages else {"stages"})

    def terminal(self, run: RunFindings, found: Latency, others: Sequence[RunFindings]) -> Iterable[str]:
        return flip_lines(run, found)

    def touched(self, found: Latency) -> Latency | None:
        return found

    def kept_words(self, found: Latency) -> str:
        return f"In the file: {len(found.trials)} of {counted(found.flips, 'flip')} answered."


PART = _Flips()
