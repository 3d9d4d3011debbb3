"""A disk that forgets: what a program asked of it, replayed up to any moment, with what was not flushed lost or torn.

Files hold what was flushed, and of what was written since any part in any order, down to single sectors. Names hold
what was flushed with their folder, and of the changes since the first ones, as file systems with a journal keep them.
"""

import itertools
import random
import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

SECTOR = 512
CALLS = "openat,lseek,pwrite64,write,ftruncate,rename,renameat2,unlink,link,fsync,fdatasync,mkdir,rmdir,unlinkat"
_LINE = re.compile(r"(?:\d+ +)?(\w+)\((.*)\) += (-?\d+)(?:<(.*?)>)?")


@dataclass(frozen=True, kw_only=True, slots=True)
class Asked:
    """One call that came back without a fault: its name, its words, what it returned."""

    call: str
    words: tuple[str, ...]
    result: int


def _bytes(text: str) -> bytes:
    return bytes.fromhex(text.strip().strip('"').replace("\\x", ""))


def read_log(text: str) -> list[Asked]:
    """Return the calls of a log of strace (-xx -s 1000000), in order."""
    found = []
    for line in text.splitlines():
        matched = _LINE.match(line)
        if matched is not None and int(matched[3]) >= 0:
            found.append(Asked(call=matched[1], words=tuple(matched[2].split(", ")), result=int(matched[3])))
    return found


@dataclass(slots=True)
class _File:
    flushed: bytearray = field(default_factory=bytearray)
    since: list[tuple[int, bytes | None]] = field(default_factory=list)

    def now(self) -> bytearray:
        content = bytearray(self.flushed)
        for place, data in self.since:
            _apply(content, place, data)
        return content

    def flush(self) -> None:
        self.flushed = self.now()
        self.since.clear()

    def after_loss(self, chance: random.Random) -> bytes:
        """Return what may be there after the power went: any of the sectors written since, in any order."""
        content = bytearray(self.flushed)
        parts = [part for place, data in self.since for part in _sectors(place, data)]
        chance.shuffle(parts)
        how = chance.choice((0.0, 0.3, 0.7, 1.0))
        for place, data in parts:
            if chance.random() < how:
                _apply(content, place, data)
        return bytes(content)


def _apply(content: bytearray, place: int, data: bytes | None) -> None:
    """Write data at a place; None cuts the file off there."""
    if data is None:
        del content[place:]
        content.extend(bytes(max(0, place - len(content))))
        return
    content.extend(bytes(max(0, place - len(content))))
    content[place : place + len(data)] = data


def _sectors(place: int, data: bytes | None) -> list[tuple[int, bytes | None]]:
    if data is None:
        return [(place, None)]
    cuts = [place, *range(place - place % SECTOR + SECTOR, place + len(data), SECTOR), place + len(data)]
    return [(begin, data[begin - place : end - place]) for begin, end in itertools.pairwise(cuts)]


class Disk:
    """One folder, as it was flushed before, and what is asked of it; names are the last parts of paths in it."""

    def __init__(self, folder: Path) -> None:
        self._folder = str(folder)
        self._files = [_File(flushed=bytearray(path.read_bytes())) for path in sorted(folder.iterdir())]
        self._names = {path.name: number for number, path in enumerate(sorted(folder.iterdir()))}
        self._flushed_names = dict(self._names)
        self._changes: list[tuple[str, str, int | None]] = []
        self._open: dict[int, tuple[int | None, int]] = {}
        self._folders: set[int] = set()
        self.said = ""

    def ask(self, asked: Asked) -> None:
        """Carry out one call."""
        words = asked.words
        match asked.call:
            case "openat":
                self._open_file(_bytes(words[1]).decode(), words[2], asked.result)
            case "pwrite64" | "write":
                self._write(asked)
            case "lseek":
                file, _ = self._open.get(int(words[0]), (None, 0))
                self._open[int(words[0])] = (file, asked.result)
            case "ftruncate":
                self._since(int(words[0]), int(words[1]), None)
            case "fsync" | "fdatasync":
                self._flush(int(words[0]))
            case "rename":
                self._rename(*(self._name(_bytes(word).decode()) for word in words[:2]))
            case "unlink":
                self._set(self._name(_bytes(words[0]).decode()), None)

    def _name(self, path: str) -> str | None:
        inside = path.startswith(self._folder + "/") and "/" not in path[len(self._folder) + 1 :]
        return path[len(self._folder) + 1 :] if inside else None

    def _open_file(self, path: str, flags: str, number: int) -> None:
        self._folders.discard(number)
        if path == self._folder:
            self._folders.add(number)
            self._open[number] = (None, 0)
            return
        name = self._name(path)
        self._open.pop(number, None)
        if name is None:
            return
        if name not in self._names:
            self._files.append(_File())
            self._set(name, len(self._files) - 1)
        file = self._names[name]
        if "O_TRUNC" in flags:
            self._files[file].since.append((0, None))
        self._open[number] = (file, 0)

    def _write(self, asked: Asked) -> None:
        number, data = int(asked.words[0]), _bytes(asked.words[1])[: asked.result]
        if number == 1:
            self.said += data.decode()
            return
        if asked.call == "pwrite64":
            self._since(number, int(asked.words[3]), data)
            return
        file, place = self._open.get(number, (None, 0))
        if file is not None:
            self._since(number, place, data)
            self._open[number] = (file, place + len(data))

    def _since(self, number: int, place: int, data: bytes | None) -> None:
        file, _ = self._open.get(number, (None, 0))
        if file is not None:
            self._files[file].since.append((place, data))

    def _flush(self, number: int) -> None:
        if number not in self._open:
            return
        file, _ = self._open[number]
        if file is None and number in self._folders:
            self._flushed_names = dict(self._names)
            self._changes.clear()
        elif file is not None:
            self._files[file].flush()

    def _rename(self, one: str | None, other: str | None) -> None:
        if one is None or other is None:
            return
        file = self._names[one]
        self._changes.append((one, other, file))
        del self._names[one]
        self._names[other] = file

    def _set(self, name: str | None, file: int | None) -> None:
        if name is None:
            return
        self._changes.append((name, "", file))
        if file is None:
            self._names.pop(name, None)
        else:
            self._names[name] = file

    def lose_power(self, chance: random.Random, into: Path) -> None:
        """Write into a folder what may be found there after the power went now."""
        names = dict(self._flushed_names)
        for one, other, file in self._changes[: chance.randint(0, len(self._changes))]:
            names.pop(one, None)
            if other:
                assert file is not None
                names[other] = file
            elif file is not None:
                names[one] = file
        for name, file in names.items():
            (into / name).write_bytes(self._files[file].after_loss(chance))


def replayed(before: Path, asked: Iterable[Asked]) -> Disk:
    """Return a disk that was asked all of that."""
    disk = Disk(before)
    for one in asked:
        disk.ask(one)
    return disk
