"""A capture file of either format."""

from collections.abc import Mapping

from benchapp.records.errors import WrongCall
from benchapp.sessions.exchange.capture import Capture
from benchapp.sessions.exchange.csv_columns import read_csv
from benchapp.sessions.exchange.plain_text import plain_bytes
from benchapp.sessions.exchange.refusal import shown
from benchapp.sessions.exchange.thresholds import Threshold, thresholded
from benchapp.sessions.exchange.vcd import read_vcd


def read_capture(
    data: bytes,
    *,
    file: str,
    time: str | None = None,
    skip: int = 0,
    thresholds: Mapping[str, Threshold] | None = None,
) -> Capture:
    """Return what a VCD or a CSV file holds; which of the two it is, its name's ending says, else its first sign.

    time and skip belong to CSV; thresholds to leads in volts of either. Raises WrongInput and WrongCall as the two
    readers do.
    """
    if not _is_vcd(data, file):
        return read_csv(data, file=file, time=time, skip=skip, thresholds=thresholds)
    if time is not None or skip:
        raise WrongCall(f"{shown(file)} is a VCD file, which states its own time; --time and --skip are for CSV.")
    return thresholded(read_vcd(data, file=file), thresholds or {})


def _is_vcd(data: bytes, file: str) -> bool:
    ending = file.rpartition(".")[2].lower()
    if ending in {"vcd", "csv", "tsv"}:
        return ending == "vcd"
    return plain_bytes(data[:4096], file=file).lstrip().startswith(b"$")
