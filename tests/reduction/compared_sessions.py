"""Sessions for comparisons, put together run by run."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from benchapp.records.comparison import ComparedSession, RunSpan
from benchapp.records.findings import Trial
from tests.reduction.chains import Chain, flip, switch_on
from tests.reduction.comparing_coverage import session_of
from tests.reduction.coverage import made_trials

RUN_S = 200


def answers(chain: Chain, blocks: int, flips: int, *, seed: int = 0) -> list[Trial]:
    """Return the answers of one run over so many switch-ons."""
    rng = np.random.default_rng(seed)
    made = flip(chain, switch_on(chain, blocks, rng), flips, rng)
    return made_trials(made, 0, blocks=blocks, pause_ms=5e3)


def session(runs: Sequence[Sequence[Trial]], chain: Chain, **facts) -> ComparedSession:
    """Return a session of several runs, RUN_S seconds apart; facts are SessionFacts' own, or `fresh`."""
    fresh = facts.pop("fresh", False)
    singles = [session_of(trials, chain, flips=len(trials)) for trials in runs]
    findings, spans = [], {}
    for number, (own, trials) in enumerate(zip(singles, runs, strict=True), 1):
        findings.append(replace(own.findings.runs[0], run=number))
        start = (number - 1) * RUN_S * 10**9
        pick_up = own.spans[1].pick_up
        spans[number] = RunSpan(start_ns=start, stop_ns=start + trials[-1].at_ns + 1, pick_up=pick_up)
    first = singles[0]
    return ComparedSession(
        facts=replace(first.facts, **facts),
        findings=replace(first.findings, runs=tuple(findings)),
        spans=spans,
        fresh=fresh,
    )
