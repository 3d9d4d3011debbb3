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
