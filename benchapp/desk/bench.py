"""A probe or the practice bench, opened for a window."""

import random
from contextlib import suppress

from benchapp.acquisition.hand_orders import STROKE_S
from benchapp.acquisition.recording import Recording
from benchapp.desk.probe_tests import as_tested
from benchapp.desk.seen_ports import remember_port
from benchapp.desk.software import recorder
from benchapp.probe.opening import follow_link, open_link, url_for_window
from benchapp.procedures.sweep.guide import SPEEDS
from benchapp.records.errors import DiskTrouble, PortGone
from benchapp.records.run import Origin

_LONGEST_WAIT_S = 15.0


def check_practice(url: str) -> None:
    """Raise WrongCall for a practice URL that is wrong, before a window is opened for it."""
    open_link(url).close()


def open_bench(url: str) -> Recording:
    """Return a recording whose threads run and whose probe has answered; close() ends it.

    Raises the BenchError that stood in the way: WrongCall for a URL, ProbeTrouble for a port.
    """
    whole = url_for_window(url, stroke_s=STROKE_S, speeds=SPEEDS)
    recording = Recording(follow_link(whole, pace="real"), software=recorder(), draw=random.random, describe=as_tested)
    recording.start()
    if not recording.wait_until_open(_LONGEST_WAIT_S):
        recording.close(longest_s=0.0)
        raise PortGone(
            f"{url} could not be opened within {_LONGEST_WAIT_S:g} s. Unplug the probe, plug it in and try once more."
        )
    if recording.failure is not None:
        recording.close()
        raise recording.failure
    if recording.status().origin is Origin.PROBE:
        with suppress(DiskTrouble):  # then the next time somebody is asked again
            remember_port(url)
    return recording
