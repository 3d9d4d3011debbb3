"""Builds what the emulated board needs, once for each state of its sources, and says what is missing."""

import fcntl
import hashlib
import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent
FIRMWARE = HERE.parent.parent / "resources" / "probe"
PARTS = ("board", "flags", "converter", "line", "radio")
_C = ["gcc", "-std=gnu11", "-O2", "-Wall", "-Wextra", "-Werror"]
_AVR = ["avr-gcc", "-mmcu=atmega328p", "-std=gnu11", "-Os", "-Wall", "-Wextra", "-Werror", "-nostartfiles"]
_PACKAGES = {
    "gcc": "gcc",
    "make": "make",
    "avr-gcc": "gcc-avr",
    "avr-objdump": "binutils-avr",
    "/usr/lib/avr/include/avr/io.h": "avr-libc",
    "/usr/include/simavr/sim_avr.h": "libsimavr-dev",
    "/usr/include/libelf.h": "libelf-dev",
}


def missing_packages(names: Sequence[str] = tuple(_PACKAGES)) -> list[str]:
    """Return the Debian packages without which the emulated board cannot be built."""
    found = {name: Path(name).exists() if name.startswith("/") else shutil.which(name) is not None for name in names}
    return [_PACKAGES[name] for name, there in found.items() if not there]


def need_tools() -> None:
    """Skip the test that calls it, and say why, where tools are missing."""
    missing = missing_packages()
    if missing:
        pytest.skip(f"the emulated board needs apt-get install --no-install-recommends {' '.join(missing)}")


def library() -> Path:
    """Return the emulated board as a shared object."""
    sources = [HERE / f"{part}.c" for part in PARTS]
    return _built("board.so", sources, ["-fPIC", "-shared"], ["-lsimavr", "-lelf"])


def program() -> Path:
    """Return the emulated board as a program behind a pseudo terminal."""
    sources = [HERE / f"{part}.c" for part in (*PARTS, "terminal")]
    return _built("board", sources, [], ["-lsimavr", "-lelf"])


def vectors_program() -> Path:
    """Return the probe's code for frames and messages, built for the computer."""
    sources = [HERE / "vectors.c", *(FIRMWARE / name for name in ("frames.c", "wire.c", "frames.h", "wire.h"))]

    def compile_(folder: Path) -> Path:
        _run([*_C, f"-I{FIRMWARE}", "-o", str(folder / "vectors"), *map(str, sources[:3])])
        return folder / "vectors"

    return _cached("vectors", sources, "", compile_)


def small_program(name: str) -> Path:
    """Return a small program for the chip, of one source here, as Intel HEX."""

    def make(folder: Path) -> Path:
        elf, made = str(folder / "small.elf"), folder / "small.hex"
        _run(["avr-gcc", "-mmcu=atmega328p", "-Os", "-Wall", "-Wextra", "-Werror", "-o", elf, str(HERE / f"{name}.c")])
        _run(["avr-objcopy", "-O", "ihex", elf, str(made)])
        return made

    return _cached("small.hex", [HERE / f"{name}.c"], "", make)


def firmware(*defines: str) -> Path:
    """Return the probe's program as Intel HEX, with these macros defined."""

    def make(folder: Path) -> Path:
        options = [f"BUILD={folder}", f"DEFINES={' '.join(f'-D{name}' for name in defines)}"]
        _run(["make", "-C", str(FIRMWARE), *options, str(folder / "probe.hex")])
        return folder / "probe.hex"

    return _cached("probe.hex", _firmware_sources(), " ".join(defines), make)


def _firmware_sources() -> list[Path]:
    kinds = (".c", ".h", ".S", ".sh", ".awk")
    return sorted(path for path in FIRMWARE.iterdir() if path.suffix in kinds or path.name == "Makefile")


def firmware_symbols() -> dict[str, int]:
    """Return the addresses of the program's names."""

    def list_names(folder: Path) -> Path:
        _run(["make", "-C", str(FIRMWARE), f"BUILD={folder}", str(folder / "probe.elf")])
        names = folder / "names"
        names.write_text(_run(["avr-nm", str(folder / "probe.elf")]))
        return names

    lines = [line.split() for line in _cached("names", _firmware_sources(), "", list_names).read_text().splitlines()]
    return {words[2]: int(words[0], 16) for words in lines if len(words) == 3}


def boot_loader() -> Path:
    """Return a boot loader for the emulated board as Intel HEX, at bench.BOOT_ADDRESS."""

    def make(folder: Path) -> Path:
        elf, made = str(folder / "boot.elf"), folder / "boot.hex"
        _run([*_AVR, "-Wl,--section-start=.text=0x7C00", "-o", elf, str(HERE / "boot_loader.c")])
        _run(["avr-objcopy", "-O", "ihex", "--set-start", "0", "-j", ".text", "-j", ".data", elf, str(made)])
        return made

    return _cached("boot.hex", [HERE / "boot_loader.c"], " ".join(_AVR), make)


def shipped() -> Path:
    """Return the probe's program as it is shipped."""
    return FIRMWARE / "probe.hex"


def _built(name: str, sources: list[Path], options: list[str], libraries: list[str]) -> Path:
    def compile_(folder: Path) -> Path:
        _run([*_C, *options, "-o", str(folder / name), *map(str, sources), *libraries])
        return folder / name

    return _cached(name, [*sources, HERE / "board.h"], " ".join(options), compile_)


def _cached(name: str, sources: list[Path], variant: str, make: Callable[[Path], Path]) -> Path:
    digest = hashlib.sha256(variant.encode())
    for source in sources:
        digest.update(source.name.encode() + source.read_bytes())
    cache = Path(tempfile.gettempdir()) / f"emulated-board-{os.getuid()}"
    cache.mkdir(mode=0o700, exist_ok=True)
    folder = cache / digest.hexdigest()[:16]
    # Two workers may want it at once: one makes it, the other waits.
    with (cache / f"{folder.name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not (folder / name).exists():
            folder.mkdir(exist_ok=True)
            with tempfile.TemporaryDirectory(dir=cache) as work:
                made = make(Path(work))
                os.replace(made, folder / name)
    return folder / name


def _run(words: list[str]) -> str:
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    assert done.returncode == 0, f"{' '.join(words)}\n{done.stdout}{done.stderr}"
    return done.stdout
