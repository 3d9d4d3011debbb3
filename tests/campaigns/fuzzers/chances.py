"""The chance of one try: the same for the same fuzzer, seed and number, whatever ran before it."""

import random


def chance_of(kind: str, seed: int, number: int) -> random.Random:
    """Return what a try draws from."""
    return random.Random(f"{kind} {seed} {number}")
