"""What a latency's uncertainty is made of: one line a source, each a standard uncertainty in ms."""

import math

from benchapp.records.findings import KNOWN_FRAME, ONE_FRAME, BudgetLine, ClockFit, Trend
from benchapp.records.leads import Lead, LeadKind
from benchapp.records.run import PickUp
from benchapp.reduction.flips.headline import HeadlineEstimate
from benchapp.reduction.flips.switch_ons import one_frame_ms
from benchapp.reduction.ground.distributions import student_t_quantile
from benchapp.reduction.ground.uncertainty import one_step, rectangular

STAMPS = "stamp interval"
LATENESS = "lead lateness"
TESTED = "stamp, self-tested"
COARSE = "coarse stamps"
CLOCK = "clock"
PICK_UP = "pick-up"
OPENING = "driven opening"
CORRECTION = "correction"
PHASE = "phase"
SWITCH_ON_LINE = "switch-on"
SAMPLING = "sampling"
TREND = "trend"

PICK_UP_MS = {
    PickUp.CONTACT: 0.0,
    PickUp.DRIVEN: 0.0,
    PickUp.UNKNOWN: 0.0,
    PickUp.TAPED: 5.0,
    PickUp.LIGHT_GATE: 5.0,
}
"""Standard uncertainty between the lever's motion and the stamp, by pick-up (from experience, no source; until
checked). On the contact itself, or where the probe flips, the contact is the control: nothing lies between. One that
nobody noted adds nothing either and says so (`pick-up-not-noted`): right on the contact, too small elsewhere, but a
guess would widen every capture of an instrument that is on the contact."""


OPENING_MS = 0.5
"""How long the transistor of an opto-coupler may take to let a contact's line go (common practice, no source). A
driven lead that is itself the switch (`--lead D9=switch`) is the control and flips by itself, with no tap that joins
the grounds; its coupler lets go late, and nobody sees when."""


def lateness_correction_ns(control: Lead, output: Lead) -> float:
    """Return what a latency gains when the mean of each lead's one-sided lateness is taken away, [ns].

    A late stamp of the control makes a latency short, a late stamp of the output makes it long.
    """
    return (control.lateness_typical_ns - output.lateness_typical_ns) / 2


def is_tested(lead: Lead) -> bool:
    """Return whether the probe's test of itself said how this lead stamps."""
    return lead.tested_mean_ns is not None and lead.tested_sd_ns is not None


def error_found_ns(lead: Lead) -> float:
    """Return how far a tested lead's stamps lay from half its typical lateness, [ns, root mean square]; 0 untested.

    The correction stays the descriptor's: on a bench other things happen beside the test's. What the test found beyond
    it is an effect that was not corrected, and goes in by its square (JCGM 100:2008, F.2.4.5).
    This line takes the place of the lead's share of "lead lateness".
    """
    if lead.tested_mean_ns is None or lead.tested_sd_ns is None:
        return 0.0
    return math.hypot(lead.tested_mean_ns - lead.lateness_typical_ns / 2, lead.tested_sd_ns)


def budget(
    estimate: HeadlineEstimate,
    *,
    control: Lead,
    output: Lead,
    coarse: bool,
    clock: ClockFit,
    pick_up: PickUp,
    frame_ms: float | None,
    locked: bool,
    trend: Trend | None = None,
    correction_within_ms: float | None = None,
) -> tuple[BudgetLine, ...]:
    """Return the budget lines of a headline latency.

    Stamp intervals: q1²/12 + q2²/12, once. Lateness: rectangular over the typical lateness of each lead, or, where the
    probe tested the lead itself, the root mean square of how far its stamps lay from what the correction takes them
    for; where a stamp was flagged coarse, rectangular over the worst as well. Clock: the latency times the clock's
    standard uncertainty. Correction: one entered by hand, rectangular over what it is right to within. Phase: flips
    that kept step with the frame may be off by as much as a frame, T/√12. Trend: where the latency changed while the
    run went on, its moments lie anywhere in that change, rectangular. Switch-on: only in a mean over switch-ons of a
    set known to keep step, T/√(12k); a figure for one or two switch-ons stands for these, and `any_switch_on_lines`
    says what the next may bring. Driven opening: where the driven lead itself tells the flips, nobody saw when its
    coupler let the contact go.
    """
    value_ms = abs(estimate.value_ms or 0.0)
    lines = [
        _line(STAMPS, _rectangular_ms(control.resolution_ns, output.resolution_ns)),
        _line(LATENESS, _rectangular_ms(*(0.0 if is_tested(o) else o.lateness_typical_ns for o in (control, output)))),
    ]
    if is_tested(control) or is_tested(output):
        lines.append(_line(TESTED, math.hypot(error_found_ns(control), error_found_ns(output)) / 1e6))
    if coarse:
        lines.append(_line(COARSE, _rectangular_ms(control.lateness_worst_ns, output.lateness_worst_ns)))
    lines += [
        _line(CLOCK, value_ms * clock.standard_ppm * 1e-6),
        _line(PICK_UP, PICK_UP_MS[pick_up]),
    ]
    if control.kind is LeadKind.DRIVE:
        lines.append(_line(OPENING, one_step(OPENING_MS)))
    if correction_within_ms is not None:
        lines.append(_line(CORRECTION, rectangular(correction_within_ms)))
    if locked:
        lines.append(_line(PHASE, one_step(frame_ms or 0.0)))
    if trend is not None and trend.significant:
        lines.append(_line(TREND, one_step(abs(trend.ms_over_run))))
    if estimate.rule == KNOWN_FRAME:
        lines.append(_line(SWITCH_ON_LINE, one_frame_ms(frame_ms or 0.0, estimate.switch_ons)))
    if estimate.half_width_ms is not None and estimate.dof is not None:
        sampling = estimate.half_width_ms / student_t_quantile(0.975, estimate.dof)
        dof = None if math.isinf(estimate.dof) else estimate.dof
        lines.append(BudgetLine(source=SAMPLING, standard_ms=sampling, kind="A", dof=dof))
    return tuple(lines)


def any_switch_on_lines(
    lines: tuple[BudgetLine, ...], estimate: HeadlineEstimate, frame_ms: float | None
) -> tuple[BudgetLine, ...]:
    """Return the budget of what the set does at any switch-on, from that of its headline.

    Below three switch-ons the next one may bring another offset between scan and frame, whatever the flips of these
    show: a line T/√12/√k stands in, at any number of flips. From three on the headline's own budget holds it.
    """
    if estimate.rule != ONE_FRAME or frame_ms is None:
        return lines
    return (*lines, _line(SWITCH_ON_LINE, one_frame_ms(frame_ms, estimate.switch_ons)))


def _line(source: str, standard_ms: float) -> BudgetLine:
    return BudgetLine(source=source, standard_ms=standard_ms, kind="B", dof=None)


def _rectangular_ms(one_ns: float, other_ns: float) -> float:
    """Return the standard uncertainty of the difference of two stamps, each anywhere in a full width, [ms]."""
    return math.hypot(one_ns, other_ns) / math.sqrt(12) / 1e6
