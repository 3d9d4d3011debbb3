"""What people and machines did during a session: the append-only log and the marks it folds into."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

Json = None | bool | int | float | str | list["Json"] | dict[str, "Json"]


class EventKind(StrEnum):
    """The kinds of event a session file holds."""

    RUN_START = "run-start"
    RUN_STOP = "run-stop"
    PAUSE = "pause"
    RESUME = "resume"
    DROP = "drop"
    UNDROP = "undrop"
    STOP_TAKEN = "stop-taken"
    SAFETY = "safety"
    MARK = "mark"
    NOTE = "note"
    BENCH = "bench"
    PUT_BACK = "put-back"


SWITCH_ON = "switch-on"
"""The reason of a pause in which the transmitter is switched off and on: it opens the next switch-on block. The block
of a flip is the number of such pauses before it, so that neither the evidence hash nor the reduction needs an event
more."""
SWITCHED_ON = "switched_on"
"""The field of a bench event that says the set was switched off and on between two runs, with the time in ISO 8601:
an event kind of its own would be damage to a program that does not know it."""
SET = "set"
"""The field of the bench that names the radio set: sessions of the same one can be taken together."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Event:
    """One entry of the log. at_ns is on the session's clock; run is None outside a run.

    detail by kind:
      run-start  test, roles {lead index as text: role}, polarity {role: "high" | "low"}, pick_up, settings
      run-stop   outcome ("complete" | "cut-short"), reason, stopped_itself
      pause      reason (a sentence's key; SWITCH_ON opens a block)     resume     {}
      drop, undrop  flip_ns (t0 of the flip meant, or to_ns of the stop)
      stop-taken  position_deg (as typed), from_ns, to_ns (the span in which everything stood still)
      safety     line, answer        mark, note  text        bench  the fields of what is under test
      put-back   line, answer
    """

    kind: EventKind
    at_ns: int
    run: int | None = None
    detail: Mapping[str, Json] = field(default_factory=lambda: MappingProxyType({}))
