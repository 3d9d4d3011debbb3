"""What is under test, read from a file that a person wrote (TOML)."""

import re
import tomllib
from pathlib import Path

from benchapp.desk.inputs import read_bytes
from benchapp.desk.names import shown
from benchapp.presentation.ground.bench_fields import READY, TOGETHER, UNDER_TEST
from benchapp.records.errors import WrongInput

NAME = "name"
_ANSWERS = ("checked", "not possible", "not noted")
_MOST_BYTES = 100_000
_DEEP_KEY = re.compile(r"""(?<![\w"'-])(?:[\w"'-]+\s*\.\s*){20,}""")
"""A key of so many parts: the fields have one, and reading such a key takes the square of their number."""


def read_bench(path: Path) -> dict[str, str]:
    """Return the fields of what is under test, {key: text}; `name` is the session's own name.

    Raises WrongInput, naming the file, for what is no TOML, an unknown key, or a value that is no text or number.
    """
    try:
        text = read_bytes(path, most=_MOST_BYTES).decode("utf-8")
        if _DEEP_KEY.search(text):
            raise _nested(path)
        table = tomllib.loads(text)
    except UnicodeDecodeError as error:
        raise WrongInput(f"{shown(path)} is not UTF-8 text (byte {error.start}). Save it as UTF-8.") from error
    except tomllib.TOMLDecodeError as error:
        raise WrongInput(f"{shown(path)} cannot be read as TOML: {str(error)[:200]}. Mend that place.") from error
    except ValueError as error:  # a number of thousands of digits
        raise WrongInput(f"{shown(path)} holds a number of more digits than can be read. Mend it.") from error
    except RecursionError as error:
        raise _nested(path) from error
    return {key: _text(path, key, value) for key, value in table.items()}


def _written(path: Path, key: str, value: str | float) -> str:
    try:
        return str(value)
    except ValueError as error:  # read as hexadecimal, it has too many digits to be written as decimals
        raise WrongInput(f"{shown(path)}: {key} has more digits than can be written. Mend it.") from error


def _nested(path: Path) -> WrongInput:
    return WrongInput(f'{shown(path)} is nested too deeply; plain lines key = "text" were expected.')


def _text(path: Path, key: str, value: object) -> str:
    known = (NAME, *TOGETHER, *UNDER_TEST, *READY)
    if key not in known:
        raise WrongInput(f"{shown(path)}: there is no field {shown(key)}. The fields are {', '.join(known)}.")
    if isinstance(value, bool):
        text = "yes" if value else "no"
    elif isinstance(value, str | int | float):
        text = _written(path, key, value)
    else:
        raise WrongInput(f"{shown(path)}: {key} wants a text or a number, got a {type(value).__name__}.")
    if key in READY and text not in _ANSWERS:
        raise WrongInput(f"{shown(path)}: {key} wants {', '.join(_ANSWERS)}; got {shown(text)}.")
    return text
