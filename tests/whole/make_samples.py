"""Make the sample sessions and their comparison anew: `python -m tests.whole.make_samples [STEM …]`.

The scenario is our own: a school gliding club readies its loan fleet. All of it is practised, and says so.
The same program makes the same files, byte for byte: nothing in them is told by the clock or the load of a computer.
"""

import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from benchapp.desk.bench_file import NAME
from benchapp.desk.comparing import compare_sessions
from benchapp.desk.comparison_report import document_of
from benchapp.desk.findings import findings_document
from benchapp.desk.recording import RecordOrder, record
from benchapp.procedures.gate import offered_lines
from benchapp.records.run import Origin, RunSettings
from benchapp.report.findings_json import document_text
from benchapp.sessions.copying import save_copy
from tests.whole.mixed_session import FLIPS, HOLD, SWEEP, Part, record_mixed

FOLDER = Path(__file__).parents[2] / "sample_sessions"


@dataclass(frozen=True, kw_only=True, slots=True)
class Sample:
    """One sample session: flips alone, or parts of a longer session (a run each)."""

    stem: str
    url: str
    started: str
    bench: dict[str, str]
    flips: int = 60
    switch_ons: int | None = None
    parts: tuple[Part, ...] = ()


SAMPLES = (
    Sample(
        stem="alder-two-seater",
        url="practice://alder?seed=411",
        started="2026-11-25T09:05:00+01:00",
        flips=60,
        bench={
            "name": "Alder, the two-seater's set",
            "transmitter": "Alder, loan set 3",
            "receiver": "Alder six-channel",
            "channel": "5",
            "channels": "6",
            "output_rate": "9",
            "volts": "6.0",
            "distance": "2 m",
            "other_sets": "none",
            "ready_memory": "checked",
            "ready_switch": "checked",
            "ready_not_flying": "checked",
            "ready_ends": "checked",
            "ready_plain": "checked",
            "ready_warm": "checked",
        },
    ),
    Sample(
        stem="birch-module",
        url="practice://birch?seed=412&flips=golden",
        started="2026-11-25T09:20:00+01:00",
        flips=60,
        bench={
            "name": "Birch with the club's module",
            "transmitter": "Birch, loan set 7",
            "module": "the club's spare",
            "module_feed": "pulse train",
            "receiver": "Birch eight-channel",
            "output_rate": "22.5",
            "ready_memory": "checked",
            "ready_switch": "checked",
            "ready_not_flying": "checked",
            "ready_ends": "not possible",
        },
    ),
    Sample(
        stem="cedar-far-corner",
        url="practice://cedar?seed=413&dropout=0.04&dead=0.03&glitch_per_s=0.3",
        started="2026-11-25T09:40:00+01:00",
        flips=61,
        bench={"name": "Cedar at the far corner of the hangar", "distance": "60 m", "other_sets": "two"},
    ),
    Sample(
        stem="cedar-elevator-stick",
        url="practice://cedar?seed=414&motion=none",
        started="2026-11-25T10:00:00+01:00",
        parts=(FLIPS, SWEEP, HOLD),
        bench={
            "name": "Cedar, the elevator stick",
            "transmitter": "Cedar, loan set 11",
            "receiver": "Cedar four-channel",
            "channel": "2",
            "channels": "4",
            "output_rate": "14",
            "volts": "5.0",
            "ready_memory": "checked",
            "ready_not_flying": "checked",
            "ready_ends": "checked",
            "ready_plain": "checked",
        },
    ),
    Sample(
        stem="field-day-alder",
        url="practice://alder?seed=424",
        started="2026-11-28T13:05:00+01:00",
        switch_ons=10,
        bench={"name": "Alder on the field day", "set": "Alder", "transmitter": "Alder, loan set 3", "distance": "2 m"},
    ),
    Sample(
        stem="field-day-birch",
        url="practice://birch?seed=422",
        started="2026-11-28T13:25:00+01:00",
        switch_ons=10,
        bench={"name": "Birch on the field day", "set": "Birch", "transmitter": "Birch, loan set 7", "distance": "2 m"},
    ),
    Sample(
        stem="field-day-cedar",
        url="practice://cedar?seed=423",
        started="2026-11-28T13:50:00+01:00",
        switch_ons=10,
        bench={
            "name": "Cedar on the field day",
            "set": "Cedar",
            "transmitter": "Cedar, loan set 11",
            "distance": "2 m",
        },
    ),
)
FIELD_DAY = ("field-day-alder", "field-day-birch", "field-day-cedar")
"""The club's bench travels to the flying field: which of its three sets is the quickest? Ten switch-ons of six."""
COMPARISON = FOLDER / "field-day.comparison.json"


def expected(stem: str) -> Path:
    return FOLDER / f"{stem}.findings.json"


def make(sample: Sample) -> None:
    session = FOLDER / f"{sample.stem}.t2h"
    make_session(sample, session)
    expected(sample.stem).write_text(document_text(findings_document(session)), encoding="utf-8")


def make_session(sample: Sample, out: Path) -> None:
    """Record a sample and lay it down row by row, so that the moments at which it was saved leave no trace."""
    with tempfile.TemporaryDirectory() as folder:
        recorded = Path(folder) / out.name
        if sample.parts:
            bench = {key: text for key, text in sample.bench.items() if key != NAME}
            name = sample.bench[NAME]
            record_mixed(sample.url, recorded, name=name, started=sample.started, parts=sample.parts, bench=bench)
        else:
            _record_flips(sample, recorded)
        save_copy(recorded, out, force=True)


def _record_flips(sample: Sample, out: Path) -> None:
    order = RecordOrder(
        probe=sample.url,
        test="switch-flip",
        out=out,
        settings=RunSettings(flips=sample.flips, switch_ons=sample.switch_ons),
        confirmed=tuple(line.value for line in offered_lines(Origin.PRACTICE)),
        bench=sample.bench,
        started=sample.started,
    )
    trouble = record(order, lambda _status: None).trouble
    if trouble is not None:
        raise trouble


def compared() -> str:
    """Return the field day's comparison as a document."""
    return document_text(document_of(compare_sessions([FOLDER / f"{stem}.t2h" for stem in FIELD_DAY], by_set=True)))


def wanted_samples(stems: list[str]) -> list[Sample]:
    """Return the samples of these stems, all of them where none is named."""
    return [sample for sample in SAMPLES if not stems or sample.stem in stems]


if __name__ == "__main__":
    for wanted in wanted_samples(sys.argv[1:]):
        make(wanted)
    COMPARISON.write_text(compared(), encoding="utf-8")
    sys.exit(0)
