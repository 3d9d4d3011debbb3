"""Sessions recorded flat out on the practice bench, for the pages that show findings.

Each is recorded once a process, and copied from then on: the practice bench gives the same session every time.
"""

import tempfile
from dataclasses import replace
from pathlib import Path

from benchapp.desk.recording import RecordOrder, record
from benchapp.records.run import RunSettings

_recorded: dict[str, bytes] = {}


def made_session(path: Path, radio: str = "birch", *, flips: int = 60, options: str = "seed=3") -> Path:
    order = RecordOrder(
        probe=f"practice://{radio}?{options}",
        test="switch-flip",
        out=path,
        settings=RunSettings(flips=flips),
        confirmed=("practice",),
        bench={"name": f"{radio.title()}, as it came", "transmitter": radio.title()},
    )
    return _made(order)


def made_stick_session(path: Path, test: str, radio: str = "birch", *, options: str = "seed=3", **told) -> Path:
    order = RecordOrder(
        probe=f"practice://{radio}?{options}",
        test=test,
        out=path,
        settings=RunSettings(**told),
        confirmed=("practice",),
        bench={"name": f"{radio.title()}, stick", "transmitter": radio.title()},
    )
    return _made(order)


def _made(order: RecordOrder) -> Path:
    with tempfile.TemporaryDirectory() as folder:
        once = replace(order, out=Path(folder) / "a.t2h")
        key = repr(replace(order, out=Path("a.t2h")))
        if key not in _recorded:
            record(once, lambda status: None)
            _recorded[key] = once.out.read_bytes()
    order.out.write_bytes(_recorded[key])
    return order.out
