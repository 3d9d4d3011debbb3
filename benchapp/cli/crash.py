"""What to do with a fault nobody expected: keep the details, say so once."""

import sys
import tempfile
import traceback

from benchapp.cli.printing import one_line
from benchapp.desk.software import software


def keep_details(error: BaseException) -> None:
    """Write the details of an unexpected error to a file of their own and say where they are, on one line."""
    text = f"{software()}, Python {sys.version}\n" + "".join(traceback.format_exception(error))
    try:
        with tempfile.NamedTemporaryFile(
            "w", prefix="benchapp-", suffix=".txt", delete=False, encoding="utf-8", errors="backslashreplace"
        ) as file:
            file.write(text)
        where = f"The details are in {file.name}; send that file with a bug report."
    except OSError as refused:
        reason = refused.strerror or "the system gave no reason"
        where = f"The details could not be written ({reason}): {type(error).__name__}: {error}"
    print(one_line(f"benchapp: something happened that this program did not expect. {where}"), file=sys.stderr)
