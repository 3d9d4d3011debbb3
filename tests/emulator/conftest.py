"""What every test of the emulated board shares."""

from collections.abc import Iterator
from contextlib import ExitStack
from typing import Protocol

import pytest

from tests.emulator import build
from tests.emulator.emulated import ALL_WORKAROUNDS
from tests.emulator.truth import Probe


class NewProbe(Protocol):
    """Powers up a probe."""

    def __call__(self, *defines: str, seed: int = 1, workarounds: int = ALL_WORKAROUNDS) -> Probe: ...


@pytest.fixture(scope="session", autouse=True)
def _tools() -> None:
    build.need_tools()


@pytest.fixture
def new_probe() -> Iterator[NewProbe]:
    """Powers up probes whose program is built with these macros; they are let go at the end."""
    with ExitStack() as stack:

        def power_up(*defines: str, seed: int = 1, workarounds: int = ALL_WORKAROUNDS) -> Probe:
            probe = Probe(build.firmware(*defines), seed=seed, workarounds=workarounds)
            stack.callback(probe.close)
            return probe

        yield power_up


@pytest.fixture
def probe(new_probe: NewProbe) -> Probe:
    """A probe with the program as it is."""
    return new_probe()
