"""Column codes against a painter that looks at every edge of every column."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchapp.waveforms.columns import (
    BOTH,
    EMPTY,
    HIGH,
    LOW,
    MISSING,
    ColumnSpan,
    LaneInk,
    columns_ending_at,
    edge_codes,
    level_extents,
    paint_codes,
    paint_extents,
)

INK = LaneInk(line=1, fill=2, ground=3, missing=4)
EVER = 1 << 60


def naive_code(edges, column_from_ns, column_to_ns):
    """Walk the edges one by one: what does this column show?"""
    if not edges:
        return EMPTY
    level = 1 - edges[0][1]
    for time_ns, after in edges:
        if column_from_ns <= time_ns < column_to_ns:
            return BOTH
        if time_ns < column_from_ns:
            level = after
    return HIGH if level else LOW


def alternating(times_ns, first_level):
    return [(t, (first_level + i) % 2) for i, t in enumerate(sorted(times_ns))]


def arrays(edges):
    return (
        np.array([t for t, _ in edges], dtype=np.int64),
        np.array([level for _, level in edges], dtype=np.uint8),
    )


edge_lists = st.builds(alternating, st.lists(st.integers(-300, 1500), max_size=60), st.integers(0, 1))
spans = st.builds(ColumnSpan, first=st.integers(-40, 40), count=st.integers(1, 40), column_ns=st.integers(1, 60))


@given(edges=edge_lists, span=spans)
def test_every_column_is_what_a_naive_painter_paints(edges, span):
    codes = edge_codes(*arrays(edges), span, known_from_ns=-EVER, known_to_ns=EVER)
    bounds = span.bounds_ns()
    assert codes.tolist() == [naive_code(edges, bounds[i], bounds[i + 1]) for i in range(span.count)]


@given(edges=edge_lists, span=spans, step=st.integers(0, 30))
def test_a_column_shows_the_same_after_the_picture_scrolled(edges, span, step):
    later = ColumnSpan(first=span.first + step, count=span.count, column_ns=span.column_ns)
    whole = ColumnSpan(first=span.first, count=span.count + step, column_ns=span.column_ns)
    scrolled = edge_codes(*arrays(edges), later, known_from_ns=-EVER, known_to_ns=EVER)
    assert scrolled.tolist() == edge_codes(*arrays(edges), whole, known_from_ns=-EVER, known_to_ns=EVER)[step:].tolist()


@given(times=st.lists(st.integers(0, 1000), min_size=2, max_size=60), span=spans)
def test_no_edge_in_view_goes_undrawn(times, span):
    edges = alternating(times, 1)
    codes = edge_codes(*arrays(edges), span, known_from_ns=-EVER, known_to_ns=EVER)
    for time_ns, _ in edges:
        column = time_ns // span.column_ns - span.first
        if 0 <= column < span.count:
            assert codes[column] == BOTH


def test_columns_before_recording_and_after_the_newest_record_are_empty():
    times, levels = arrays([(250, 1), (450, 0)])
    span = ColumnSpan(first=0, count=8, column_ns=100)
    codes = edge_codes(times, levels, span, known_from_ns=100, known_to_ns=550)
    assert codes.tolist() == [EMPTY, LOW, BOTH, HIGH, BOTH, LOW, EMPTY, EMPTY]


def test_a_gap_marks_every_column_it_touches_and_no_other():
    times, levels = arrays([(50, 1)])
    span = ColumnSpan(first=0, count=5, column_ns=100)
    codes = edge_codes(times, levels, span, known_from_ns=0, known_to_ns=EVER, gaps_ns=[(150, 300)])
    assert codes.tolist() == [BOTH, MISSING, MISSING, MISSING, HIGH]


def test_a_lead_without_edges_shows_nothing():
    span = ColumnSpan(first=0, count=3, column_ns=10)
    assert edge_codes(*arrays([]), span, known_from_ns=-EVER, known_to_ns=EVER).tolist() == [EMPTY] * 3


@given(
    now_ns=st.integers(-(10**12), 10**12),
    window_ns=st.integers(1, 10**11),
    count=st.integers(1, 4000),
)
def test_the_view_ends_with_the_column_of_now_and_covers_the_window(now_ns, window_ns, count):
    span = columns_ending_at(now_ns, window_ns=window_ns, count=count)
    assert span.to_ns - span.column_ns <= now_ns < span.to_ns
    assert window_ns <= span.count * span.column_ns < window_ns + count


@pytest.mark.parametrize(("window_ns", "count"), [(0, 10), (10, 0)])
def test_a_view_of_nothing_is_refused(window_ns, count):
    with pytest.raises(ValueError, match="at least one column"):
        columns_ending_at(0, window_ns=window_ns, count=count)


samples = st.lists(st.tuples(st.integers(-300, 1500), st.floats(-5, 5)), max_size=50).map(sorted)


@given(samples=samples, span=spans)
def test_a_voltage_column_spans_its_samples_and_the_last_one_before_it(samples, span):
    times = np.array([t for t, _ in samples], dtype=np.int64)
    values = np.array([v for _, v in samples], dtype=np.float64)
    low, high = level_extents(times, values, span)
    bounds = span.bounds_ns()
    for i in range(span.count):
        inside = [v for t, v in samples if bounds[i] <= t < bounds[i + 1]]
        earlier = [v for t, v in samples if t < bounds[i]]
        drawn = inside + earlier[-1:]
        if not drawn or not samples or samples[-1][0] < bounds[i]:
            assert np.isnan(low[i])
            assert np.isnan(high[i])
        else:
            assert (low[i], high[i]) == (min(drawn), max(drawn))


def test_high_is_drawn_at_the_top_low_at_the_bottom_and_a_change_from_top_to_bottom():
    pixels = np.zeros((4, 5), dtype=np.uint32)
    paint_codes(pixels, np.array([EMPTY, LOW, HIGH, BOTH, MISSING], dtype=np.uint8), INK)
    assert pixels.T.tolist() == [[3, 3, 3, 3], [3, 3, 3, 1], [1, 2, 2, 2], [1, 1, 1, 1], [4, 4, 4, 4]]


def test_a_voltage_is_drawn_between_its_limits_and_never_outside_the_lane():
    pixels = np.zeros((5, 4), dtype=np.uint32)
    low = np.array([0.0, 4.0, -99.0, np.nan])
    high = np.array([0.0, 4.0, 99.0, np.nan])
    paint_extents(pixels, low, high, INK, lowest=0.0, highest=4.0)
    assert pixels.T.tolist() == [[3, 3, 3, 3, 1], [1, 3, 3, 3, 3], [1, 1, 1, 1, 1], [3, 3, 3, 3, 3]]


def test_one_column_of_one_nanosecond_is_the_least_there_can_be():
    assert columns_ending_at(5, window_ns=1, count=1) == ColumnSpan(first=5, count=1, column_ns=1)
    for window_ns, count in ((0, 1), (1, 0)):
        with pytest.raises(ValueError, match="at least one column"):
            columns_ending_at(5, window_ns=window_ns, count=count)
