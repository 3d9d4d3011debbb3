#!/usr/bin/env bash
# Sets everything up and runs every check and test. Words after it go to pytest.
set -euo pipefail

here="$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)"
# shellcheck source=resources/set_up.sh
. "$here/resources/set_up.sh"
cd "$here"

environment="${BENCHAPP_VENV:-$here/.venv}"
# What some tests need besides: a failing disk, a screen that dies, the words of a PDF, the menu's own checks, and the
# emulated probe. Without them those tests are skipped, and pytest says which and why (-ra).
TEST_PACKAGES="strace xvfb $SCREEN_PACKAGES poppler-utils desktop-file-utils shared-mime-info"
TEST_PACKAGES="$TEST_PACKAGES gcc libc6-dev make gcc-avr binutils-avr avr-libc libsimavr-dev libelf-dev avrdude"
# shellcheck disable=SC2086  # the lists are words on purpose
system_packages $QT_PACKAGES $TEST_PACKAGES
python_environment "$environment" "${here}[dev]"
export PATH="$environment/bin:$PATH"
unset PYTHONPATH PYTHONHOME

say "ruff";         ruff check .
say "ruff format";  ruff format --check .
say "mypy";         mypy
say "import rules"; lint-imports
say "pytest";       exec pytest -n 2 "$@"
