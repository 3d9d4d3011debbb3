"""What is said when something went wrong."""

import pytest

from benchapp.cli.printing import say_error
from benchapp.desk.names import shown
from benchapp.presentation.ground.messages import CATALOGUE, message_for
from benchapp.presentation.screens.lasting import lasting_message
from benchapp.records import errors
from benchapp.records.errors import BenchError, DiskTrouble, PortBusy, WrongInput


def every_error_class() -> list[type[BenchError]]:
    return [
        kind
        for kind in vars(errors).values()
        if isinstance(kind, type) and issubclass(kind, BenchError) and kind is not BenchError
    ]


@pytest.mark.parametrize("kind", every_error_class())
def test_every_error_has_a_title_what_was_kept_what_to_do_and_details(kind: type[BenchError]) -> None:
    message = message_for(kind("wanted a, got b"))
    assert message.title == CATALOGUE[kind].title
    assert message.kept
    assert message.do.endswith(".")
    assert message.details == "wanted a, got b"


def test_no_two_errors_share_a_title() -> None:
    titles = [entry.title for entry in CATALOGUE.values()]
    assert len(set(titles)) == len(titles)


def test_what_the_error_says_was_kept_comes_first() -> None:
    assert message_for(PortBusy("busy", kept="212 records kept")).kept == "212 records kept"


def test_an_error_of_a_newer_class_speaks_with_the_words_of_its_nearest_kin() -> None:
    class OddCapture(WrongInput):
        pass

    assert message_for(OddCapture("x")).title == CATALOGUE[WrongInput].title


def test_the_unexpected_keeps_its_name_for_a_bug_report() -> None:
    message = message_for(ZeroDivisionError("division by zero"))
    assert message.details == "ZeroDivisionError: division by zero"
    assert "not expect" in message.title
    assert "division" not in message.title


def test_a_memory_that_did_not_suffice_is_said_as_that() -> None:
    message = message_for(MemoryError())
    assert message.title == CATALOGUE[errors.OutOfMemory].title
    assert "shorter session" in message.do


def test_hostile_details_are_one_clipped_line() -> None:
    details = message_for(WrongInput("a\nb\u202e" + "x" * 10_000)).details
    assert "\n" not in details
    assert "\u202e" not in details
    assert len(details) <= 600


@pytest.mark.parametrize("trouble", [kind.__name__ for kind in CATALOGUE] + ["", "something new"])
def test_a_lasting_trouble_has_all_four_parts(trouble: str) -> None:
    message = lasting_message("The probe went away.", kept="", trouble=trouble)
    assert message.title
    assert message.kept
    assert message.do
    assert message.details == "The probe went away."
    assert lasting_message("x", kept="212 records kept.", trouble=trouble).kept == "212 records kept."


def test_a_lost_probe_is_never_said_to_have_recorded_nothing() -> None:
    assert "Nothing" not in lasting_message("gone", kept="", trouble="PortGone").kept


def test_a_full_disk_says_so_in_its_title() -> None:
    assert lasting_message("full", kept="", trouble="DiskTrouble").title == CATALOGUE[DiskTrouble].title


def test_a_sign_that_cannot_be_seen_is_written_as_its_code_on_screen_and_in_the_terminal_alike(capsys):
    error = WrongInput("The lead 'a\x1b[2J\u202eb' is none of this file's.\nTry again.")
    say_error(error)
    printed = capsys.readouterr().err
    assert message_for(error).details == "The lead 'a\\x1b[2J\\u202eb' is none of this file's. Try again."
    assert message_for(error).details in printed
    lasting = lasting_message(error.message, kept="", trouble="WrongInput")
    assert lasting.details == message_for(error).details
    assert shown("a\x1b[2J\u202eb") == "'a\\x1b[2J\\u202eb'"
