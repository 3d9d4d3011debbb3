"""Talks with a board's boot loader, one question and one answer at a time."""

from typing import Protocol

from benchapp.probe import boot_words as words

ANSWER_S = 1.0
"""A page is written in less than 10 ms (data sheet of the chip); a bridge may hold bytes back for 16 ms more."""
SYNC_S = 0.15
"""A try: boot loaders listen for one or two seconds after a reset."""
_MOST_BEFORE_SYNC = 256


class BootPort(Protocol):
    """A serial port as an uploader needs it. One thread opens, uses and closes it; every fault is a ProbeTrouble."""

    @property
    def name(self) -> str:
        """What a person calls this port."""

    def set_rate(self, rate: int) -> None:
        """Speak at so many bits a second from here on."""

    def reset(self) -> None:
        """Pulse the modem lines, which resets a board that listens to them, and forget what came before."""

    def forget(self) -> None:
        """Throw away what has come and was not read."""

    def write(self, data: bytes) -> None:
        """Send the bytes, all of them."""

    def read(self, count: int, within_s: float) -> bytes:
        """Return so many bytes, or as many as came within the time."""

    def close(self) -> None:
        """Let go of the port; closing twice is harmless."""


class WrongAnswer(Exception):
    """The boot loader did not answer as the protocol says: the text tells what was expected and what came."""


class BootLoader:
    """One boot loader. Every question is answered in bounded time and memory, or is a WrongAnswer."""

    def __init__(self, port: BootPort) -> None:
        self._port = port
        self.heard = 0

    def listens(self) -> bool:
        """Return whether the boot loader says twice running that it listens; whatever came before is thrown away."""
        self._port.forget()
        self._port.write(words.sync_words())
        return self._came_in() and self._again()

    def signature(self) -> bytes:
        """Return the three bytes that say which chip this is."""
        return self._ask(words.signature_words(), words.SIGNATURE_SIZE)

    def begin(self) -> None:
        """Put the boot loader into its programming mode."""
        self._ask(words.enter_words())

    def end(self) -> None:
        """End programming: the board starts what is written on it."""
        self._ask(words.leave_words())

    def write_page(self, address: int, page: bytes) -> None:
        """Write a page; address is in bytes."""
        self._ask(words.address_words(address))
        self._ask(words.program_words(page))

    def read_page(self, address: int, size: int) -> bytes:
        """Return so many bytes of the program memory from a byte address on."""
        self._ask(words.address_words(address))
        return self._ask(words.read_words(size), size)

    def _came_in(self) -> bool:
        """Return whether the answer ends what comes; a board's last words before its reset may stand before it."""
        answer = bytes((words.IN_SYNC, words.OK))
        came = self._port.read(len(answer), SYNC_S)
        if came and came != answer:
            came += self._port.read(_MOST_BEFORE_SYNC, SYNC_S)
        self.heard += len(came)
        return came.endswith(answer)

    def _again(self) -> bool:
        try:
            self._ask(words.sync_words(), within_s=SYNC_S)
        except WrongAnswer:
            return False
        return True

    def _ask(self, question: bytes, count: int = 0, *, within_s: float = ANSWER_S) -> bytes:
        """Return the data of the answer. Raises WrongAnswer."""
        self._port.write(question)
        answer = self._port.read(count + 2, within_s)
        self.heard += len(answer)
        if answer[:1] != bytes((words.IN_SYNC,)):
            raise WrongAnswer(f"expected {words.IN_SYNC:#04x} first, got {_shown(answer)}")
        if len(answer) < count + 2:
            raise WrongAnswer(f"expected {count + 2} bytes within {within_s:g} s, got {len(answer)}")
        if answer[-1] != words.OK:
            raise WrongAnswer(f"expected {words.OK:#04x} last, got {answer[-1]:#04x}")
        return answer[1:-1]


def _shown(answer: bytes) -> str:
    return f"{answer[0]:#04x}" if answer else "nothing"
