"""The options of the call that belong to one named test, and what the test is told by them."""

import argparse
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from benchapp.records.named_tests import Parts
from benchapp.records.run import RunSettings


def _none(_parser: argparse.ArgumentParser) -> None:
    """Add nothing."""


@dataclass(frozen=True, kw_only=True, slots=True)
class CallOptions:
    """One test's options: fill adds them to `record`, fill_import to `import`; options tells them by their names.

    settings : returns what the run is told; raises WrongCall for what makes no sense
    """

    fill: Callable[[argparse.ArgumentParser], None]
    options: Mapping[str, str]
    settings: Callable[[argparse.Namespace], RunSettings]
    fill_import: Callable[[argparse.ArgumentParser], None] = _none


CALLS: Parts[CallOptions] = Parts("benchapp.cli.{}_options")
"""A test that has none is told how long it lasts."""
