"""What is said to a boot loader and what it says: the STK500 protocol, version 1.

Source: Atmel application note AVR061, "STK500 Communication Protocol" (2003). Every command ends with END; every good
answer is IN_SYNC, data, OK. Addresses count words of two bytes, low byte first; sizes have the high byte first.
"""

END = 0x20

GET_SYNC = 0x30
ENTER_PROGRAMMING = 0x50
LEAVE_PROGRAMMING = 0x51
LOAD_ADDRESS = 0x55
PROGRAM_PAGE = 0x64
READ_PAGE = 0x74
READ_SIGNATURE = 0x75
FLASH = ord("F")

OK = 0x10
FAILED = 0x11
IN_SYNC = 0x14
NO_SYNC = 0x15

SIGNATURE_SIZE = 3


def sync_words() -> bytes:
    """Return the question whether anybody listens."""
    return bytes((GET_SYNC, END))


def signature_words() -> bytes:
    """Return the question which chip this is; the answer holds SIGNATURE_SIZE bytes."""
    return bytes((READ_SIGNATURE, END))


def enter_words() -> bytes:
    """Return the command to begin."""
    return bytes((ENTER_PROGRAMMING, END))


def leave_words() -> bytes:
    """Return the command to end, after which the program on the board runs."""
    return bytes((LEAVE_PROGRAMMING, END))


def address_words(byte_address: int) -> bytes:
    """Return the command that says where the next page lies; byte_address is even."""
    return bytes((LOAD_ADDRESS, *(byte_address // 2).to_bytes(2, "little"), END))


def program_words(page: bytes) -> bytes:
    """Return the command to write a page at the address."""
    return bytes((PROGRAM_PAGE, *len(page).to_bytes(2, "big"), FLASH)) + page + bytes((END,))


def read_words(size: int) -> bytes:
    """Return the command to read so many bytes at the address."""
    return bytes((READ_PAGE, *size.to_bytes(2, "big"), FLASH, END))
