"""The practice bench as a link."""

from pathlib import Path

from benchapp.probe.link import Arrival
from benchapp.probe.practice.board import Board
from benchapp.probe.practice.options import BenchOptions
from benchapp.probe.practice.pace import FlatPace, Pacer, RealPace
from benchapp.probe.practice.truth import truth_document, write_truth
from benchapp.probe.practice.url import Pace, parse_practice_url
from benchapp.records.errors import PortGone
from benchapp.records.run import Origin


def open_practice(url: str, *, pace: str = Pace.FLAT, truth: Path | None = None) -> "PracticeLink":
    """Return an open link to the practice bench that a URL describes.

    pace  : "real" or "flat", where the URL does not say
    truth : the file that `close` writes what the bench knows to

    Raises WrongCall for a URL that is wrong, naming the part.
    """
    asked = parse_practice_url(url)
    real = (asked.pace or Pace(pace)) is Pace.REAL
    return PracticeLink(asked.options, RealPace() if real else FlatPace(asked.options.seed), truth)


class PracticeLink:
    """A Link whose far end is a simulated probe. Use it from one thread."""

    def __init__(self, options: BenchOptions, pacer: Pacer, truth: Path | None) -> None:
        self._options = options
        self._board = Board(options, remember=truth is not None)
        self._pacer = pacer
        self._truth = truth
        self._waiting = b""
        self._closed = False
        self._unplugged_ns = None if options.unplug_s is None else round(options.unplug_s * 1e9)

    @property
    def name(self) -> str:
        """What a person calls this link."""
        return f"practice bench, radio {self._options.radio.name}"

    @property
    def origin(self) -> Origin:
        """Where evidence that comes this way is from."""
        return Origin.PRACTICE

    @property
    def stands_still(self) -> bool:
        """Whether time passes only by reading: at a flat pace."""
        return isinstance(self._pacer, FlatPace)

    def read(self) -> Arrival:
        """Return the next bytes; none after at most 20 ms of silence, virtual or real as the pace is."""
        self._check_there()
        data = self._waiting + self._board.advance(self._pacer.wait_ns(self._board.now_ns))
        self._waiting = b""
        return Arrival(data=data, host_ns=self._pacer.host_ns())

    def write(self, data: bytes) -> None:
        """Send bytes; commands in them are obeyed at the bench's present moment."""
        self._check_there()
        self._waiting += self._board.advance(self._pacer.now_ns(self._board.now_ns))
        self._board.receive(data)

    def host_ns(self) -> int:
        """Return the host clock: virtual at a flat pace, the computer's monotonic one otherwise."""
        return self._pacer.host_ns()

    def close(self) -> None:
        """Let go of the bench and write the truth, if it was asked for; closing twice is harmless.

        Raises DiskTrouble if the truth cannot be written.
        """
        if self._closed:
            return
        self._closed = True
        if self._truth is not None:
            write_truth(self._truth, self._truth_document())

    def _check_there(self) -> None:
        if self._closed:
            raise PortGone("The practice bench was closed. Open it again.")
        if self._unplugged_ns is not None and self._board.now_ns >= self._unplugged_ns:
            raise PortGone(
                f"The practice bench was unplugged after {self._options.unplug_s:g} s, as its URL asked. Open it again."
            )

    def _truth_document(self) -> dict[str, object]:
        board, bench = self._board, self._board.bench
        ended_ns = board.now_ns
        bench.settle()
        flips = [
            flip
            for flip in bench.answers.flips
            if any(first <= flip.at_ns < (ended_ns + 1 if last is None else last) for first, last in board.recordings)
        ]
        moves = [move for move in bench.hand.moves if move.from_ns < ended_ns]
        return truth_document(
            self._options,
            flips,
            bench.switch_ons,
            board.session_ns,
            moves=moves,
            stick_age_ms=bench.stick_age_ms,
        )
