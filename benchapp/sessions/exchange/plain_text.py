"""The bytes of a text file, whatever it was saved as."""

import codecs

from benchapp.sessions.exchange.refusal import line_at, refused

_WIDE = (
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


def plain_bytes(data: bytes, *, file: str) -> bytes:
    """Return the text in a form whose ASCII is ASCII and whose lines end in LF (a CR before it stays).

    UTF-8 with or without its mark, UTF-16 and UTF-32 with their mark, and line ends of a lone CR are taken.
    Raises WrongInput for an empty file and for one with NUL bytes, which is no text.
    """
    for mark, encoding in _WIDE:
        if data.startswith(mark):
            try:
                data = data.decode(encoding).encode("utf-8")
            except UnicodeDecodeError as error:
                raise refused(file, None, f"it begins as {encoding.upper()} text but does not go on so") from error
            break
    data = data.removeprefix(codecs.BOM_UTF8)
    if not data.strip():
        raise refused(file, None, "the file is empty")
    nul = data.find(b"\0")
    if nul >= 0:
        raise refused(file, line_at(data, nul), "expected text, got a NUL byte; this is no text file")
    if b"\n" not in data:
        data = data.replace(b"\r", b"\n")
    return data
