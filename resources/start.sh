#!/usr/bin/env bash
# Sets everything up and opens the app on the practice bench; without a screen it records and reports instead.
set -euo pipefail

here="$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)"
# shellcheck source=resources/set_up.sh
. "$here/resources/set_up.sh"

environment="${BENCHAPP_VENV:-$here/.venv}"
bench='practice://alder?seed=1'
screen=""
if [ -n "${DISPLAY:-}" ] || [ -n "${WAYLAND_DISPLAY:-}" ]; then screen=yes; fi

# shellcheck disable=SC2086  # the lists are words on purpose
system_packages $QT_PACKAGES ${screen:+$SCREEN_PACKAGES}
python_environment "$environment" "$here"

status=0
"$environment/bin/benchapp" "${bench}&flips=none" || status=$?
if [ "$status" -ne 3 ]; then
    exit "$status"
fi

say "The window stays shut. Recording a run on the practice bench instead."
number=1
while [ -e "practice-$number.t2h" ] || [ -e "practice-$number-report" ]; do number=$((number + 1)); done
session="practice-$number.t2h"
"$environment/bin/benchapp" record --probe "$bench" --test switch-flip --flips 60 --yes-safe --out "$session"
if ! "$environment/bin/benchapp" report "$session" --out "practice-$number-report"; then
    say "Writing the report once more, without the PDF."
    "$environment/bin/benchapp" report "$session" --out "practice-$number-report" --no-pdf
fi
say "Open practice-$number-report/report.html in any browser. All commands: $environment/bin/benchapp --help"
