"""A named test whole: every room's part of it in one record, and the one way to add a test that is not shipped."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from benchapp.presentation.ground.card import CardWords
from benchapp.presentation.ground.shown_test import ShownTest
from benchapp.presentation.shown import CARDS, SHOWN
from benchapp.probe.opening import MOTIONS
from benchapp.procedures.ground.run_part import RunPart
from benchapp.procedures.named import RUNS
from benchapp.records.named_tests import NamedTest, Parts, enter_test, leave_test, named_test
from benchapp.records.run import RunSettings
from benchapp.reduction.comparing.set_parts import COMPARED
from benchapp.reduction.ground.compared_test import ComparedTest
from benchapp.reduction.ground.recipe import Recipe
from benchapp.reduction.recipes import RECIPES
from benchapp.report.filed_test import FILED, FiledTest


@dataclass(frozen=True, kw_only=True, slots=True)
class WholeTest:
    """What a test is: its name and needs, how it is run and reduced, what it shows and leaves in files.

    motion : what the practice bench does for it, None where it does as ever
    compared : what sets are compared by, None where its runs are left out of comparisons
    Its options are those of
    `cli.call_options` and `ui.screens.tests_page.test_options`; without any it is asked how long it lasts.
    """

    test: NamedTest
    run: RunPart
    recipe: Recipe
    shown: ShownTest[Any]
    filed: FiledTest[Any]
    card: CardWords
    motion: Callable[[str, RunSettings], str] | None = None
    compared: ComparedTest | None = None


_ROOMS: tuple[tuple[Parts[Any], str], ...] = (
    (RUNS, "run"),
    (RECIPES, "recipe"),
    (SHOWN, "shown"),
    (FILED, "filed"),
    (CARDS, "card"),
    (MOTIONS, "motion"),
    (COMPARED, "compared"),
)


def whole_test(name: str) -> WholeTest:
    """Return every part of a test. Raises WrongCall for one this version does not know."""
    return WholeTest(
        test=named_test(name),
        run=RUNS.of(name),
        recipe=RECIPES.of(name),
        shown=SHOWN.of(name),
        filed=FILED.of(name),
        card=CARDS.of(name),
        motion=MOTIONS.find(name),
        compared=COMPARED.find(name),
    )


def register(whole: WholeTest) -> None:
    """Add a test: from now on it is offered, run, reduced, shown and filed like those that are shipped.

    Raises WrongCall where another test has its name.
    """
    enter_test(whole.test)
    for room, part in _ROOMS:
        if getattr(whole, part) is not None:
            room.enter(whole.test.name, getattr(whole, part))


def unregister(name: str) -> None:
    """Take a test out again that was registered; a shipped one stays."""
    if named_test(name).folder:
        return
    leave_test(name)
    for room, _ in _ROOMS:
        room.leave(name)
