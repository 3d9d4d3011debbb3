"""Volts turned into edges."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchapp.records.errors import WrongCall
from benchapp.sessions.exchange.csv_columns import read_csv
from benchapp.sessions.exchange.thresholds import Threshold, crossings, threshold_named, thresholded
from benchapp.sessions.exchange.vcd import read_vcd
from tests.sessions.exchange_reading import edges_of


def crossed(times, volts, level, band=0.0):
    (stamps, after), first = crossings(
        np.array(times, dtype=np.int64), np.array(volts, dtype=np.float64), Threshold(volts=level, hysteresis_v=band)
    )
    return list(zip(stamps.tolist(), after.tolist(), strict=True)), first


def test_a_straight_rise_is_stamped_where_the_line_passes_the_level():
    assert crossed([0, 1000, 2000, 3000], [0.0, 0.0, 4.0, 0.0], 1.0) == ([(1250, 1), (2750, 0)], 0)


def test_the_first_state_is_no_edge():
    assert crossed([0, 10], [3.0, 3.0], 1.0) == ([], 1)


def test_a_sample_on_the_level_counts_as_high():
    assert crossed([0, 10, 20], [0.0, 1.0, 2.0], 1.0) == ([(10, 1)], 0)


def test_noise_inside_the_band_makes_no_edges():
    volts = [0.0, 0.9, 1.1, 0.9, 1.1, 2.0, 1.1, 0.9, 1.1, 0.0]
    times = [100 * place for place in range(len(volts))]
    assert len(crossed(times, volts, 1.0)[0]) == 6
    assert crossed(times, volts, 1.0, band=1.0) == ([(350, 1), (809, 0)], 0)


def test_a_rise_and_a_fall_are_stamped_at_the_same_level_whatever_the_band():
    times = np.arange(0, 4001, 10) * 1000
    volts = 2.5 - 2.5 * np.cos(2 * np.pi * times / 1_000_000)
    for band in (0.0, 0.5, 3.0):
        stamps, first = crossed(times, volts, 2.5, band)
        assert first == 0
        assert [stamp for stamp, _ in stamps] == pytest.approx([250_000 * k for k in range(1, 16, 2)], abs=1)
        assert [after for _, after in stamps] == [1, 0] * 4


@settings(max_examples=200, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 50), st.integers(-8, 8)), min_size=1, max_size=60),
    st.integers(-3, 3),
    st.integers(0, 4),
)
def test_edges_alternate_and_lie_where_a_walk_along_the_samples_finds_them(steps, level, half):
    times = np.cumsum([step for step, _ in steps])
    volts = [float(volt) for _, volt in steps]
    expected, state, passed = [], None, 0.0
    for place, volt in enumerate(volts):
        if place and (volts[place - 1] >= level) != (volt >= level):
            part = (level - volts[place - 1]) / (volt - volts[place - 1])
            passed = times[place - 1] + round(part * int(times[place] - times[place - 1]))
        now = 1 if volt >= level + half else 0 if (volt <= level - half if half else volt < level) else state
        if state is not None and now != state:
            expected.append((int(passed), now))
        state = now
    assert crossed(times, volts, float(level), 2.0 * half)[0] == expected


def test_a_csv_lead_can_be_switched_by_its_volts():
    text = b"time_s,out,raw\n0,0.0,0\n0.001,0.0,1\n0.002,3.3,0\n0.003,3.3,1\n"
    capture = read_csv(text, file="t.csv", thresholds={"out": Threshold(volts=1.65), "raw": Threshold(volts=0.5)})
    assert edges_of(capture.leads[0]) == [(1_500_000, 1)]
    assert edges_of(capture.leads[1]) == [(500_000, 1), (1_500_000, 0), (2_500_000, 1)]
    assert capture.leads[0].levels is None


def test_a_vcd_real_can_be_switched_and_no_edge_bridges_its_gap():
    text = (
        b"$timescale 1 us $end $var real 64 v out $end $enddefinitions $end\n"
        b"#0\nr0 v\n#2\nr2 v\n#4\nrnan v\n#6\nr0 v\n#8\nr4 v\n"
    )
    lead = thresholded(read_vcd(text, file="t.vcd"), {"out": Threshold(volts=1.0)}).leads[0]
    assert edges_of(lead) == [(1000, 1), (6500, 1)]
    assert [(gap.from_ns, gap.to_ns) for gap in lead.gaps] == [(4000, 6000)]


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("out=1.65", ("out", Threshold(volts=1.65))),
        ("a=b=-1,0.5", ("a=b", Threshold(volts=-1.0, hysteresis_v=0.5))),
        ("out= 2 , 1e-1", ("out", Threshold(volts=2.0, hysteresis_v=0.1))),
    ],
)
def test_a_threshold_is_typed_as_name_volts_and_band(text, named):
    assert threshold_named(text) == named


@pytest.mark.parametrize(
    "text", ["out", "out=", "=1", "out=x", "out=1,2,3", "out=1,-1", "out=nan", "out=1,", "out=\ud800"]
)
def test_a_threshold_that_is_none_is_a_wrong_call(text):
    with pytest.raises(WrongCall, match="LEAD=VOLTS"):
        threshold_named(text)


@pytest.mark.parametrize(("name", "words"), [("other", "no lead called 'other'"), ("sw", "on-off lead already")])
def test_a_threshold_for_a_lead_that_has_no_volts_is_a_wrong_call(name, words):
    text = b"$timescale 1 us $end $var wire 1 ! sw $end $enddefinitions $end\n#0\n0!\n"
    with pytest.raises(WrongCall, match=words):
        thresholded(read_vcd(text, file="t.vcd"), {name: Threshold(volts=1.0)})
