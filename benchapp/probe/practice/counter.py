"""The simulated probe's tick counter, which may run fast or slow."""

TICK_HZ = 16_000_000
_NS_A_TICK_TIMES_TWO = 125  # 62.5 ns


class TickCounter:
    """Counts ticks from a count at an instant; clock_ppm is how much faster than nominal it runs."""

    def __init__(self, *, at_ns: int, tick: int, clock_ppm: float) -> None:
        self._at_ns = at_ns
        self._tick = tick
        self._excess_per_ns = clock_ppm * 1e-6 * TICK_HZ / 1e9

    def tick_at(self, ns: int) -> int:
        """Return the count at an instant: the last whole tick begun. Exact where the clock has no error."""
        passed_ns = ns - self._at_ns
        whole, half_ns = divmod(passed_ns * 2, _NS_A_TICK_TIMES_TWO)
        return self._tick + whole + int((half_ns / _NS_A_TICK_TIMES_TWO + passed_ns * self._excess_per_ns) // 1)

    def ns_of(self, tick: int) -> int:
        """Return the first instant at which the count is at least tick."""
        rate = TICK_HZ / 1e9 + self._excess_per_ns
        guess_ns = self._at_ns + round((tick - self._tick) / rate)
        while self.tick_at(guess_ns) >= tick:
            guess_ns -= 1
        while self.tick_at(guess_ns) < tick:
            guess_ns += 1
        return guess_ns
