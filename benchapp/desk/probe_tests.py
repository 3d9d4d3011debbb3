"""What probes found about themselves, kept by their serial number until they test themselves again."""

import math
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import asdict, replace
from pathlib import Path

from benchapp.desk.data_folder import data_folder
from benchapp.desk.memory_file import read_memory, write_memory
from benchapp.records.leads import Board, Lead, LeadKind, Stretch
from benchapp.records.self_test import LeadTest, SelfTest

KIND = "benchapp probe tests 1"
_MOST_PROBES = 100
_MOST_LEADS = 16
_LONGEST = 100
_MOST_NS = 1e6
_MOST_EDGES = 1_000_000


def tests_file() -> Path:
    """Return the file they are usually kept in."""
    return data_folder() / "probe-tests.json"


def kept_test(serial: str, file: Path | None = None) -> SelfTest | None:
    """Return what a probe found about itself, None where it was not tested or what was kept makes no sense."""
    return _tests(file or tests_file()).get(serial) if serial else None


def keep_test(test: SelfTest, file: Path | None = None) -> SelfTest:
    """Keep a test and return what is kept now: leads tested with the same program before stay. Raises DiskTrouble.

    A probe without a serial number cannot be told from another one: its test is returned and not kept.
    """
    if not test.serial:
        return test
    where = file or tests_file()
    tests = _tests(where)
    before = tests.pop(test.serial, None)
    leads = {lead.index: lead for lead in before.leads} if before and before.program == test.program else {}
    leads |= {lead.index: lead for lead in test.leads}
    whole = replace(test, leads=tuple(leads[index] for index in sorted(leads)))
    kept = [*list(tests.values())[1 - _MOST_PROBES :], whole]
    write_memory(where, kind=KIND, held={"probes": [asdict(one) for one in kept]})
    return whole


def as_tested(stretch: Stretch, file: Path | None = None) -> Stretch:
    """Return a stretch whose leads carry what this probe's test of itself found with the program it has now.

    A lead that did not keep its promise carries what was found all the same: its figures are the larger ones.
    What was found goes with the lead into the session (`tested_mean_ns`, `tested_sd_ns`, left out where it was not
    tested, so that old evidence codes stay as they are).
    """
    test = _test_of(stretch.board, file)
    if test is None:
        return stretch
    found = {(lead.index, lead.label): lead for lead in test.leads}
    return replace(stretch, leads=tuple(_with(lead, found.get((lead.index, lead.label))) for lead in stretch.leads))


def _test_of(board: Board, file: Path | None) -> SelfTest | None:
    test = kept_test(board.serial, file)
    return test if test is not None and test.program == board.program else None


def _with(lead: Lead, test: LeadTest | None) -> Lead:
    if test is None or test.mean_ns is None or test.sd_ns is None or lead.kind is not LeadKind.EDGE:
        return lead
    return replace(lead, tested_mean_ns=test.mean_ns, tested_sd_ns=test.sd_ns)


def _tests(file: Path) -> dict[str, SelfTest]:
    probes = read_memory(file, kind=KIND).get("probes")
    found: dict[str, SelfTest] = {}
    for source in probes[-_MOST_PROBES:] if isinstance(probes, list) else ():
        with suppress(ValueError, KeyError, TypeError):  # one that makes no sense was never tested
            test = _test(source)
            found[test.serial] = test
    return found


def _test(source: Mapping[str, object]) -> SelfTest:
    leads = source["leads"]
    if not isinstance(leads, list) or len(leads) > _MOST_LEADS:
        raise ValueError("leads")
    return SelfTest(
        serial=_word(source, "serial"),
        program=_word(source, "program"),
        tested_on=_word(source, "tested_on"),
        leads=tuple(_lead(lead) for lead in leads),
    )


def _lead(source: Mapping[str, object]) -> LeadTest:
    promise = source["keeps_promise"]
    if not isinstance(promise, bool):
        raise ValueError("keeps_promise")
    lead = LeadTest(
        index=_count(source, "index"),
        label=_word(source, "label"),
        driven=_count(source, "driven"),
        seen=_count(source, "seen"),
        strays=_count(source, "strays"),
        mean_ns=_nanoseconds(source, "mean_ns"),
        sd_ns=_nanoseconds(source, "sd_ns"),
        earliest_ns=_nanoseconds(source, "earliest_ns"),
        latest_ns=_nanoseconds(source, "latest_ns"),
        coarse=_count(source, "coarse"),
        keeps_promise=promise,
    )
    if (lead.sd_ns or 0.0) < 0.0 or lead.index >= _MOST_LEADS:
        raise ValueError("a lead that cannot be")
    return lead


def _word(source: Mapping[str, object], key: str) -> str:
    value = source[key]
    if not isinstance(value, str) or len(value) > _LONGEST:
        raise ValueError(key)
    return value


def _count(source: Mapping[str, object], key: str) -> int:
    value = source[key]
    if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value <= _MOST_EDGES:
        raise ValueError(key)
    return value


def _nanoseconds(source: Mapping[str, object], key: str) -> float | None:
    value = source[key]
    if value is None:
        return None
    if not isinstance(value, int | float) or isinstance(value, bool) or not math.isfinite(value):
        raise ValueError(key)
    if abs(value) > _MOST_NS:
        raise ValueError(key)
    return float(value)
