"""Which flips belong to one switch-on of the transmitter, over the runs and sessions of a set."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from benchapp.records.comparison import ComparedSession
from benchapp.records.findings import Latency, Trial
from benchapp.records.power_ups import PowerUp
from benchapp.reduction.comparing.set_parts import RunPart
from benchapp.reduction.flips.stragglers import split_stragglers
from benchapp.reduction.flips.switch_ons import steps_once
from benchapp.reduction.ground.summary import mean, mean_half_width


@dataclass(kw_only=True, slots=True)
class _Gathered:
    """A switch-on being gathered."""

    part: RunPart
    block: int
    trials: list[Trial]
    joined: list[tuple[int, int]]


def power_ups(parts: Sequence[RunPart], sessions: Sequence[ComparedSession]) -> tuple[PowerUp, ...]:
    """Return the switch-ons of a set, its runs in the order given.

    Blocks of one run are distinct: the transmitter went off between them. The last block of a run and the first of the
    next are one switch-on unless somebody said in between that the set was switched off and on, in the session or, over
    two sessions, by `fresh`. Nothing is guessed: two switch-ons taken for one only make a comparison more careful, one
    taken for two would make it too sure.
    """
    found: list[_Gathered] = []
    before: RunPart | None = None
    for part in parts:
        blocks = _blocks(part)
        for number, trials in sorted(blocks.items()):
            again = found and number == 0 and before is not None and not _parted(before, part, sessions)
            if again:
                found[-1].trials += trials
                found[-1].joined.append((part.session, part.run.run))
            else:
                found.append(_Gathered(part=part, block=number, trials=list(trials), joined=[]))
        before = part if blocks else before
    return tuple(_power_up(one, sessions[one.part.session]) for one in found)


def usual_trials(part: RunPart) -> tuple[Trial, ...]:
    """Return a run's answers with the stragglers apart, as its own headline takes them."""
    if not part.compared.timed:
        return ()
    frame = part.run.frame
    return split_stragglers(part.run.own(Latency).trials, None if frame is None else frame.period_ms).usual


def on_the_leading_edge(power_up: PowerUp) -> PowerUp:
    """Return a switch-on with its answers timed to the leading edge of the answering pulse."""
    trials = tuple(replace(trial, mid_ms=trial.mid_lead_ms) for trial in power_up.trials)
    times = [trial.mid_ms for trial in trials]
    return replace(power_up, trials=trials, mean_ms=mean(times), half_ms=mean_half_width(times))


def _blocks(part: RunPart) -> dict[int, list[Trial]]:
    blocks: dict[int, list[Trial]] = {}
    for trial in usual_trials(part):
        blocks.setdefault(trial.block, []).append(trial)
    return blocks


def _parted(before: RunPart, after: RunPart, sessions: Sequence[ComparedSession]) -> bool:
    """Return whether the set is known to have been off between two runs that follow each other."""
    own = sessions[after.session]
    if before.session != after.session:
        return own.fresh or any(at_ns <= after.span.start_ns for at_ns in own.facts.switched_on_ns)
    return any(before.span.stop_ns <= at_ns <= after.span.start_ns for at_ns in own.facts.switched_on_ns)


def _power_up(one: _Gathered, session: ComparedSession) -> PowerUp:
    times = [trial.mid_ms for trial in one.trials]
    frame, started = one.part.run.frame, session.facts.started
    seen = [(t.phase, t.frames_to_answer) for t in one.trials if t.phase is not None and not t.missing_pulses]
    return PowerUp(
        session=one.part.session,
        run=one.part.run.run,
        block=one.block,
        trials=tuple(one.trials),
        mean_ms=mean(times),
        half_ms=mean_half_width(times),
        frame_ms=None if frame is None else frame.period_ms,
        steps_once=steps_once(seen) if seen else None,
        day=started[:10] if started else None,
        joined=tuple(one.joined),
    )
