"""The bounded queue to a window."""

import numpy as np
import pytest

from benchapp.acquisition.feed import Feed, Missed
from benchapp.records.stream import Edges


def edges(number: int) -> Edges:
    nothing = np.zeros(1, np.uint8)
    return Edges(lead=0, times_ns=np.array([number], np.int64), levels=nothing, flags=nothing)


def test_what_is_pushed_comes_out_in_order():
    feed = Feed()
    for number in range(5):
        feed.push(edges(number))
    assert [int(item.times_ns[0]) for item in feed.drain()] == [0, 1, 2, 3, 4]
    assert feed.drain() == []


def test_a_full_feed_drops_the_oldest_and_says_how_many():
    feed = Feed(limit=3)
    for number in range(10):
        feed.push(edges(number))
    missed, *kept = feed.drain()
    assert missed == Missed(items=7)
    assert [int(item.times_ns[0]) for item in kept] == [7, 8, 9]


def test_a_loss_is_told_once():
    feed = Feed(limit=1)
    feed.push(edges(0))
    feed.push(edges(1))
    assert len(feed.drain()) == 2
    feed.push(edges(2))
    assert len(feed.drain()) == 1


def test_an_empty_feed_has_no_first_item():
    with pytest.raises(IndexError):
        Feed().popleft()
