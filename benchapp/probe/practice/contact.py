"""How a thrown contact bounces."""

from random import Random

LONGEST_IN_MEANS = 6.2 / 1.6
"""The longest bounce over the mean one (J. Ganssle, "A Guide to Debouncing": 1.6 ms mean, 6.2 ms longest)."""
_APART_NS = 5_000


def contact_edges_ns(level: int, at_ns: int, mean_bounce_ns: int, rng: Random) -> list[tuple[int, int]]:
    """Return the transitions of a contact thrown to a level: (instant, level after), the first at at_ns.

    The number is odd, so that the contact ends where it was thrown; with no mean bounce there is one.
    """
    if mean_bounce_ns <= 0:
        return [(at_ns, level)]
    lasts_ns = rng.expovariate(1 / mean_bounce_ns)
    while lasts_ns > LONGEST_IN_MEANS * mean_bounce_ns:
        lasts_ns = rng.expovariate(1 / mean_bounce_ns)
    pairs = min(rng.randint(1, 5), int(lasts_ns) // (4 * _APART_NS))
    inner = sorted(rng.uniform(0, lasts_ns) for _ in range(2 * pairs - 1))
    offsets = [0, *map(int, inner), int(lasts_ns)] if pairs else [0]
    edges = []
    previous_ns = -_APART_NS
    for n, offset in enumerate(offsets):
        previous_ns = max(offset, previous_ns + _APART_NS)
        edges.append((at_ns + previous_ns, level ^ (n & 1)))
    return edges
