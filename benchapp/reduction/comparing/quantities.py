"""What sweeps and holds of a set conclude, each quantity over all of its runs."""

import math
from collections.abc import Sequence
from dataclasses import replace

from benchapp.records.comparison import Quantity
from benchapp.reduction.comparing.set_parts import RunPart
from benchapp.reduction.ground.summary import mean, standard_deviation

FEWEST_REPEATS = 3
"""Sweeps or holds of a set from which their own scatter says how sure a quantity is."""
ALIKE_HELD = 0.1
"""Peak to peak grows with the time held: it stands only where the holds were equally long to within this share."""


def quantities_of(parts: Sequence[RunPart]) -> tuple[Quantity, ...]:
    """Return a set's quantities, each over all of its runs that have it.

    From three runs on the value is their mean, its uncertainty their scatter over the root of their number; below that
    one run's own uncertainty stands for the mean (two runs do not lessen it: their systematic part is not known), and a
    quantity without one is shown, not judged.
    """
    single: dict[str, list[Quantity]] = {}
    for part in parts:
        for own in part.compared.quantities(part.run):
            single.setdefault(own.key, []).append(replace(own, of=part.likeness))
    alike = (found for found in single.values() if equally_long([one.held_s for one in found]))
    return tuple(_taken_together(found) for found in alike)


def equally_long(held_s: Sequence[float | None]) -> bool:
    """Return whether holds were equally long to within a tenth; so is everything that does not grow with the time."""
    times = [time for time in held_s if time is not None]
    return not times or min(times) >= (1.0 - ALIKE_HELD) * max(times)


def _taken_together(found: Sequence[Quantity]) -> Quantity:
    first = found[0]
    values = [math.log(one.value) if first.in_log else one.value for one in found]
    middle = mean(values)
    together = replace(first, value=math.exp(middle) if first.in_log else middle, n=len(found), standard=None, dof=None)
    if len(found) >= FEWEST_REPEATS:
        scatter = standard_deviation(values) or 0.0
        standard = scatter / math.sqrt(len(values)) if scatter > 0.0 else None
        return replace(together, standard=standard, dof=float(len(found) - 1))
    own = [(one.standard, one.dof) for one in found if one.standard is not None]
    if len(own) < len(found):
        return together
    standard, dof = max(own, key=lambda pair: pair[0])
    return replace(together, standard=standard, dof=dof)
