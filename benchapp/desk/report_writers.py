"""What writes the files of a report, and finds those of one before: texts as they are, and the PDF of a page."""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from benchapp.presentation.ground.page import Page
from benchapp.records.errors import SystemTrouble

Writer = Callable[[Path], None]


def writers_of(texts: Mapping[str, str], page: Page, pdf: str) -> list[tuple[str, Writer]]:
    """Return (file name, what writes that file), the PDF at the end under the name `pdf`; "" leaves it out."""
    writers = [(name, _writing(text)) for name, text in texts.items()]
    return [*writers, (pdf, lambda path: _write_pdf(page, path))] if pdf else writers


def files_before(folder: Path, format_name: str, names: Sequence[str]) -> list[str]:
    """Return which of these files are in a folder from a report before; none where its document is not of that format.

    The document tells, so it stands first in names: it comes first and goes last.
    """
    try:
        with (folder / names[0]).open("rb") as document:
            begins = document.read(200)
    except OSError:
        return []
    if format_name.encode() not in begins:
        return []
    return [name for name in names if (folder / name).is_file()]


def _writing(text: str) -> Writer:
    def write(path: Path) -> None:
        path.write_text(text, encoding="utf-8", newline="")  # a table has its own line ends

    return write


def _write_pdf(page: Page, path: Path) -> None:
    try:
        # Qt is needed for this file alone, and may be missing where everything else works.
        from benchapp.report.pdf import write_pdf  # noqa: PLC0415
    except ImportError as error:
        raise SystemTrouble(
            f"The PDF needs a part of the system that is missing: {error}. On Debian or Ubuntu: apt-get install libgl1 "
            "libegl1 libxkbcommon0 libfontconfig1 libglib2.0-0 libdbus-1-3. Or leave it out with --no-pdf.",
            kept="Nothing was written.",
        ) from error
    write_pdf(page, path)
