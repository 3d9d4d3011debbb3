"""How often sets that are alike are called different, and how often a difference is found.

`python -m tests.reduction.comparing_coverage [RUNS]` prints the long table (COMPARING.md holds its last run); the suite
runs a short form. Sets are made from clocks alone (`chains`); a whole comparison concludes from their flips.
"""

import sys
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from benchapp.records.comparison import DIFFERENT, NAMED, ComparedSession, Comparison, RunSpan
from benchapp.records.findings import (
    ANY_SWITCH_ON,
    ONE_FRAME,
    AnySwitchOn,
    Frame,
    Headline,
    Latency,
    Phase,
    RunFindings,
    SessionFindings,
    Stragglers,
    Trial,
)
from benchapp.records.run import Origin, Outcome, PickUp, SessionFacts
from benchapp.reduction.comparing.comparing import WantedSet, compare
from tests.reduction.chains import Chain, Clocks, flip, switch_on
from tests.reduction.coverage import made_trials

IN_STEP = Chain(frame_ms=22.5, scan_ms=22.5)
HALF_SCAN = Chain(frame_ms=22.5, scan_ms=11.25)
FREE = Chain(frame_ms=9.0, scan_ms=4.0037)
SLOWER_FREE = Chain(frame_ms=14.0, scan_ms=7.0303)
KINDS = {"in step 22.5": IN_STEP, "half-frame scan": HALF_SCAN, "free 9/4": FREE, "free 14/7": SLOWER_FREE}
FIXED = "fixed offset"
"""In step, and every switch-on brings the same offset."""
PLANS = ((3, 20), (5, 12), (8, 12), (12, 12))
CHOSEN_BY = {
    (3, 20): (4.5, 31.0, 10.7),
    (5, 12): (5.0, 46.0, 8.4),
    (8, 12): (5.1, 57.0, 7.3),
    (12, 12): (5.1, 79.0, 5.7),
}
"""Two sets in step at 22.5 ms: false "different" [%], found at 8 ms [%], half-width [ms] (simulated when the rule
was chosen, 6,000 comparisons a row)."""


@dataclass(frozen=True, kw_only=True)
class Tried:
    """What came of many comparisons of two sets."""

    different: float
    half_ms: float


def session_of(trials: Sequence[Trial], chain: Chain, *, flips: int, name: str = "") -> ComparedSession:
    """Return a session with one run of these answers, as a reduction states it, leads and clock without fault."""
    answers = tuple(trials)
    run = RunFindings(
        run=1,
        test="switch-flip",
        control="switch",
        outcome=Outcome.COMPLETE,
        flags=(),
        notes=(),
        frame=_frame(chain),
        result=_latency(answers, flips),
    )
    facts = SessionFacts(
        name=name,
        started=None,
        origin=Origin.PROBE,
        pick_up=PickUp.CONTACT,
        evidence_hash=f"sha256:{name}",
        software="",
    )
    span = RunSpan(start_ns=0, stop_ns=answers[-1].at_ns + 1, pick_up=PickUp.CONTACT)
    findings = SessionFindings(runs=(run,), version=2, settings={})
    return ComparedSession(facts=facts, findings=findings, spans={1: span})


def _frame(chain: Chain) -> Frame:
    return Frame(
        period_ms=chain.frame_ms,
        period_sd_us=0.0,
        missing_pulses=0,
        glitches=0,
        pulses=1000,
        polarity="high",
        short_us=1100.0,
        long_us=1900.0,
    )


