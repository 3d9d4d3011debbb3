"""Which test files reach a file of the program by what they import, the nearest first."""

import ast
from collections import deque
from functools import cache
from pathlib import Path


def nearest_tests(root: Path, path: Path) -> list[str]:
    """Return the tests of a file's room that reach it: those named like it, then by the number of imports between."""
    module = ".".join(path.with_suffix("").parts)
    tests = sorted((root / "tests" / path.parts[1]).glob("test_*.py"))
    far = {test: 0 if test.name.startswith(f"test_{path.stem}") else _steps(root, test, module) for test in tests}
    reaching = sorted((steps, test) for test, steps in far.items() if steps is not None)
    return [str(test.relative_to(root)) for _, test in reaching]


def _steps(root: Path, test: Path, module: str) -> int | None:
    """Return how many imports lead from a test file to a module, None where none do."""
    seen, waiting = {test}, deque([(test, 0)])
    while waiting:
        path, steps = waiting.popleft()
        for name in imported(path):
            if name == module:
                return steps + 1
            file = root / Path(*name.split(".")).with_suffix(".py")
            if file not in seen and file.is_file():
                seen.add(file)
                waiting.append((file, steps + 1))
    return None


@cache
def imported(path: Path) -> tuple[str, ...]:
    """Return the names of the modules a file imports from, with the names taken, which may be modules too."""
    names: list[str] = []
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.ImportFrom) and node.module:
            names += [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
    return tuple(name for name in names if name.startswith(("benchapp.", "tests.")))
