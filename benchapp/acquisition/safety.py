"""The confirmations of *Make it safe* as they stand, and what undoes them."""

from typing import NamedTuple

from benchapp.procedures.gate import Refusal, SafetyLine, Why, gate, offered_lines
from benchapp.records.errors import SafetyRefused, WrongCall
from benchapp.records.run import Origin


class Said(NamedTuple):
    """When a line was confirmed, on the link's host clock [ns], and what is written beside it."""

    at_ns: int
    answer: str


class Confirmations:
    """Keeps when each line was confirmed, on the link's host clock [ns]."""

    def __init__(self) -> None:
        self._said: dict[str, Said] = {}
        self._lead_changed_ns: int | None = None
        self._powered_up_ns: int | None = None

    def confirm(self, line: str, host_ns: int, *, yes: bool, answer: str = "yes") -> None:
        """Note that a line was confirmed in these words, or taken back. Raises WrongCall for a line that is none."""
        try:
            key = SafetyLine(line).value
        except ValueError:
            raise WrongCall(f"There is no safety line {line[:40]!a}.") from None
        if yes:
            undone = host_ns in (self._lead_changed_ns, self._powered_up_ns)  # a coarse clock: this came after it
            self._said[key] = Said(host_ns + 1 if undone else host_ns, answer)
        else:
            self._said.pop(key, None)

    def lead_changed(self, host_ns: int) -> None:
        """Note that a lead or its role changed."""
        self._lead_changed_ns = host_ns

    def powered_up(self, host_ns: int) -> None:
        """Note that the model was powered up."""
        self._powered_up_ns = host_ns

    def refusals(self, origin: Origin, host_ns: int) -> tuple[Refusal, ...]:
        """Return the lines that stand in the way of a run."""
        return gate(
            {line: said.at_ns for line, said in self._said.items()},
            host_ns,
            origin=origin,
            lead_changed_ns=self._lead_changed_ns,
            powered_up_ns=self._powered_up_ns,
        )

    def demand_again(self, origin: Origin, host_ns: int) -> None:
        """Raise SafetyRefused where a line is still to be confirmed since the model was powered up."""
        lines = [refusal.line for refusal in self.refusals(origin, host_ns) if refusal.why is Why.POWERED_UP]
        if lines:
            raise SafetyRefused(
                "The model was switched on again, so Make it safe is asked again before the run carries on; not "
                f"confirmed: {', '.join(lines)}."
            )

    def demand(self, origin: Origin, host_ns: int) -> dict[str, Said]:
        """Return the confirmed lines in the order shown, each with when it was confirmed and in what words.

        Raises SafetyRefused where one is missing.
        """
        refusals = self.refusals(origin, host_ns)
        if refusals:
            lines = ", ".join(f"{refusal.line} ({refusal.why})" for refusal in refusals)
            raise SafetyRefused(f"No run before every safety line is confirmed; not confirmed: {lines}.")
        return {line.value: self._said[line] for line in offered_lines(origin) if line.value in self._said}
