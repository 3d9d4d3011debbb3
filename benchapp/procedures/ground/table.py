"""The table of a run: every state, everything seen in it, and what follows; the rows that every test's table has."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import product
from types import MappingProxyType

from benchapp.procedures.ground.moments import Seen
from benchapp.procedures.ground.progress import Prompt


class State(StrEnum):
    """The states that every run has; those in which it measures are its test's own."""

    WAITING_FOR_PULSES = "waiting-for-pulses"
    PAUSED = "paused"
    REGAINING = "regaining"
    ENDED = "ended"


Rows = Mapping[tuple[StrEnum, StrEnum], StrEnum]

_PROMPTS: Mapping[StrEnum, Prompt] = {
    State.WAITING_FOR_PULSES: Prompt.WAIT_FOR_PULSES,
    State.PAUSED: Prompt.CARRY_ON,
    State.REGAINING: Prompt.WAIT_FOR_PULSES,
    State.ENDED: Prompt.DONE,
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Table:
    """What follows from what in the run of one test; whatever the rows do not name changes nothing.

    rows    : {(state, what is seen in it): the state that follows}
    prompts : the instruction of each state, so that its keys are all states there are
    pauses  : the states beside PAUSED that pause the run, each with the reason that is logged
    """

    rows: Rows
    prompts: Mapping[StrEnum, Prompt]
    pauses: Mapping[StrEnum, str] = field(default_factory=lambda: MappingProxyType({}))

    @property
    def open(self) -> tuple[StrEnum, ...]:
        """Every state but the end."""
        return tuple(state for state in self.prompts if state is not State.ENDED)

    def after(self, state: StrEnum, seen: StrEnum) -> StrEnum | None:
        """Return the state that follows, None where the table names none."""
        return self.rows.get((state, seen))

    def is_pause(self, state: StrEnum) -> bool:
        """Return whether a run does not measure in a state because it is paused, or regains its pulses after that."""
        return state in (State.PAUSED, State.REGAINING) or state in self.pauses


def table_of(
    own_rows: Rows,
    own_prompts: Mapping[StrEnum, Prompt],
    *,
    ready: StrEnum,
    apart: Collection[StrEnum] = (),
    pauses: Mapping[StrEnum, str] = MappingProxyType({}),
) -> Table:
    """Return the table of a test: its own rows, and over those the rows that every test has.

    Rules
    - A run is ready to measure once the pulses are steady; what it does then is the test's own.
    - Bad signal pauses a run that measures, and a hand pauses any, except in the states named in apart.
    - A pause ends only by carrying on, and then with steady pulses.
    - Time ends a run, except in the states named in apart. STOP, BROKE and GIVE_UP end it from every open state.

    own_prompts names all states in which the test measures or pauses. A row of the test's own goes before one of these.
    """
    measuring = [state for state in own_prompts if state not in apart]
    common = (State.WAITING_FOR_PULSES, State.REGAINING)
    rows: dict[tuple[StrEnum, StrEnum], StrEnum] = {
        **{(state, Seen.PULSES_STEADY): ready for state in common},
        **{(state, Seen.PULSES_LOST): State.PAUSED for state in measuring},
        **{(state, Seen.HAND_PAUSE): State.PAUSED for state in (*common, *measuring)},
        **{(state, Seen.TIME_OVER): State.ENDED for state in (*common, State.PAUSED, *measuring)},
        (State.PAUSED, Seen.CARRY_ON): State.REGAINING,
        **own_rows,
    }
    prompts = {**_PROMPTS, **own_prompts}
    table = Table(rows=rows, prompts=prompts, pauses=pauses)
    ends = product(table.open, (Seen.STOP, Seen.BROKE, Seen.GIVE_UP))
    return Table(rows={**rows, **dict.fromkeys(ends, State.ENDED)}, prompts=prompts, pauses=pauses)