def _latency(trials: tuple[Trial, ...], flips: int) -> Latency:
    """Return a latency whose own figures are left out: a comparison must not go by them."""
    nothing = AnySwitchOn(
        value_ms=None,
        expanded_uncertainty_ms=None,
        combined_standard_ms=None,
        k=None,
        dof=None,
        switch_ons=1,
        rule=ONE_FRAME,
    )
    headline = Headline(
        point="mid",
        estimator="mean",
        value_ms=None,
        ci95_ms=(None, None),
        expanded_uncertainty_ms=None,
        combined_standard_ms=None,
        k=None,
        dof=None,
        stopped_itself=False,
        with_hand_drops_ms=None,
        up=0,
        down=0,
        stands_for=ANY_SWITCH_ON,
    )
    late = Stragglers(
        flips=0,
        answered=len(trials),
        later_than_ms=None,
        share_ci95=(None, None),
        earliest_ms=None,
        latest_ms=None,
        mean_all_ms=None,
    )
    return Latency(
        control="switch",
        flips=flips,
        trials=trials,
        excluded=(),
        window_s=0.5,
        no_answer_flips=0,
        no_answer_share_ci95=(None, None),
        switch_ons=len({trial.block for trial in trials}),
        keeps_step=None,
        headline=headline,
        any_switch_on=nothing,
        stragglers=late,
        trend=None,
        points={},
        up={},
        down={},
        phase=Phase(rayleigh_p=None, kuiper_p=None, largest_gap=None),
        expected_frame_sd_ms=None,
        switch_glitches=0,
    )


def side_by_side(sessions: Sequence[ComparedSession], *, aim_ms: float | None = None) -> Comparison:
    """Return a comparison in which every session is a set."""
    sets = [WantedSet(name=f"set {place}", sessions=(place,)) for place in range(len(sessions))]
    return compare(sessions, sets, aim_ms=aim_ms)


def made_sets(
    chain: Chain, plan: tuple[int, int], count: int, rng: np.random.Generator, *, fixed: bool = False
) -> Iterator[ComparedSession]:
    """Yield so many sessions of one kind of set, each with its own switch-ons.

    fixed : the offset between scan and frame is the same at every switch-on of every set
    """
    blocks, flips = plan
    clocks = switch_on(chain, count * blocks, rng)
    if fixed:
        clocks = Clocks(scan_ms=clocks.frame_ms - 5.0, frame_ms=clocks.frame_ms)
    made = flip(chain, clocks, flips, rng)
    for run in range(count):
        trials = made_trials(made, run * blocks, blocks=blocks, pause_ms=5e3)
        yield session_of(trials, chain, flips=blocks * flips)


def tried(
    a: Chain, b: Chain, plan: tuple[int, int], runs: int, *, later_ms: float = 0.0, fixed: bool = False, seed: int = 0
) -> Tried:
    """Return what comes of so many comparisons of a set of kind a with one of kind b whose path is longer."""
    rng = np.random.default_rng(seed)
    later = replace(b, path_ms=b.path_ms + later_ms)
    firsts = made_sets(a, plan, runs, rng, fixed=fixed)
    seconds = made_sets(later, plan, runs, rng, fixed=fixed)
    pairs = [side_by_side([one, other]).pairs[0] for one, other in zip(firsts, seconds, strict=True)]
    halves = [(pair.shift_ci_ms[1] - pair.shift_ci_ms[0]) / 2 for pair in pairs if pair.shift_ci_ms is not None]
    return Tried(
        different=float(np.mean([pair.verdict == DIFFERENT for pair in pairs])), half_ms=float(np.mean(halves))
    )


@dataclass(frozen=True, kw_only=True)
class Raced:
    """How often one of several sets was named, named wrongly, and how often the true quickest was still among them."""

    named: float
    wrong: float
    kept: float


def raced(
    chains: Sequence[Chain], plans: Sequence[tuple[int, int]], runs: int, *, true: Sequence[int], seed: int = 0
) -> Raced:
    """Return what comes of so many comparisons of several sets; true : the places that are quickest in truth."""
    rng = np.random.default_rng(seed)
    columns = [made_sets(chain, plan, runs, rng) for chain, plan in zip(chains, plans, strict=True)]
    found = [side_by_side(row).quickest for row in zip(*columns, strict=True)]
    named = [one.verdict == NAMED for one in found]
    wrong = [one.verdict == NAMED and (len(true) > 1 or one.sets[0] not in true) for one in found]
    kept = [set(true) & set(one.sets) != set() for one in found]
    return Raced(named=float(np.mean(named)), wrong=float(np.mean(wrong)), kept=float(np.mean(kept)))


