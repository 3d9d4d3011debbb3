"""What a recorded run is told by the call."""

import argparse

from benchapp.cli.call_options import CALLS
from benchapp.records.errors import WrongCall
from benchapp.records.named_tests import names_of_tests
from benchapp.records.run import RunSettings


def run_settings(asked: argparse.Namespace) -> RunSettings:
    """Return what the run is told. Raises WrongCall for an option that says nothing to its test."""
    if asked.test not in names_of_tests():  # the desk refuses a test that is none, in its own words
        return RunSettings()
    own = CALLS.find(asked.test)
    owned = own.options if own is not None else {}
    for options in CALLS.all():
        for name, option in options.options.items():
            if getattr(asked, name) is not None and name not in owned:
                tests = " and ".join(test for test, part in CALLS.named() if name in part.options)
                raise WrongCall(f"{option} is for {tests}, not for {asked.test}. Leave it out.")
    return RunSettings(seconds=asked.seconds) if own is None else own.settings(asked)
