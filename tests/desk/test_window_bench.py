"""The practice bench in a window has a switch and a stick, whatever URL opens it."""

import re
from pathlib import Path

import pytest

from benchapp.acquisition.clipping import leads_by_role
from benchapp.acquisition.hand_orders import practice_url
from benchapp.desk.bench import open_bench
from benchapp.probe.opening import url_for_window
from benchapp.probe.practice.options import Flips
from benchapp.probe.practice.url import parse_practice_url
from benchapp.records.errors import WrongCall
from benchapp.records.named_tests import names_of_tests

START = Path(__file__).parents[2] / "resources" / "start.sh"


def first_command_url():
    """Return the URL the program is opened with by the first command of the README."""
    text = START.read_text()
    bench = re.search(r"^bench='(.+)'$", text, re.M)[1]
    opened = re.search(r'^"\$environment/bin/benchapp" "(\S+)" \|\|', text, re.M)[1]
    return opened.replace("${bench}", bench)


def window_url(url):
    return url_for_window(url, stroke_s=5.0, speeds=(0.7, 1.0, 1.4))


@pytest.mark.parametrize("url", [first_command_url(), "practice://cedar", practice_url("birch")])
def test_every_test_can_be_started_on_the_practice_bench_of_a_window(url):
    recording = open_bench(url)
    try:
        status = recording.status()
        labels = {lead.label for lead in status.leads}
        assert {"flip", "stick hand", "stick place", "radio power"} <= labels
        for test in names_of_tests():
            assert leads_by_role(dict(status.roles), status.leads, test=test, by_stops=False)
    finally:
        recording.close()


def test_a_url_keeps_what_it_names_and_its_flips():
    named = parse_practice_url(window_url("practice://alder?seed=7&speeds=2&noise_us=3")).options
    assert (named.seed, named.speeds, named.noise_us, named.flips) == (7, (2.0,), 3.0, Flips.RANDOM)
    assert parse_practice_url(window_url("practice://alder?flips=none")).options.flips is Flips.NONE


@pytest.mark.parametrize("url", ["/dev/ttyACM0", "practice://alder?control=stick", practice_url("alder")])
def test_a_port_a_flicked_stick_and_a_url_with_a_stick_stay_as_they_are(url):
    assert window_url(url) == url


def test_a_wrong_url_says_what_is_wrong():
    with pytest.raises(WrongCall, match="seed"):
        window_url("practice://alder?seed=x")
