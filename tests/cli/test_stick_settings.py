"""What the words of a call tell a stick test."""

import pytest

from benchapp.cli.arguments import parser
from benchapp.cli.run_settings import run_settings
from benchapp.records.errors import WrongCall
from benchapp.records.run import RunSettings


def told(test, *words):
    call = ["record", "--probe", "practice://alder", "--test", test, "--out", "a.t2h", *words]
    return run_settings(parser().parse_args(call))


@pytest.mark.parametrize(
    ("test", "words", "wanted"),
    [
        ("stick-sweep", (), RunSettings(cycles=3)),
        ("stick-sweep", ("--cycles", "5"), RunSettings(cycles=5)),
        ("stick-sweep", ("--seconds", "40"), RunSettings(seconds=40.0)),
        ("stick-sweep", ("--seconds", "40", "--cycles", "4"), RunSettings(seconds=40.0, cycles=4)),
        ("stick-sweep", ("--stops", "5"), RunSettings(cycles=3, stops_deg=(-30.0, -15.0, 0.0, 15.0, 30.0))),
        (
            "stick-sweep",
            ("--stops=-28,-10,0,11.5,28", "--stops-within", "0.25"),
            RunSettings(cycles=3, stops_deg=(-28.0, -10.0, 0.0, 11.5, 28.0), stop_half_width_deg=0.25),
        ),
        ("hold-still", (), RunSettings(seconds=20.0)),
        ("hold-still", ("--seconds", "5", "--positions", "3"), RunSettings(seconds=5.0, positions=3)),
        ("switch-flip", (), RunSettings(flips=60)),
        ("switch-flip", ("--target-ms", "1"), RunSettings(flips=2000, target_ms=1.0)),
        (
            "switch-flip",
            ("--correction=-1.5", "--correction-within", "0.2"),
            RunSettings(flips=60, correction_ms=-1.5, correction_within_ms=0.2),
        ),
        ("somersault", ("--cycles", "3"), RunSettings()),
    ],
)
def test_the_words_of_a_call_are_what_the_run_is_told(test, words, wanted):
    assert told(test, *words) == wanted


@pytest.mark.parametrize(
    ("test", "words", "named"),
    [
        ("stick-sweep", ("--flips", "3"), "--flips is for switch-flip, not for stick-sweep"),
        ("hold-still", ("--target-ms", "1"), "--target-ms is for switch-flip, not for hold-still"),
        ("switch-flip", ("--cycles", "3"), "--cycles is for stick-sweep, not for switch-flip"),
        ("hold-still", ("--stops", "5"), "--stops is for stick-sweep"),
        ("stick-sweep", ("--positions", "2"), "--positions is for hold-still"),
        ("stick-sweep", ("--stops", "7"), "5, 9, 11 or 21 stops, not 7"),
        ("stick-sweep", ("--stops-within", "0.2"), "without --stops"),
        ("stick-sweep", ("--stops=1,two,3"), "1,two,3"),
        ("stick-sweep", ("--stops=nan,1,2,3,4"), "nan"),
        ("hold-still", ("--correction", "1"), "--correction is for switch-flip, not for hold-still"),
        ("switch-flip", ("--correction", "2000"), "-1000 to 1000"),
        ("stick-sweep", ("--cycles", "0"), "1 to 1000"),
        ("stick-sweep", ("--stops-within", "-1"), "0 to 45"),
    ],
)
def test_an_option_that_says_nothing_to_the_test_is_refused(test, words, named):
    words = (words,) if isinstance(words, str) else words
    with pytest.raises(WrongCall) as caught:
        told(test, *words)
    assert named in caught.value.message
