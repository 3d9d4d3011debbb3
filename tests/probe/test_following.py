"""The same probe is found again after it was plugged in anew, and no stranger is opened instead."""

import pytest

from benchapp.probe.backends.port_list import PortFacts
from benchapp.probe.following import PortFollower
from benchapp.probe.opening import follow_link
from benchapp.records.errors import WrongCall


def facts(name: str, *, serial: str | None = None, usb: str | None = "1234:00ab") -> PortFacts:
    return PortFacts(name=name, words="", serial_number=serial, usb_id=usb, known=False)


def follow(port: str, *lists: list[PortFacts]) -> list[str]:
    """The names that are opened while the ports are listed so."""
    here = iter(lists)
    opened: list[str] = []
    follower = PortFollower(port, open_port=opened.append, list_ports=lambda: next(here))
    for _ in lists:
        follower()
    return opened


def test_a_device_with_a_serial_number_is_followed_to_any_name():
    other = facts("b", serial="S2")
    assert follow("a", [facts("a", serial="S1"), other], [facts("c", serial="S1"), other]) == ["a", "c"]


def test_its_old_name_is_not_opened_when_another_device_has_it():
    assert follow("a", [facts("a", serial="S1")], [facts("a", serial="S2"), facts("b", serial="S1")]) == ["a", "b"]


def test_a_device_without_a_serial_number_is_followed_to_the_one_new_port_of_its_make():
    other = facts("b")
    assert follow("a", [facts("a"), other], [facts("a"), other], [other, facts("c")]) == ["a", "a", "c"]


@pytest.mark.parametrize(
    "later",
    [
        [],
        [facts("b")],
        [facts("b"), facts("c"), facts("d")],
        [facts("b"), facts("e", usb="9999:0001")],
        [facts("b"), facts("e", usb=None)],
    ],
)
def test_where_it_cannot_be_told_its_own_name_is_tried_and_nothing_else(later):
    assert follow("a", [facts("a"), facts("b")], later) == ["a", "a"]


def test_a_port_that_is_not_listed_keeps_its_name():
    assert follow("/dev/pts/9", [], [facts("b")], []) == ["/dev/pts/9"] * 3


def test_a_first_opening_that_fails_is_tried_under_the_same_name_again():
    names: list[str] = []

    def refuse_once(name):
        names.append(name)
        if len(names) == 1:
            raise WrongCall("no")

    follower = PortFollower("a", open_port=refuse_once, list_ports=list)
    with pytest.raises(WrongCall):
        follower()
    follower()
    assert names == ["a", "a"]


def test_a_practice_bench_is_opened_anew_each_time():
    again = follow_link("practice://alder?seed=1")
    first, second = again(), again()
    assert first is not second
    first.close()
    second.close()
