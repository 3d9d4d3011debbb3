"""A program for a chip as an Intel HEX file holds it (format: Intel, "Hexadecimal Object File Format", 1988).

Every line is `:` and pairs of hexadecimal digits: size, address (2 bytes, high first), type, data, and a byte that
makes the sum of all of them 0 modulo 256. Types: 0 data, 1 end, 2 and 4 the upper part of the addresses that
follow, 3 and 5 where to begin (of no use here). Nothing of a file is used unless all of it can be.
"""

from benchapp.records.errors import WrongInput

LARGEST_FILE = 1 << 20
EMPTY = 0xFF
"""What memory without a program reads as."""
_DATA, _END, _SEGMENT, _SEGMENT_START, _LINEAR, _LINEAR_START = range(6)
_SIZES = {_END: 0, _SEGMENT: 2, _SEGMENT_START: 4, _LINEAR: 2, _LINEAR_START: 4}
_SHIFTS = {_SEGMENT: 4, _LINEAR: 16}
_SHOWN = 30


def read_intel_hex(text: bytes, *, file: str, room: int) -> bytes:
    """Return the program from address 0 to its last byte; what no line names is EMPTY.

    room is how many bytes fit below the boot loader. Raises WrongInput with the file, the line and the reason.
    """
    if len(text) > LARGEST_FILE:
        raise WrongInput(
            f"{file} is no probe program: it has {len(text)} bytes, and no program for this chip needs more than "
            f"{LARGEST_FILE}. Choose another file."
        )
    return _Reader(file, room).read(text)


class _Reader:
    def __init__(self, file: str, room: int) -> None:
        self._file = file
        self._image = bytearray((EMPTY,)) * room
        self._taken = bytearray(room)
        self._upper = self._line = self._end = 0

    def read(self, text: bytes) -> bytes:
        ended = False
        for self._line, line in enumerate(text.splitlines(), start=1):
            words = line.strip()
            if not words:
                continue
            if ended:
                raise self._wrong("something stands after the line that ends the file")
            ended = self._take(self._record(words))
        if not ended:
            raise self._wrong("the line that ends the file is missing, so part of it may be")
        if not self._taken[0]:
            raise self._wrong("no line holds address 0, where a program begins")
        return bytes(self._image[: self._end])

    def _record(self, words: bytes) -> bytes:
        """Return size, address, type and data of a line."""
        if not words.startswith(b":"):
            raise self._wrong(f"a colon was expected first, got {words[:_SHOWN].decode('ascii', 'replace')!r}")
        digits = words[1:]
        # bytes.fromhex would pass over blanks between the pairs
        if len(digits) % 2 or not all(digit in b"0123456789abcdefABCDEF" for digit in digits):
            raise self._wrong("pairs of hexadecimal digits were expected after the colon")
        record = bytes.fromhex(digits.decode("ascii"))
        if len(record) < 5 or len(record) != record[0] + 5:
            raise self._wrong(f"the line promises {record[0] if record else 0} bytes of data and has another number")
        if sum(record) & 0xFF:
            raise self._wrong(f"its check is {record[-1]:02X}, {-sum(record[:-1]) & 0xFF:02X} was expected")
        return record[:-1]

    def _take(self, record: bytes) -> bool:
        """Take one line; return whether it ends the file."""
        kind, data = record[3], record[4:]
        if kind == _DATA:
            self._place(int.from_bytes(record[1:3], "big"), data)
            return False
        if kind not in _SIZES:
            raise self._wrong(f"there is no type {kind}")
        if len(data) != _SIZES[kind]:
            raise self._wrong(f"a line of type {kind} has {_SIZES[kind]} bytes of data, this one has {len(data)}")
        if kind in _SHIFTS:
            self._upper = int.from_bytes(data, "big") << _SHIFTS[kind]
        return kind == _END

    def _place(self, address: int, data: bytes) -> None:
        start = self._upper + address
        end = start + len(data)
        if end > len(self._image):
            raise self._wrong(
                f"it reaches to address {end:#x}, and {len(self._image):#x} is where the boot loader may begin: the "
                "program is too large, or for another chip"
            )
        if any(self._taken[start:end]):
            raise self._wrong(f"it writes again to address {start:#x} or behind it")
        self._image[start:end] = data
        self._taken[start:end] = b"\1" * len(data)
        self._end = max(self._end, end)

    def _wrong(self, why: str) -> WrongInput:
        return WrongInput(
            f"{self._file} is no whole probe program: line {max(self._line, 1)}, {why}. Choose another file, or get a "
            "fresh copy of it.",
            kept="Nothing was sent to the board.",
        )
