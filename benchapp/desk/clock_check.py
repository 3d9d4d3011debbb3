"""Compares a probe's clock with the computer's."""

from collections.abc import Callable

from benchapp.probe.clock_watch import ClockWatch
from benchapp.probe.conversation import Conversation
from benchapp.probe.opening import open_link
from benchapp.records.clock_check import ClockCheck, ClockProgress

USUAL_S = 60.0


def check_clock(
    port: str,
    *,
    seconds: float = USUAL_S,
    tell: Callable[[ClockProgress], None] = lambda _progress: None,
    stop: Callable[[], bool] = lambda: False,
) -> ClockCheck:
    """Return how much too fast a probe's clock runs beside the computer's, with its uncertainty. Blocks for `seconds`.

    Call it only for a port that `is_seen`, or after somebody agreed. tell is called once a second in the caller's
    thread, stop asked after every read (20 ms); a stop ends the check early. Raises StoppedByHand and NotEnoughData
    where too little was heard, and ProbeTrouble. A practice bench's URL may be given as well.
    """
    talk = Conversation(open_link(port))
    try:
        return ClockWatch(talk, seconds, tell=tell, stop=stop).run()
    finally:
        talk.close()
