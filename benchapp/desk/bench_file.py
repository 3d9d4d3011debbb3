"""What is under test, read from a file that a person wrote (TOML)."""

import tomllib
from pathlib import Path

from benchapp.desk.inputs import read_bytes
from benchapp.desk.names import shown
from benchapp.presentation.bench_fields import READY, UNDER_TEST
from benchapp.records.errors import WrongInput

NAME = "name"
_ANSWERS = ("checked", "not possible", "not noted")
_MOST_BYTES = 1_000_000


def read_bench(path: Path) -> dict[str, str]:
    """Return the fields of what is under test, {key: text}; `name` is the session's own name.

    Raises WrongInput, naming the file, for what is no TOML, an unknown key, or a value that is no text or number.
    """
    try:
        table = tomllib.loads(read_bytes(path, most=_MOST_BYTES).decode("utf-8"))
    except UnicodeDecodeError as error:
        raise WrongInput(f"{shown(path)} is not UTF-8 text (byte {error.start}). Save it as UTF-8.") from error
    except tomllib.TOMLDecodeError as error:
        raise WrongInput(f"{shown(path)} cannot be read as TOML: {str(error)[:200]}. Mend that place.") from error
    except RecursionError as error:
        raise WrongInput(f'{shown(path)} is nested too deeply; plain lines key = "text" were expected.') from error
    return {key: _text(path, key, value) for key, value in table.items()}


def _text(path: Path, key: str, value: object) -> str:
    known = (NAME, *UNDER_TEST, *READY)
    if key not in known:
        raise WrongInput(f"{shown(path)}: there is no field {shown(key)}. The fields are {', '.join(known)}.")
    if isinstance(value, bool):
        text = "yes" if value else "no"
    elif isinstance(value, str | int | float):
        text = str(value)
    else:
        raise WrongInput(f"{shown(path)}: {key} wants a text or a number, got a {type(value).__name__}.")
    if key in READY and text not in _ANSWERS:
        raise WrongInput(f"{shown(path)}: {key} wants {', '.join(_ANSWERS)}; got {shown(text)}.")
    return text
