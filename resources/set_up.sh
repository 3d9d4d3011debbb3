# Sets up what the program needs on Debian or Ubuntu. Sourced by resources/start.sh and tests/run.sh.
# Gives the functions say, system_packages and python_environment; changes nothing by being sourced.

say() { printf '%s\n' "$*" >&2; }

# What Qt needs without a screen (the PDF, the tests), and what it needs besides for one.
QT_PACKAGES="libgl1 libegl1 libxkbcommon0 libfontconfig1 libglib2.0-0 libdbus-1-3"
SCREEN_PACKAGES="libxcb-cursor0 libxcb-icccm4 libxcb-keysyms1 libxkbcommon-x11-0 libxcb-shape0"

_installed() {
    # The t64 names are those of Ubuntu 24.04 and Debian 13 for the same libraries; one of the two is always unknown.
    { dpkg-query -W -f='${db:Status-Status}\n' "$1" "$1t64" 2>/dev/null || true; } | grep -qx installed
}

# system_packages NAME...: installs what is missing of these where this user may, and names it where not.
system_packages() {
    local missing="" name as_root=""
    if ! command -v dpkg-query >/dev/null; then
        say "This is no Debian or Ubuntu. If the window does not open, install what these packages hold: $*"
        return 0
    fi
    for name in "$@"; do
        _installed "$name" || missing="$missing $name"
    done
    [ -n "$missing" ] || return 0
    if [ "$(id -u)" -ne 0 ]; then
        if ! sudo -n true 2>/dev/null; then
            say "These system packages are missing, and this user may not install them. Ask for:"
            say "    sudo apt-get install --no-install-recommends$missing"
            return 0
        fi
        as_root="sudo -n"
    fi
    say "Installing system packages:$missing"
    export DEBIAN_FRONTEND=noninteractive
    # shellcheck disable=SC2086  # the lists are words on purpose
    if ! { $as_root apt-get update -qq && $as_root apt-get install -y -qq --no-install-recommends $missing; } >&2; then
        say "Some of them could not be installed; going on without."
    fi
}

_find_python() {
    local name
    for name in python3 python3.14 python3.13 python3.12 python3.11; do
        if "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
            command -v "$name"
            return 0
        fi
    done
    say "Python 3.11 or newer was expected; this computer has none on its path. Install it and call again."
    return 1
}

# python_environment FOLDER WHAT: makes a virtual environment with this program in it; WHAT is a pip requirement.
python_environment() {
    local folder="$1" what="$2" python
    if [ ! -x "$folder/bin/python" ]; then
        python="$(_find_python)" || return 1
        if ! "$python" -m venv "$folder" 2>/dev/null; then
            rm -rf "$folder"
            [ "$(id -u)" -ne 0 ] || system_packages python3-venv
            if ! "$python" -m venv "$folder" 2>/dev/null; then
                # Without the venv package pip can still fill an environment made bare.
                rm -rf "$folder"
                "$python" -m venv --without-pip "$folder"
                say "Installing the program and what it needs (once, some minutes)"
                "$python" -m pip --quiet --disable-pip-version-check --python "$folder/bin/python" install -e "$what"
                return
            fi
        fi
    fi
    say "Installing the program and what it needs (the first time takes some minutes)"
    if "$folder/bin/python" -m pip --version >/dev/null 2>&1; then
        "$folder/bin/python" -m pip install --quiet --disable-pip-version-check -e "$what"
    else
        python="$(_find_python)" || return 1
        "$python" -m pip --quiet --disable-pip-version-check --python "$folder/bin/python" install -e "$what"
    fi
}
