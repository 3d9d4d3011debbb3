"""What a run of flips leaves in a report's files."""

from benchapp.records.findings import Latency, RunFindings
from benchapp.report.filed_test import CsvTable, FiledTest, Tree
from benchapp.report.flips.latency_json import latency_block
from benchapp.report.flips.trials_csv import COLUMNS, trial_rows


class _Flips(FiledTest[Latency]):
    block_name = "latency"
    tables: tuple[CsvTable[Latency], ...] = (
        CsvTable(file="trials.csv", columns=COLUMNS, rows=trial_rows, always=True),
    )

    def block(self, run: RunFindings, found: Latency) -> Tree:
        return latency_block(found)


PART = _Flips()
