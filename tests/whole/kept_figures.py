"""What each version of the reduction made of sessions that never change.

`python -m tests.whole.kept_figures` writes an entry for a version that has none. It never changes an entry that is
closed: whoever changes the figures of an unchanged session raises REDUCTION_VERSION. The newest entry is open until
its version is given away (`--close`); until then `--again` writes it anew.
"""

import hashlib
import json
import sys
from collections.abc import Iterator
from pathlib import Path

from benchapp.desk.findings import findings_document
from benchapp.records.findings import REDUCTION_VERSION

SESSIONS = Path(__file__).with_name("fixed_sessions")
KEPT = Path(__file__).with_name("kept_figures.json")
_LEFT_OUT = {
    "trials",
    "excluded",
    "values",
    "curve",
    "reason",
    "null_because",
    "up",
    "down",
    "first_lead",
    "near_final_lead",
}
"""Words, which may get better; and rows of single flips and positions, and repeats, which the other figures rest on."""


def leaves(tree, where: str = "") -> Iterator[tuple[str, object]]:
    """Yield every figure and code of a document, with its place in it."""
    if isinstance(tree, dict):
        for key, value in tree.items():
            if key not in _LEFT_OUT:
                yield from leaves(value, f"{where}/{key}")
    elif isinstance(tree, list):
        for number, value in enumerate(tree):
            yield from leaves(value, f"{where}/{number}")
    else:
        yield where, tree


def figures_now() -> dict[str, dict[str, object]]:
    """Return the figures that this version gives for each fixed session, by the session's stem."""
    return {path.stem: dict(leaves(findings_document(path)["runs"])) for path in sorted(SESSIONS.glob("*.t2h"))}


def kept() -> dict:
    """Return the entries by version, as text: {"closed": …, "figures": {stem: {place: value}}}."""
    return json.loads(KEPT.read_text(encoding="utf-8")) if KEPT.exists() else {}


def digest(entry: dict) -> str:
    """Return the SHA-256 of an entry's figures."""
    return hashlib.sha256(json.dumps(entry["figures"], sort_keys=True).encode()).hexdigest()


def main(wishes: list[str]) -> int:
    entries, version = kept(), str(REDUCTION_VERSION)
    entry = entries.get(version)
    if entry is not None and entry["closed"]:
        print(f"Version {version} is closed. Raise REDUCTION_VERSION where an unchanged session's figures change.")
        return 1
    if entry is None or "--again" in wishes:
        entry = entries[version] = {"closed": False, "figures": figures_now()}
    if "--close" in wishes:
        entry["closed"] = True
        print(f'Enter in CLOSED of test_kept_figures.py: {version}: "{digest(entry)}"')
    KEPT.write_text(json.dumps(entries, indent=0, sort_keys=True, ensure_ascii=True) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