def alike(chains: Sequence[Chain]) -> list[Chain]:
    """Return chains of these kinds with one mean: the path makes up for what the kinds wait."""
    waits = [((chain.scan_ms or 0.0) + chain.frame_ms) / 2 for chain in chains]
    return [
        replace(chain, path_ms=chain.path_ms + max(waits) - wait) for chain, wait in zip(chains, waits, strict=True)
    ]


def seed_of(name: str) -> int:
    """Return a seed that belongs to a name."""
    return zlib.crc32(name.encode())


def table(runs: int) -> Iterator[str]:
    """Yield the lines of the long table."""
    yield f"{'kind':18} {'plan':>7} {'false %':>8} {'at 8 ms %':>10} {'half ms':>8}   once: false, at 8 ms, half"
    for name, chain in (*KINDS.items(), (FIXED, IN_STEP)):
        for plan in PLANS:
            seed = seed_of(name) + plan[0]
            equal = tried(chain, chain, plan, runs, fixed=name == FIXED, seed=seed)
            # One offset for ever: a path of 8 ms more may end in the same frame, with no difference to find.
            apart = None if name == FIXED else tried(chain, chain, plan, runs, later_ms=8.0, seed=seed + 1)
            found = f"{100 * apart.different:10.1f}" if apart else f"{'-':>10}"
            once = "  ".join(str(figure) for figure in CHOSEN_BY[plan]) if chain is IN_STEP and name != FIXED else ""
            figures = f"{100 * equal.different:8.1f} {found} {equal.half_ms:8.2f}"
            yield f"{name:18} {plan[0]:>3}x{plan[1]:<3} {figures}   {once}"
    for name, chain in (("in step 22.5", IN_STEP), ("free 9/4", FREE)):
        plan = (10, 6)
        equal = tried(chain, chain, plan, runs, seed=seed_of(name) + 10)
        apart = tried(chain, chain, plan, runs, later_ms=5.0, seed=seed_of(name) + 11)
        yield f"{name:18}  10x6: false {100 * equal.different:.1f} %, at 5 ms {100 * apart.different:.1f} %"
    yield ""
    yield "which is quickest"
    yield from _races(max(runs // 2, 100))


def _races(runs: int) -> Iterator[str]:
    six = alike([IN_STEP, HALF_SCAN, FREE, SLOWER_FREE, IN_STEP, FREE])
    for plan in ((3, 20), (5, 12), (8, 12)):
        found = raced(six, [plan] * 6, runs, true=range(6), seed=plan[0])
        yield f"six equal sets of mixed kinds, {plan[0]}x{plan[1]}: wrong {100 * found.wrong:.2f} % (once 0.0 to 0.3)"
    for plan, once in (((5, 20), "6.9"), ((8, 12), "24")):
        chains = [IN_STEP, *[replace(IN_STEP, path_ms=IN_STEP.path_ms + 8.0)] * 3]
        found = raced(chains, [plan] * 4, runs, true=[0], seed=plan[0] + 50)
        told = f"named {100 * found.named:.1f} % (once {once}), wrong {100 * found.wrong:.2f} %"
        yield f"0, 8, 8, 8 ms in step, {plan[0]}x{plan[1]}: {told}, kept {100 * found.kept:.2f} %"
    for step in (1.0, 3.0):
        chains = [replace(FREE, path_ms=FREE.path_ms + step * place) for place in range(4)]
        found = raced(chains, [(5, 12)] * 4, runs, true=[0], seed=round(10 * step))
        told = f"named {100 * found.named:.1f} %, wrong {100 * found.wrong:.2f} %, kept {100 * found.kept:.2f} %"
        yield f"four free sets {step:g} ms apart, 5x12: {told}"


if __name__ == "__main__":
    for text in table(int(sys.argv[1]) if len(sys.argv) > 1 else 2000):
        print(text, flush=True)
