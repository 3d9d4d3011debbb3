"""The map for developers names only what is there, so that whoever follows it arrives."""

import importlib
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
# Where a path of the map may begin: at the top, or in the package.
BASES = (ROOT, ROOT / "benchapp")
ROOMS = sorted(folder.name for folder in (ROOT / "benchapp").iterdir() if (folder / "__init__.py").exists())
MOST_BYTES = 12_000
# Stands for whatever somebody adds.
PLACEHOLDERS = ("ANOTHER", "…", "*")


def _spans(text: str) -> list[str]:
    return re.findall(r"`([^`\n]+)`", re.sub(r"```.*?```", "", text, flags=re.DOTALL))


def _paths(text: str) -> list[str]:
    """Return what a text names as paths: one word with a slash in it, or a file's name with its ending."""
    words = [word for span in _spans(text) for word in span.split()]
    named = [word for word in words if re.fullmatch(r"[\w./…*-]+", word) and _looks_like_path(word)]
    return sorted({word for word in named if not any(sign in word for sign in PLACEHOLDERS)})


def _looks_like_path(word: str) -> bool:
    return ("/" in word and not word.startswith("-")) or bool(re.search(r"\.(py|md|toml|json|sh)$", word))


def _modules(text: str) -> list[str]:
    """Return what a text names as modules or as things in them: dotted words that begin with a room, or with tests."""
    words = {word for span in _spans(text) for word in span.split()}
    begins = (*(f"{room}." for room in ROOMS), "tests.")
    return sorted(word for word in words if word.startswith(begins) and re.fullmatch(r"[A-Za-z_.]+", word))


def _is_there(path: str) -> bool:
    return any((base / path).exists() or (base / f"{path}.py").exists() for base in BASES)


def test_the_map_stays_a_map() -> None:
    assert len(TEXT.encode("utf-8")) <= MOST_BYTES, "a single decision stands in the docstring of what it explains"


@pytest.mark.parametrize("path", _paths(TEXT))
def test_every_path_of_the_map_is_there(path: str) -> None:
    assert _is_there(path), f"DEVELOPERS.md names {path}, which is not there"


@pytest.mark.parametrize("name", _modules(TEXT))
def test_every_module_of_the_map_is_there(name: str) -> None:
    if _is_there(name.replace(".", "/")):
        return
    module, _, thing = name.rpartition(".")
    assert _is_there(module.replace(".", "/")), f"DEVELOPERS.md names {name}, which is not there"
    loaded = importlib.import_module(module if module.startswith("tests") else f"benchapp.{module}")
    assert hasattr(loaded, thing), f"DEVELOPERS.md names {name}, which is not there"


def test_every_heart_file_is_there_in_its_room() -> None:
    heart = TEXT.split("### The heart, in reading order")[1].split("\n## ")[0]
    names = [span for span in _spans(heart) if re.fullmatch(r"[a-z_]+", span)]
    assert len(names) > 20
    rooms = (ROOT / "benchapp" / "waveforms", ROOT / "benchapp" / "reduction")
    assert [name for name in names if not any(any(room.rglob(f"{name}.py")) for room in rooms)] == []


def test_a_name_that_is_nowhere_is_found_out() -> None:
    assert _paths("see `reduction/nothing_such.py` and `tests/nowhere`") == [
        "reduction/nothing_such.py",
        "tests/nowhere",
    ]
    assert not any(map(_is_there, _paths("see `reduction/nothing_such.py` and `tests/nowhere`")))
    assert _modules("`reduction.nothing_such`, `python -m tests.nowhere`") == [
        "reduction.nothing_such",
        "tests.nowhere",
    ]
