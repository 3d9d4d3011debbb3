"""Make the sample sessions anew: `python -m tests.whole.make_samples [STEM …]`.

The scenario is our own: a school gliding club readies its loan fleet. All of it is practised, and says so.
The same program makes the same files, byte for byte: nothing in them is told by the clock or the load of a computer.
"""

import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from benchapp.desk.bench_file import NAME
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
)


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
        settings=RunSettings(flips=sample.flips),
        confirmed=tuple(line.value for line in offered_lines(Origin.PRACTICE)),
        bench=sample.bench,
        started=sample.started,
    )
    trouble = record(order, lambda _status: None).trouble
    if trouble is not None:
        raise trouble


def wanted_samples(stems: list[str]) -> list[Sample]:
    """Return the samples of these stems, all of them where none is named."""
    return [sample for sample in SAMPLES if not stems or sample.stem in stems]


if __name__ == "__main__":
    for wanted in wanted_samples(sys.argv[1:]):
        make(wanted)
    sys.exit(0)
