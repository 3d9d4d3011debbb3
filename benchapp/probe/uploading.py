"""Writes a program onto an ATmega328P through its boot loader, and reads it back.

A half-written program never runs: the first page, which every start and every interrupt goes through, holds nothing
but endless loops until all other pages are written and read back alike. The boot loader's own memory is never
written, so that whatever goes wrong the same can be done again.
Before, an upload that broke off left a mixture of two programs to run. Whatever happens now, the boot loader answers
again.
"""

from collections.abc import Callable, Iterator
from contextlib import suppress

from benchapp.probe.boot_loader import BootLoader, BootPort, WrongAnswer
from benchapp.records.errors import NoBootLoader, ProbeTrouble, StoppedByHand, UploadBroken, WrongChip
from benchapp.records.probe_install import InstallProgress, InstallStep

CHIP = bytes((0x1E, 0x95, 0x0F))
CHIP_NAME = "ATmega328P"
PAGE_SIZE = 128
ROOM = 0x7000
"""What lies below the largest boot section the chip can be set to (data sheet: 2,048 words of 16,384)."""
RATES = (115_200, 57_600)
"""The rates of the boot loaders such boards are sold with."""
ROUNDS = 3
TRIES = 4
LOOP = b"\xff\xcf"
"""The instruction that jumps to itself (data sheet of the instruction set: `rjmp .-2`)."""

_OTHER_CHIPS = {
    (0x1E, 0x93, 0x07): "ATmega8",
    (0x1E, 0x93, 0x0A): "ATmega88",
    (0x1E, 0x93, 0x0F): "ATmega88P",
    (0x1E, 0x94, 0x06): "ATmega168",
    (0x1E, 0x94, 0x0B): "ATmega168P",
    (0x1E, 0x95, 0x14): "ATmega328",
    (0x1E, 0x95, 0x16): "ATmega328PB",
    (0x1E, 0x95, 0x87): "ATmega32U4",
    (0x1E, 0x96, 0x0A): "ATmega644P",
    (0x1E, 0x97, 0x03): "ATmega1280",
    (0x1E, 0x97, 0x05): "ATmega1284P",
    (0x1E, 0x98, 0x01): "ATmega2560",
}
"""Signatures, from the chips' data sheets."""

UNCHANGED = "The board was not changed."
HALF = (
    "The board's boot loader is untouched and what is half written will not run, so nothing on the board moves by it."
)
AGAIN = "Press the board's reset button, or unplug it and plug it in again, and start the installing once more."

Tell = Callable[[InstallProgress], None]
Stop = Callable[[], bool]


def upload(port: BootPort, program: bytes, *, tell: Tell, stop: Stop) -> None:
    """Write a program of at most ROOM bytes, read it back, and start it.

    Raises NoBootLoader, WrongChip, UploadBroken, StoppedByHand, and what the port raises; `kept` says how the board is.
    """
    _Upload(port, program, tell, stop).run()


