"""A program that recovers one session and says so: it is there to be killed.

python -m tests.sessions.dying_recovery FILE
"""

import sys
from pathlib import Path

from benchapp.sessions.recovery import recover


def main() -> None:
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    sys.stdout.write(recover(Path(sys.argv[1])) + "\n")


if __name__ == "__main__":
    main()
