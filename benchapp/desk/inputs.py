"""Files that a person names, read whole."""

from pathlib import Path

from benchapp.desk.names import shown
from benchapp.records.errors import DiskTrouble, WrongInput
from benchapp.sessions.naming import reason


def read_bytes(path: Path, *, most: int) -> bytes:
    """Return a file's bytes.

    Raises WrongInput for a file that is not there, is no file, may not be read, or has more than `most` bytes;
    DiskTrouble where reading fails half-way.
    """
    try:
        if path.is_dir():
            raise WrongInput(f"{shown(path)} is a folder; a file was expected.")
        if not path.is_file():
            raise WrongInput(f"There is no file {shown(path)}. Look at the name and the folder.")
        size = path.stat().st_size
        if size > most:
            raise WrongInput(f"{shown(path)} has {size} bytes; at most {most} can be read. Cut it into parts.")
        return path.read_bytes()
    except PermissionError as error:
        raise WrongInput(f"{shown(path)} may not be read by this user. Change its permissions.") from error
    except ValueError as error:
        raise WrongInput(f"No file can be named {shown(path)}.") from error
    except OSError as error:
        raise DiskTrouble(f"{shown(path)} could not be read: {reason(error)}.") from error
