"""Make the sample sessions anew: `python -m tests.whole.make_samples`.

The scenario is our own: a school gliding club readies its loan fleet. All of it is practised, and says so.
"""

import sys
from dataclasses import dataclass
from pathlib import Path

from benchapp.cli.main import main
from benchapp.desk.findings import findings_document
from benchapp.report.findings_json import document_text

FOLDER = Path(__file__).parents[2] / "sample_sessions"


@dataclass(frozen=True, kw_only=True, slots=True)
class Sample:
    stem: str
    url: str
    flips: int
    bench: dict[str, str]


SAMPLES = (
    Sample(
        stem="alder-two-seater",
        url="practice://alder?seed=411",
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
        flips=61,
        bench={"name": "Cedar at the far corner of the hangar", "distance": "60 m", "other_sets": "two"},
    ),
)


def expected(stem: str) -> Path:
    return FOLDER / f"{stem}.findings.json"


def make(sample: Sample) -> None:
    bench = FOLDER / f"{sample.stem}.toml"
    bench.write_text("".join(f'{key} = "{text}"\n' for key, text in sample.bench.items()), encoding="utf-8")
    session = FOLDER / f"{sample.stem}.t2h"
    call = ["record", "--probe", sample.url, "--test", "switch-flip", "--flips", str(sample.flips), "--yes-safe"]
    status = main([*call, "--bench", str(bench), "--out", str(session), "--force"])
    bench.unlink()
    if status:
        raise SystemExit(status)
    expected(sample.stem).write_text(document_text(findings_document(session)), encoding="utf-8")


if __name__ == "__main__":
    for wanted in SAMPLES:
        make(wanted)
    sys.exit(0)
