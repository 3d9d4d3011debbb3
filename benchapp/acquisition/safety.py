"""The answers of *Make it safe* as they stand, and what undoes them."""

from collections.abc import Mapping
from typing import NamedTuple

from benchapp.procedures.gate import OnBench, Refusal, SafetyLine, Why, gate, needed_lines
from benchapp.records.errors import SafetyRefused, WrongCall
from benchapp.records.run import Origin


class Said(NamedTuple):
    """When a line was confirmed, on the link's host clock [ns], and what is written beside it."""

    at_ns: int
    answer: str


class Confirmations:
    """Keeps what was said to be on the bench and when each line was confirmed, on the link's host clock [ns]."""

    def __init__(self) -> None:
        self._said: dict[str, Said] = {}
        self._undone: dict[Why, int] = {}
        self._on_bench: OnBench | None = None
        self._test = ""

    @property
    def on_bench(self) -> OnBench | None:
        """What was said to be on the bench, None before."""
        return self._on_bench

    def say_on_bench(self, on_bench: str, host_ns: int, *, answer: str = "") -> None:
        """Note what is on the bench; every line is asked anew where that is another answer.

        answer is what is written beside the question, the answer's own key where nothing else is given. Raises
        WrongCall for an answer that is none.
        """
        try:
            found = OnBench(on_bench)
        except ValueError:
            raise WrongCall(f"There is no bench {on_bench[:40]!a} that Make it safe knows.") from None
        if self._on_bench is not None and found is not self._on_bench:
            self._undo(Why.ANSWER_CHANGED, host_ns)
        self._on_bench = found
        self._said[SafetyLine.ON_BENCH.value] = Said(host_ns, answer or found.value)

    def confirm(self, line: str, host_ns: int, *, yes: bool, answer: str = "yes") -> None:
        """Note that a line was confirmed in these words, or taken back. Raises WrongCall for a line that is none."""
        try:
            key = SafetyLine(line)
        except ValueError:
            key = SafetyLine.ON_BENCH
        if key is SafetyLine.ON_BENCH:  # a question: what it is answered with must be said
            raise WrongCall(f"There is no safety line {line[:40]!a}.")
        if yes:
            undone = host_ns in self._undone.values()  # a coarse clock: this came after it
            self._said[key.value] = Said(host_ns + 1 if undone else host_ns, answer)
        else:
            self._said.pop(key.value, None)

    def lead_changed(self, host_ns: int) -> None:
        """Note that a lead or its role changed."""
        self._undo(Why.LEAD_CHANGED, host_ns)

    def powered_up(self, host_ns: int) -> None:
        """Note that the model was powered up."""
        self._undo(Why.POWERED_UP, host_ns)

    def choose_test(self, test: str, host_ns: int) -> None:
        """Note which test is wanted: another one than the last that was run asks for every line anew.

        Before the first run there is none that the lines were confirmed for, so they hold for whichever is chosen.
        """
        if self._test and test != self._test:
            self._undo(Why.TEST_CHANGED, host_ns)
            self._test = test

    def bench_changed(self) -> None:
        """Forget every answer: another set may stand on the bench now."""
        self._said.clear()
        self._undone.clear()
        self._on_bench, self._test = None, ""

    def _undo(self, why: Why, host_ns: int) -> None:
        self._undone[why] = host_ns

    def refusals(self, origin: Origin, host_ns: int) -> tuple[Refusal, ...]:
        """Return the lines that stand in the way of a run."""
        return self._refusals(origin, host_ns, self._undone)

    def _refusals(self, origin: Origin, host_ns: int, undone: Mapping[Why, int]) -> tuple[Refusal, ...]:
        return gate(
            {line: said.at_ns for line, said in self._said.items()},
            host_ns,
            origin=origin,
            on_bench=self._on_bench,
            undone=undone,
        )

    def demand_again(self, origin: Origin, host_ns: int) -> None:
        """Raise SafetyRefused where a line is still to be confirmed since the model was powered up."""
        power: dict[Why, int] = {why: at_ns for why, at_ns in self._undone.items() if why is Why.POWERED_UP}
        refusals = self._refusals(origin, host_ns, power)
        lines = [refusal.line for refusal in refusals if refusal.why is Why.POWERED_UP]
        if lines:
            raise SafetyRefused(
                "The model was switched on again, so Make it safe is asked again before the run carries on; not "
                f"confirmed: {', '.join(lines)}."
            )

    def demand(self, origin: Origin, host_ns: int, test: str = "") -> dict[str, Said]:
        """Return what is on the bench and the confirmed lines in the order shown, each with its time and words.

        test is the one to run; the lines hold for it until another is wanted. Raises SafetyRefused where one is
        missing.
        """
        if test:
            self.choose_test(test, host_ns)
        refusals = self.refusals(origin, host_ns)
        if refusals:
            lines = ", ".join(f"{refusal.line} ({refusal.why})" for refusal in refusals)
            raise SafetyRefused(f"No run before every safety line is confirmed; not confirmed: {lines}.")
        self._test = test or self._test
        asked = () if origin is Origin.PRACTICE else (SafetyLine.ON_BENCH,)
        wanted = (*asked, *needed_lines(origin, self._on_bench))
        return {line.value: self._said[line.value] for line in wanted if line.value in self._said}
