"""A named test that no product file knows: it counts the servo pulses of a while. Everything of it stands here."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from benchapp.desk.named_tests import WholeTest
from benchapp.presentation.ground.card import CardWords
from benchapp.presentation.ground.page import Cell, Column, Definition, Heading, KeyFigure, Table
from benchapp.presentation.ground.shown_test import ShownTest
from benchapp.presentation.ground.terminal import text_row
from benchapp.procedures.ground.conclusions import FigureRequest, RunFigures
from benchapp.procedures.ground.moments import Moment, Seen
from benchapp.procedures.ground.open_run import OpenRun
from benchapp.procedures.ground.output_watch import OutputWatch
from benchapp.procedures.ground.parts import TestParts
from benchapp.procedures.ground.place_watch import LAG_NS
from benchapp.procedures.ground.procedure import Procedure
from benchapp.procedures.ground.progress import Prompt, StopReason
from benchapp.procedures.ground.run_part import RunPart
from benchapp.procedures.ground.table import table_of
from benchapp.records.errors import WrongCall
from benchapp.records.findings import RunFindings
from benchapp.records.named_tests import NamedTest
from benchapp.records.results import Result
from benchapp.reduction.ground.output_pulses import frame_of, output_pulses, shared_flags
from benchapp.reduction.ground.recipe import Recipe
from benchapp.reduction.recipes import reduce_run
from benchapp.report.csv_cells import number_text
from benchapp.report.filed_test import CsvTable, FiledTest

NAME = "pulse-count"


@dataclass(frozen=True, kw_only=True, slots=True)
class PulseCount(Result):
    """How many servo pulses came, and how many a second, over so many seconds of each stretch of one second."""

    pulses: int
    seconds: float
    each_second: tuple[int, ...]

    @property
    def rate_hz(self) -> float:
        return self.pulses / self.seconds


class CountState(StrEnum):
    COUNTING = "counting"


TABLE = table_of({}, {CountState.COUNTING: Prompt.TOUCH_NOTHING}, ready=CountState.COUNTING)


def up_to(stop_ns):
    return FigureRequest(stop_ns=stop_ns, pauses=())


class Counting:
    """What the test makes of its run: it counts the pulses that were seen, until its time is over."""

    def __init__(self, run, helper):
        self.run, self.pulses = run, 0
        self.figures = RunFigures(run, helper, reduce_run, up_to, before=None, roles=["output"])

    def count(self, record):
        self.pulses += len(self.run.signal.fresh)
        self.run.signal.fresh = []

    def means(self, moment):
        return (moment,)

    def entered(self, moment, before):
        return ()

    def timers(self):
        over_ns = self.run.plan.start_ns + round(self.run.plan.settings.seconds * 1e9)
        return [Moment(at_ns=over_ns, seen=Seen.TIME_OVER)]

    def tell(self, progress):
        return replace(progress, counts=self.pulses)


def begin(plan, draw, helper=None):
    run = OpenRun(plan, ending=StopReason.TIME_OVER)
    course = Counting(run, helper)
    parts = TestParts(
        table=TABLE,
        lag_ns=LAG_NS,
        watchers=(OutputWatch(run),),
        course=course,
        figures=course.figures,
        keepers=(course.count,),
    )
    return Procedure(run, parts)


def need_seconds(settings):
    if settings.seconds is None:
        raise WrongCall("Counting needs an end: say --seconds.")


def reduce_count(evidence):
    output = output_pulses(evidence)
    leading = output.pulses.leading_ns
    seconds = (evidence.stop_ns - evidence.start_ns) / 1e9
    each = [int(((leading - evidence.start_ns) // 1_000_000_000 == second).sum()) for second in range(int(seconds))]
    return RunFindings(
        run=evidence.run,
        test=evidence.test,
        control="",
        outcome=evidence.outcome,
        flags=tuple(shared_flags(evidence, output)),
        notes=(),
        frame=frame_of(output),
        clock=output.clock,
        result=PulseCount(pulses=output.pulses.count, seconds=seconds, each_second=tuple(each)),
    )


class Shown(ShownTest[PulseCount]):
    definitions: Mapping[str, Definition] = {
        "count": Definition(word="Pulse count", meaning="Servo pulses that began and ended in the run.")
    }

    def verdict(self, run, found):
        return f"In {found.seconds:.0f} s the output gave {found.pulses} servo pulses."

    def meaning(self, run, found, others):
        return (f"That is one every {1000 / found.rate_hz:.1f} ms.",) if found.pulses else ()

    def figure(self, run, found, *, key, practice):
        figure = KeyFigure(label="Counted", value=str(found.pulses), unit="pulses", spread="exactly", lines=())
        return (Heading(text="The figure", key=f"{key}figure"), figure)

    def tables(self, run, found, others, *, key):
        columns = (Column(title="Second", unit="no.", numeric=True), Column(title="Pulses", unit="count", numeric=True))
        rows = tuple((Cell(text=str(n)), Cell(text=str(count))) for n, count in enumerate(found.each_second, start=1))
        table = Table(key=f"{key}seconds", caption="Second by second", columns=columns, rows=rows)
        return (Heading(text="Tables", key=f"{key}tables"), table)

    def terminal(self, run, found, others: Sequence[RunFindings]):
        yield text_row("Counted", f"{found.pulses} pulses")


def second_rows(found):
    for n, count in enumerate(found.each_second, start=1):
        yield (str(n), number_text(count, 0))


class Filed(FiledTest[PulseCount]):
    block_name = "pulse_count"
    tables = (CsvTable(file="counts.csv", columns=("second", "pulses"), rows=second_rows),)

    def block(self, run, found):
        return {"pulses": found.pulses, "seconds": found.seconds, "each_second": list(found.each_second)}


WHOLE = WholeTest(
    test=NamedTest(name=NAME),
    run=RunPart(begin=begin, check=need_seconds),
    recipe=Recipe(reduce=reduce_count, settings={"count_seconds": 1.0}),
    shown=Shown(),
    filed=Filed(),
    card=CardWords(
        title="Count the pulses",
        answers="How many servo pulses come?",
        needs="Needs a lead on a servo output. As long as you like.",
        first="Touch nothing.",
        captured="A while of servo pulses",
        counts=("pulse", "pulses"),
    ),
)
