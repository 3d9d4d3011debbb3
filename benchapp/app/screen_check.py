"""Whether a window can be shown here, found out before Qt is asked: Qt itself would abort without a word of help."""

import ctypes
import os
import socket
import sys
from collections.abc import Mapping
from pathlib import Path

from benchapp.records.errors import SystemTrouble

_QT_LIBRARIES = {
    "libGL.so.1": "libgl1",
    "libEGL.so.1": "libegl1",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libfontconfig.so.1": "libfontconfig1",
    "libglib-2.0.so.0": "libglib2.0-0",
    "libdbus-1.so.3": "libdbus-1-3",
}
"""What Qt's own libraries need, and the Debian and Ubuntu package each is in."""
_X11_LIBRARIES = {
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
    "libxcb-shape.so.0": "libxcb-shape0",
}
"""What a window on an X11 screen needs besides."""
_WITHOUT = "Everything but the window works without a screen: see `benchapp --help`."


def check_screen(environment: Mapping[str, str] | None = None) -> None:
    """Raise SystemTrouble, in words, if no window can be shown here; elsewhere than on Linux Qt can tell by itself."""
    if not sys.platform.startswith("linux"):
        return
    environment = os.environ if environment is None else environment
    platform = environment.get("QT_QPA_PLATFORM", "").split(":")[0].split(";")[0]
    if platform in {"", "xcb", "wayland"}:
        _check_display(environment, platform)
    needed = dict(_QT_LIBRARIES)
    if platform == "xcb" or (platform == "" and not _has_wayland(environment)):
        needed |= _X11_LIBRARIES
    missing = [package for library, package in needed.items() if not _loads(library)]
    if missing:
        raise SystemTrouble(
            "The window needs system libraries that are not here. On Debian and Ubuntu they come with: "
            f"sudo apt-get install {' '.join(missing)}. {_WITHOUT}"
        )


def _check_display(environment: Mapping[str, str], platform: str) -> None:
    wayland = platform != "xcb" and _has_wayland(environment)
    display = environment.get("DISPLAY", "")
    if wayland or (platform != "wayland" and display and _answers(display)):
        return
    if display and platform != "wayland":
        raise SystemTrouble(f"No screen answers at DISPLAY={display[:80]}, so no window can be shown. {_WITHOUT}")
    raise SystemTrouble(
        "There is no screen here (neither DISPLAY nor WAYLAND_DISPLAY leads to one), so no window can be shown. "
        f"{_WITHOUT}"
    )


def _has_wayland(environment: Mapping[str, str]) -> bool:
    name = environment.get("WAYLAND_DISPLAY", "")
    return bool(name) and (Path(environment.get("XDG_RUNTIME_DIR", "/nowhere")) / name).exists()


def _answers(display: str) -> bool:
    """Return whether something listens at a local display; a distant one is taken at its word."""
    host, _, rest = display.rpartition(":")
    number = rest.split(".")[0]
    if host not in {"", "unix"} or not number.isdigit():
        return True
    path = f"/tmp/.X11-unix/X{number}"
    return any(_listens(address) for address in (path, f"\0{path}"))


def _listens(address: str) -> bool:
    with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as tried:
        tried.settimeout(1.0)
        try:
            tried.connect(address)
        except OSError:
            return False
    return True


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True
