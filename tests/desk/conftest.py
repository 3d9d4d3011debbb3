"""One recorded session for every test of the desk."""

from pathlib import Path

import pytest

from benchapp.desk.recording import RecordOrder, record
from benchapp.records.run import RunSettings


@pytest.fixture(scope="session")
def session(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("session") / "bench.t2h"
    record(
        RecordOrder(
            probe="practice://alder?seed=21",
            test="switch-flip",
            out=path,
            settings=RunSettings(flips=22),
            confirmed=("practice",),
            bench={"name": "A bench", "transmitter": "Alder"},
        ),
        lambda status: None,
    )
    return path
