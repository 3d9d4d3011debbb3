"""What a practice URL may say, and what a wrong one gets."""

import pytest

from benchapp.probe.opening import url_for_test
from benchapp.probe.practice.options import BenchOptions, Flips, NewOffset
from benchapp.probe.practice.radios import ALDER, BIRCH
from benchapp.probe.practice.url import Pace, parse_practice_url
from benchapp.records.errors import WrongCall
from benchapp.records.run import RunSettings


def test_a_bare_url_is_seed_0_random_flips_and_no_clock_error():
    asked = parse_practice_url("practice://alder")
    assert asked.options == BenchOptions(radio=ALDER)
    assert (asked.options.seed, asked.options.flips, asked.options.clock_ppm) == (0, Flips.RANDOM, 0.0)
    assert asked.pace is None


def test_every_key_is_taken():
    asked = parse_practice_url(
        "practice://Birch/?seed=7&flips=golden&pace=real&clock_ppm=-12.5&offset=0.25&jitter_us=1&noise_us=0&dropout=0.1"
        "&dead=0.2&glitch_per_s=3&bounce_ms=0&dwell_s=1.5&ramp_ms=400&step_us=100&reverse=1&invert=1&reset_s=9"
        "&unplug_s=10&damage=0.01&control=stick"
    )
    options = asked.options
    assert options.radio is BIRCH
    assert asked.pace is Pace.REAL
    assert (options.seed, options.clock_ppm, options.offset, options.new_offset) == (7, -12.5, 0.25, None)
    assert (options.dropout, options.dead, options.glitch_per_s, options.bounce_ms) == (0.1, 0.2, 3.0, 0.0)
    assert (options.dwell_s, options.ramp_ms, options.step_us, options.reverse, options.invert) == (
        1.5,
        400.0,
        100.0,
        True,
        True,
    )
    assert (options.reset_s, options.unplug_s, options.damage, options.control.value) == (9.0, 10.0, 0.01, "stick")


def test_an_offset_can_be_drawn_anew():
    assert parse_practice_url("practice://birch?offset=new").options.new_offset is NewOffset.SEED
    assert parse_practice_url("practice://birch?offset=each").options.new_offset is NewOffset.RADIO_AND_SEED


def test_an_unknown_key_is_named_with_those_that_are_known():
    with pytest.raises(WrongCall) as caught:
        parse_practice_url("practice://alder?seed=1&sead=2")
    assert "'sead'" in caught.value.message
    for known in ("seed", "flips", "pace", "clock_ppm", "offset"):
        assert known in caught.value.message
    assert caught.value.status == 2


def test_an_unknown_radio_is_named_with_those_there_are():
    with pytest.raises(WrongCall, match=r"alder, birch, cedar, got 'oak'"):
        parse_practice_url("practice://oak")


@pytest.mark.parametrize(
    ("query", "named"),
    [
        ("seed=-1", "seed"),
        ("seed=1e3", "seed"),
        ("seed=١٢", "seed"),
        ("seed=" + "9" * 500, "seed"),
        ("seed=", "seed"),
        ("seed", "seed"),
        ("seed=1&seed=2", "seed"),
        ("clock_ppm=nan", "clock_ppm"),
        ("clock_ppm=inf", "clock_ppm"),
        ("clock_ppm=5001", "clock_ppm"),
        ("flips=often", "random or golden or none"),
        ("pace=slow", "real or flat"),
        ("offset=1", "offset"),
        ("offset=old", "offset"),
        ("dropout=0.6", "dropout"),
        ("dead=2", "dead"),
        ("bounce_ms=50", "bounce_ms"),
        ("dwell_s=0", "dwell_s"),
        ("ramp_ms=5000", "ramp_ms"),
        ("reverse=yes", "reverse"),
        ("damage=1.5", "damage"),
        ("%3Cscript%3E=1", "<script>"),
        ("__class__=1", "__class__"),
    ],
)
def test_a_wrong_value_is_refused_and_the_message_names_it(query, named):
    with pytest.raises(WrongCall) as caught:
        parse_practice_url(f"practice://alder?{query}")
    assert named in caught.value.message


@pytest.mark.parametrize(
    "url",
    [
        "practice://",
        "practice:alder",
        "practice://alder/more",
        "practice://alder#part",
        "practice://alder:9",
        "practice://me@alder",
        "practice://[alder",
        "practice://alder?seed=1\n&flips=none",
        "practice://alder\u202e?seed=1",
        "practice://alder?seed=%0a",
        "practice://" + "a" * 10_000,
        "https://alder",
        "",
    ],
)
def test_a_hostile_url_gets_one_short_plain_line(url):
    with pytest.raises(WrongCall) as caught:
        parse_practice_url(url)
    assert len(caught.value.message) < 400
    assert caught.value.message.isprintable()
    assert caught.value.message.endswith(".")


def test_several_switch_ons_begin_with_an_offset_drawn_anew_unless_the_url_names_one():
    several, one = RunSettings(flips=9, switch_ons=3), RunSettings(flips=9, switch_ons=1)
    assert url_for_test("practice://birch", "switch-flip", several) == "practice://birch?offset=each"
    assert url_for_test("practice://birch?seed=4", "switch-flip", several) == "practice://birch?seed=4&offset=each"
    assert url_for_test("practice://birch?offset=0.5", "switch-flip", several) == "practice://birch?offset=0.5"
    for settings in (one, RunSettings(flips=9)):
        assert url_for_test("practice://birch?seed=4", "switch-flip", settings) == "practice://birch?seed=4"
    assert url_for_test("/dev/ttyUSB0", "switch-flip", several) == "/dev/ttyUSB0"
