"""A boot loader as AVR061 describes it, for tests: bytes in, bytes out, with a chip's memory behind it.

The commands, their lengths and the chip's sizes and signature are those of the application note AVR061 and of the
ATmega328P's data sheet, typed from memory; the real tool `avrdude` is held against the same loader in tests.emulator.
"""

from collections.abc import Callable

FLASH_SIZE = 32_768
BOOT_AT = 0x7E00
PAGE = 128

IN_SYNC, OK, FAILED, NO_SYNC, END = 0x14, 0x10, 0x11, 0x15, 0x20
_SIZES = {0x30: 2, 0x41: 3, 0x50: 2, 0x51: 2, 0x55: 4, 0x74: 5, 0x75: 2, 0x42: 22, 0x45: 7}


class BootModel:
    """`flash` is what the chip holds; `writes` every page as it came; `rate` is asked which rate is spoken.

    spoil may change each answer: it gets the command and the answer and returns what is sent instead.
    """

    def __init__(
        self,
        *,
        speaks: int = 115_200,
        rate: Callable[[], int] = lambda: 115_200,
        signature: bytes = b"\x1e\x95\x0f",
        spoil: Callable[[int, bytes], bytes] = lambda _command, answer: answer,
    ) -> None:
        self.flash = bytearray(b"\xff") * FLASH_SIZE
        self.writes: list[tuple[int, bytes]] = []
        self.commands: list[int] = []
        self.running = False
        self._speaks, self._rate, self._signature, self._spoil = speaks, rate, signature, spoil
        self._waiting = b""
        self._address = 0
        self._programming = False

    def hear(self, data: bytes) -> bytes:
        if self._rate() != self._speaks:
            return bytes((byte * 7 + 3) & 0xFF | 0x80 for byte in data[:4])  # what a wrong rate makes of an answer
        self._waiting += data
        answers = b""
        while self._waiting and not self.running:
            size = self._size()
            if len(self._waiting) < size:
                break
            words, self._waiting = self._waiting[:size], self._waiting[size:]
            answers += self._spoil(words[0], self._answer(words))
        return answers

    def _size(self) -> int:
        if self._waiting[0] == 0x64:
            return 5 + int.from_bytes(self._waiting[1:3], "big") if len(self._waiting) >= 3 else 3 + PAGE
        return _SIZES.get(self._waiting[0], 1)

    def _answer(self, words: bytes) -> bytes:
        command = words[0]
        self.commands.append(command)
        if words[-1] != END or command not in {*_SIZES, 0x64}:
            return bytes((NO_SYNC,))
        return bytes((IN_SYNC,)) + self._do(command, words[1:-1])

    def _do(self, command: int, fields: bytes) -> bytes:
        match command:
            case 0x50:
                self._programming = True
            case 0x51:
                self.running = True
            case 0x55:
                self._address = 2 * int.from_bytes(fields[:2], "little")
            case 0x75:
                return self._signature + bytes((OK,))
            case 0x41:
                return bytes((3, OK))
            case 0x74:
                size = int.from_bytes(fields[:2], "big")
                return bytes(self.flash[self._address : self._address + size]) + bytes((OK,))
            case 0x64:
                return self._program(fields[3:])
        return bytes((OK,))

    def _program(self, page: bytes) -> bytes:
        assert self._programming, "a page came before programming began"
        assert self._address % PAGE == 0, f"a page at {self._address:#x}"
        assert self._address + len(page) <= BOOT_AT, "the boot loader itself was written over"
        self.writes.append((self._address, page))
        self.flash[self._address : self._address + len(page)] = page
        return bytes((OK,))


def intel_hex(program: bytes, *, start: int = 0) -> bytes:
    """The program as an Intel HEX file."""
    lines = [_line(start + at, 0, program[at : at + 16]) for at in range(0, len(program), 16)]
    return "\n".join([*lines, _line(0, 1, b""), ""]).encode()


def _line(address: int, kind: int, data: bytes) -> str:
    body = bytes((len(data), address >> 8 & 0xFF, address & 0xFF, kind)) + data
    return f":{body.hex().upper()}{-sum(body) & 0xFF:02X}"
