"""What a campaign tried and what it found."""

import traceback
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager


class Tally:
    """Counts what was tried, and keeps what did not hold."""

    def __init__(self) -> None:
        self.tried = 0
        self.broken: list[str] = []
        self.notes: Counter[str] = Counter()

    def note(self, what: str, count: int = 1) -> None:
        """Count something worth telling."""
        self.notes[what] += count

    @contextmanager
    def counted(self, what: str) -> Iterator[None]:
        """Count one try; whatever it raises is kept as a promise that did not hold."""
        self.tried += 1
        try:
            yield
        except Exception as error:  # noqa: BLE001 - the campaign goes on and tells in the end
            last = traceback.extract_tb(error.__traceback__)[-1]
            self.broken.append(f"{what}: {type(error).__name__}: {error} ({last.filename}:{last.lineno})")


def tell(name: str, tally: Tally, took_s: float) -> int:
    """Print what came of a campaign; return its exit status."""
    notes = ", ".join(f"{count} {what}" for what, count in sorted(tally.notes.items()))
    print(f"{name}: {tally.tried} tried, {len(tally.broken)} did not hold, {took_s:.0f} s; {notes}")
    for line in tally.broken[:50]:
        print(f"  {line}")
    return 1 if tally.broken else 0
