"""What a hold leaves in a report's files."""

from benchapp.records.findings import RunFindings
from benchapp.records.sweep_findings import Steadiness
from benchapp.report.filed_test import CsvTable, FiledTest, Tree
from benchapp.report.hold.held_csv import HELD_COLUMNS, held_rows
from benchapp.report.hold.steadiness_json import steadiness_block


class _Hold(FiledTest[Steadiness]):
    block_name = "steadiness"
    tables: tuple[CsvTable[Steadiness], ...] = (CsvTable(file="holds.csv", columns=HELD_COLUMNS, rows=held_rows),)

    def block(self, run: RunFindings, found: Steadiness) -> Tree:
        return steadiness_block(found)


PART = _Hold()
