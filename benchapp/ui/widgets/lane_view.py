"""Which part of the past the lanes show: how long, and up to when; zoomed and moved in steps that cannot be lost."""

from dataclasses import dataclass

USUAL_WINDOW_S = 2.0
STEPS_S = (0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0)
"""As long as this the lanes can be: the longest is what is kept, the shortest shows one pulse."""


@dataclass(kw_only=True, slots=True)
class LaneView:
    """window_s : the length of time in view;  end_ns : its right edge on the session's clock, None where it is now."""

    window_s: float = USUAL_WINDOW_S
    end_ns: int | None = None

    @property
    def window_ns(self) -> int:
        """The length of time in view, [ns]."""
        return round(self.window_s * 1e9)

    def zoomed_s(self, steps: int) -> float:
        """Return the length of time so many steps nearer (above 0) or further."""
        nearest = min(range(len(STEPS_S)), key=lambda number: abs(STEPS_S[number] - self.window_s))
        return STEPS_S[min(max(nearest - steps, 0), len(STEPS_S) - 1)]

    def zoom(self, steps: int, share: float, *, oldest_ns: int, newest_ns: int) -> None:
        """Zoom; what stands at a share of the width (0 left, 1 right) stays there, unless the right edge is now."""
        before_ns, self.window_s = self.window_ns, self.zoomed_s(steps)
        if self.end_ns is not None:
            at_ns = self.end_ns - round((1.0 - share) * before_ns)
            self.end_ns = at_ns + round((1.0 - share) * self.window_ns)
            self.hold(oldest_ns=oldest_ns, newest_ns=newest_ns)

    def move(self, share: float, *, oldest_ns: int, newest_ns: int) -> None:
        """Move by a share of the width, to later moments where it is above 0; from now on the right edge stands."""
        end_ns = newest_ns if self.end_ns is None else self.end_ns
        self.end_ns = end_ns + round(share * self.window_ns)
        self.hold(oldest_ns=oldest_ns, newest_ns=newest_ns)

    def hold(self, *, oldest_ns: int, newest_ns: int) -> None:
        """Keep the right edge inside what there is: no view is ever wholly before or after it."""
        if self.end_ns is not None:
            self.end_ns = max(min(self.end_ns, newest_ns), min(oldest_ns + self.window_ns, newest_ns))
