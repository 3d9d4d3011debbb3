"""Probabilities of several comparisons adjusted for their number."""

from collections.abc import Sequence


def holm(probabilities: Sequence[float]) -> list[float]:
    """Return Holm's step-down adjusted p, in the order given (Scandinavian Journal of Statistics 6, 1979, 65).

    The i-th smallest of m is multiplied by m - i + 1, is at least as large as the one before it, and at most 1.
    """
    order = sorted(range(len(probabilities)), key=lambda place: probabilities[place])
    adjusted = [0.0] * len(probabilities)
    least = 0.0
    for rank, place in enumerate(order):
        least = max(least, min(1.0, (len(order) - rank) * probabilities[place]))
        adjusted[place] = least
    return adjusted
