"""The tables of a session in CSV (RFC 4180): dot decimals, UTF-8, inert text.

Each test has its own: `trials.csv` holds one row a flip and is always there, the others wherever they have a row.
"""

from collections.abc import Mapping
from typing import Any

from benchapp.presentation.ground.page import PRACTICE_MARK
from benchapp.records.findings import SessionFindings
from benchapp.records.run import Origin, SessionFacts
from benchapp.report.csv_cells import cell_text, table_text
from benchapp.report.filed_test import FILED, CsvTable, Row

SESSION_COLUMNS = ("session", "origin", "evidence_code", "run", "test")
"""What every row begins with: the session, where it is from (practice says so), its evidence code, its run and test."""


def csv_tables(facts: SessionFacts, findings: SessionFindings) -> Mapping[str, str]:
    """Return file names with their tables as text with CRLF line ends, each run's rows in the order of time.

    Text is clipped, freed of control and bidi characters, and begins with ' where a spreadsheet would take it for a
    formula; numbers are never prefixed. A value that does not exist is an empty cell. Practice rows say so.
    """
    made = {}
    for test, part in FILED.named():
        for table in part.tables:
            rows = _rows(facts, findings, test, table)
            if rows or table.always:
                made[table.file] = table_text((*SESSION_COLUMNS, *table.columns), rows)
    return made


def table_files() -> tuple[str, ...]:
    """Return the names of all tables that a report may hold."""
    return tuple(table.file for part in FILED.all() for table in part.tables)


def _rows(facts: SessionFacts, findings: SessionFindings, test: str, table: CsvTable[Any]) -> list[Row]:
    origin = PRACTICE_MARK if facts.origin is Origin.PRACTICE else facts.origin.value
    head = (cell_text(facts.name), cell_text(origin), cell_text(facts.evidence_hash))
    runs = [run for run in findings.runs if run.test == test]
    return [(*head, str(run.run), cell_text(run.test), *cells) for run in runs for cells in table.rows(run.result)]
