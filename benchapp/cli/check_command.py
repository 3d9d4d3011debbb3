"""`benchapp check`: whether a session is whole."""

import argparse

from benchapp.cli.printing import say, say_aside
from benchapp.desk.checking import check
from benchapp.desk.names import shown

_DAMAGED = 2
_MOST_SHOWN = 20


def run_check(asked: argparse.Namespace) -> int:
    """Say whether every block matches its check; return 0 if so, 2 if anything is damaged."""
    found = check(asked.session)
    if found.kept:
        say(f"{shown(asked.session)} {found.kept}.")
    if found.ok:
        say(f"{shown(asked.session)} is whole: {found.blocks} blocks, evidence code {found.evidence_hash}.")
        return 0
    for line in found.damaged[:_MOST_SHOWN]:
        say_aside(f"{shown(asked.session)}: {line}")
    if len(found.damaged) > _MOST_SHOWN:
        say_aside(f"{shown(asked.session)}: and {len(found.damaged) - _MOST_SHOWN} more places.")
    return _DAMAGED