def find_boot_loader(port: BootPort, *, tell: Tell, stop: Stop, rounds: int = ROUNDS) -> BootLoader:
    """Return the boot loader that answers, after resetting the board for each rate.

    Takes at most 1.5 s a rate and round. Raises NoBootLoader or StoppedByHand.
    """
    loader = BootLoader(port)
    total = rounds * len(RATES) * TRIES
    for number in range(total):
        _check_stop(stop, UNCHANGED)
        if number % TRIES == 0:
            tell(InstallProgress(step=InstallStep.RESET))
            port.set_rate(RATES[number // TRIES % len(RATES)])
            port.reset()
        tell(InstallProgress(step=InstallStep.BOOT_LOADER, done=number + 1, total=total))
        if loader.listens():
            return loader
    raise NoBootLoader(_silent(port.name, total, loader.heard), kept=UNCHANGED)


def check_chip(loader: BootLoader, name: str) -> None:
    """Raise WrongChip where the board's chip is another, UploadBroken where it does not say; nothing is written."""
    try:
        signature = loader.signature()
    except WrongAnswer as answer:
        raise UploadBroken(
            f"The boot loader on {name} did not say which chip it is on: {answer}. {AGAIN}", kept=UNCHANGED
        ) from answer
    if signature == CHIP:
        return
    leave(loader)
    known = _OTHER_CHIPS.get((signature[0], signature[1], signature[2]))
    which = f"an {known}" if known else "one that is not known here"
    raise WrongChip(
        f"The board on {name} has another chip: an {CHIP_NAME} (signature {_hex(CHIP)}) was expected, its signature is "
        f"{_hex(signature)}, {which}. Use a board with an {CHIP_NAME}.",
        kept=UNCHANGED,
    )


def leave(loader: BootLoader) -> None:
    """Let the board go on with what is on it, as far as it listens."""
    with suppress(WrongAnswer):
        loader.end()


class _Upload:
    def __init__(self, port: BootPort, program: bytes, tell: Tell, stop: Stop) -> None:
        if not 0 < len(program) <= ROOM:
            raise ValueError(f"a program of 1 to {ROOM} bytes was expected, got {len(program)}")
        self._port, self._tell, self._stop = port, tell, stop
        whole = program + b"\xff" * (-len(program) % PAGE_SIZE)
        self._pages = {at: whole[at : at + PAGE_SIZE] for at in range(0, len(whole), PAGE_SIZE)}
        self._kept = UNCHANGED
        self._where = "before the first page"

    def run(self) -> None:
        loader = find_boot_loader(self._port, tell=self._tell, stop=self._stop)
        check_chip(loader, self._port.name)
        try:
            loader.begin()
            self._write(loader)
            self._where = "at its end"
            loader.end()
        except WrongAnswer as answer:
            raise UploadBroken(
                f"Writing to {self._port.name} broke off {self._where}: {answer}. {AGAIN}", kept=self._kept
            ) from answer
        except ProbeTrouble as trouble:
            trouble.kept = trouble.kept or f"{self._kept} {AGAIN}"
            raise

    def _write(self, loader: BootLoader) -> None:
        later = {at: page for at, page in self._pages.items() if at}
        _check_stop(self._stop, self._kept)
        self._kept = HALF
        loader.write_page(0, LOOP * (PAGE_SIZE // 2))
        for at, page in self._each(InstallStep.WRITE, later):
            loader.write_page(at, page)
        for at, page in self._each(InstallStep.VERIFY, later):
            self._compare(loader, at, page)
        # Not to be stopped from here on: between these two the program is whole, but nobody has seen that it is.
        self._where = "at the first page"
        loader.write_page(0, self._pages[0])
        self._tell(self._progress(InstallStep.WRITE, len(self._pages)))
        try:
            self._compare(loader, 0, self._pages[0])
        except UploadBroken:
            loader.write_page(0, LOOP * (PAGE_SIZE // 2))
            raise
        self._kept = "The whole program is on the board."
        self._tell(self._progress(InstallStep.VERIFY, len(self._pages)))

    def _each(self, step: InstallStep, pages: dict[int, bytes]) -> Iterator[tuple[int, bytes]]:
        """Yield the pages, telling how far it is and looking whether to stop before each."""
        for done, (at, page) in enumerate(pages.items()):
            _check_stop(self._stop, f"{self._kept} {AGAIN}")
            self._tell(self._progress(step, done))
            self._where = f"at page {at // PAGE_SIZE + 1} of {len(self._pages)}"
            yield at, page

    def _progress(self, step: InstallStep, done: int) -> InstallProgress:
        return InstallProgress(step=step, done=done, total=len(self._pages))

    def _compare(self, loader: BootLoader, at: int, page: bytes) -> None:
        came = loader.read_page(at, len(page))
        if came == page:
            return
        wrong = next(n for n, (one, other) in enumerate(zip(came, page, strict=True)) if one != other)
        raise UploadBroken(
            f"What {self._port.name} reads back is not what was written: {page[wrong]:#04x} was expected at address "
            f"{at + wrong:#06x}, {came[wrong]:#04x} came. {AGAIN} If it happens again, the board's memory is worn out.",
            kept=self._kept,
        )


def _check_stop(stop: Stop, kept: str) -> None:
    if stop():
        raise StoppedByHand("The installing was stopped.", kept=kept)


def _silent(name: str, tries: int, heard: int) -> str:
    came = f"{heard} bytes came, none of which is its answer" if heard else "nothing came"
    rates = " and ".join(map(str, RATES))
    return (
        f"No boot loader answers on {name}: asked {tries} times at {rates} bit/s, {came}. Press the board's reset "
        "button just when the installing starts, and try again. If another device is on this port, choose another."
    )


def _hex(data: bytes) -> str:
    return data.hex(" ").upper()
