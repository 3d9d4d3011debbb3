"""Sessions recorded flat out on the practice bench, for the pages that show findings."""

from pathlib import Path

from benchapp.desk.recording import RecordOrder, record
from benchapp.records.run import RunSettings


def made_session(path: Path, radio: str = "birch", *, flips: int = 60, options: str = "seed=3") -> Path:
    order = RecordOrder(
        probe=f"practice://{radio}?{options}",
        test="switch-flip",
        out=path,
        settings=RunSettings(flips=flips),
        confirmed=("practice",),
        bench={"name": f"{radio.title()}, as it came", "transmitter": radio.title()},
    )
    record(order, lambda status: None)
    return path


def made_stick_session(path: Path, test: str, radio: str = "birch", *, options: str = "seed=3", **told) -> Path:
    order = RecordOrder(
        probe=f"practice://{radio}?{options}",
        test=test,
        out=path,
        settings=RunSettings(**told),
        confirmed=("practice",),
        bench={"name": f"{radio.title()}, stick", "transmitter": radio.title()},
    )
    record(order, lambda status: None)
    return path
