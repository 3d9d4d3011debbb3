"""Findings of sweeps and holds made for tests: a whole one, one of every kind of lack, and bare ones."""

from dataclasses import replace

import numpy as np

from benchapp.records.findings import RunFindings
from benchapp.records.run import RunEvidence, Stop
from benchapp.reduction.recipes import reduce_run
from tests.reduction.made_sticks import MadeStick

USUAL = {"noise_us": 0.06, "play_pct": 0.4, "hysteresis_us": 2.4, "expo": 0.08, "flat_pct": 1.0, "step_us": 1.0}
S = 1_000_000_000


def sweep_evidence(**changes) -> RunEvidence:
    """Return the evidence of a sweep of the usual stick."""
    return MadeStick(seed=4, **(USUAL | changes)).run()


def sweep(**changes) -> RunFindings:
    """Return the findings of a sweep of the usual stick."""
    return reduce_run(sweep_evidence(**changes))


def stops_evidence(*, cycles: int = 3, positions: int = 9) -> RunEvidence:
    """Return the evidence of a sweep by stops: a staircase up and down, a step of 1 s at each."""
    places = np.linspace(-30.0, 30.0, positions)
    order = np.concatenate([places, *[np.append(places[-2::-1], places[1:])] * cycles])[: 2 * positions * cycles]
    made = MadeStick(seed=6, cycles=1, **USUAL)
    made._when = np.arange(0.0, order.size + 1.0, 0.001)
    made._where = (order[np.minimum(made._when.astype(int), order.size - 1)] + 30.0) / 60.0
    stops = tuple(
        Stop(position_deg=float(deg), from_ns=round((n + 0.4) * S), to_ns=round((n + 0.9) * S))
        for n, deg in enumerate(order)
    )
    evidence = made.run(stops=stops)
    return replace(evidence, stop_ns=(order.size + 1) * S)


def stops(**changes) -> RunFindings:
    """Return the findings of a sweep by stops."""
    return reduce_run(stops_evidence(**changes))


def hold_evidence(*, seconds: float = 20.0) -> RunEvidence:
    """Return the evidence of a hold: the stick in its middle, an output that wanders a step or two."""
    made = MadeStick(seed=5, cycles=1, noise_us=0.4, step_us=0.0)
    made._when = np.arange(0.0, seconds, 0.001)
    made._where = np.full(made._when.size, 0.5)
    return made.run(test="hold-still")


def hold(**changes) -> RunFindings:
    """Return the findings of a hold."""
    return reduce_run(hold_evidence(**changes))
