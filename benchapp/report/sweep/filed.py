"""What a sweep of the stick leaves in a report's files."""

from benchapp.presentation.ground.stick_facts import expected_flip_ms
from benchapp.records.findings import RunFindings
from benchapp.records.sweep_findings import Linearity
from benchapp.report.filed_test import CsvTable, FiledTest, Tree
from benchapp.report.sweep.linearity_json import linearity_block
from benchapp.report.sweep.sweep_csv import POSITION_COLUMNS, STROKE_COLUMNS, position_rows, stroke_rows


class _Sweep(FiledTest[Linearity]):
    block_name = "linearity"
    tables: tuple[CsvTable[Linearity], ...] = (
        CsvTable(file="sweeps.csv", columns=POSITION_COLUMNS, rows=position_rows),
        CsvTable(file="strokes.csv", columns=STROKE_COLUMNS, rows=stroke_rows),
    )

    def block(self, run: RunFindings, found: Linearity) -> Tree:
        return linearity_block(found, run.notes, expected_flip_ms=expected_flip_ms(run, found))


PART = _Sweep()
