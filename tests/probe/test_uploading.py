"""Writing a probe program through a boot loader: what ends up on the chip, and how the board is after each fault."""

import random
import re

import pytest

from benchapp.probe.backends.boot_port import SerialBootPort
from benchapp.probe.uploading import LOOP, RATES, ROOM, ROUNDS, TRIES, upload
from benchapp.records.errors import (
    NoBootLoader,
    PortBusy,
    PortGone,
    ProbeTrouble,
    StoppedByHand,
    UploadBroken,
    WrongChip,
)
from benchapp.records.probe_install import InstallProgress, InstallStep
from tests.probe.boot_model import FLASH_SIZE, PAGE, BootModel
from tests.probe.pty_peer import peer

PROGRAM = random.Random(7).randbytes(5 * PAGE + 33)
HALTED = LOOP * (PAGE // 2)


class MemoryPort:
    """A BootPort straight to a model: a read that finds too little does not wait."""

    name = "the board"

    def __init__(self, model, *, resets=lambda: None) -> None:
        self.model = model
        self.rate = 115_200
        self.sent = b""
        self.resets = 0
        self._resets = resets
        self._came = b""

    def set_rate(self, rate: int) -> None:
        self.rate = rate

    def reset(self) -> None:
        self.resets += 1
        self._resets()
        self.forget()

    def forget(self) -> None:
        self._came = b""

    def write(self, data: bytes) -> None:
        self.sent += data
        self._came += self.model.hear(data)

    def read(self, count: int, _within_s: float) -> bytes:
        data, self._came = self._came[:count], self._came[count:]
        return data

    def close(self) -> None:
        pass


def put(port, program: bytes = PROGRAM, *, stop=lambda: False) -> list[InstallProgress]:
    told: list[InstallProgress] = []
    upload(port, program, tell=told.append, stop=stop)
    return told


def spoilt(number: int, change):
    """A change to the answer of the n-th page that is written (command 0x64) or read (0x74)."""
    counts = {0x64: 0, 0x74: 0}

    def spoil(command: int, answer: bytes) -> bytes:
        if command not in counts:
            return answer
        counts[command] += 1
        return change(command, counts[command], answer) if counts[command] == number else answer

    return spoil


def test_the_program_is_on_the_chip_and_nothing_else_and_it_runs():
    model = BootModel()
    put(MemoryPort(model))
    assert model.flash[: len(PROGRAM)] == PROGRAM
    assert model.flash[len(PROGRAM) :] == b"\xff" * (FLASH_SIZE - len(PROGRAM))
    assert model.running


def test_it_goes_through_a_real_port_as_well():
    model = BootModel()
    with peer(model.hear) as far:
        port = SerialBootPort(far.port)
        put(port)
        port.close()
    assert model.flash[: len(PROGRAM)] == PROGRAM
    assert model.running


def test_a_boot_loader_at_the_older_rate_is_found():
    model = BootModel(speaks=57_600)
    with peer(model.hear) as far:
        model._rate = far.rate
        port = SerialBootPort(far.port)
        put(port)
        port.close()
    assert model.flash[: len(PROGRAM)] == PROGRAM


def test_progress_names_every_step_in_order_and_ends_at_its_total():
    told = put(MemoryPort(BootModel()))
    steps = list(dict.fromkeys(progress.step for progress in told))
    assert steps == [InstallStep.RESET, InstallStep.BOOT_LOADER, InstallStep.WRITE, InstallStep.VERIFY]
    assert all(0 <= progress.done <= progress.total for progress in told)
    assert (told[-1].step, told[-1].done, told[-1].total) == (InstallStep.VERIFY, 6, 6)


def test_the_first_page_is_written_last_and_holds_endless_loops_until_then():
    model = BootModel()
    put(MemoryPort(model))
    addresses = [address for address, _ in model.writes]
    assert addresses == [0, 128, 256, 384, 512, 640, 0]
    assert model.writes[0][1] == HALTED
    # every other page was read back before the first one made the program whole
    last_write = len(model.commands) - 1 - model.commands[::-1].index(0x64)
    assert model.commands[:last_write].count(0x74) == 5


def test_the_largest_program_fits_and_one_byte_more_is_a_mistake_of_the_caller():
    model = BootModel()
    program = random.Random(1).randbytes(ROOM)
    put(MemoryPort(model), program)
    assert model.flash[:ROOM] == program
    for wrong in (program + b"x", b""):
        with pytest.raises(ValueError, match="a program of 1 to 28672 bytes was expected"):
            put(MemoryPort(model), wrong)


@pytest.mark.parametrize(
    ("signature", "which"),  # signatures of the chips' data sheets, from memory
    [(b"\x1e\x95\x14", "an ATmega328"), (b"\x1e\x95\x16", "an ATmega328PB"), (b"\x00\x00\x00", "not known here")],
)
def test_another_chip_is_refused_by_its_signature_and_left_as_it_was(signature, which):
    model = BootModel(signature=signature)
    port = MemoryPort(model)
    with pytest.raises(WrongChip, match=re.escape(which)) as refused:
        put(port)
    assert signature.hex(" ").upper() in refused.value.message
    assert "1E 95 0F" in refused.value.message
    assert refused.value.kept == "The board was not changed."
    assert not model.writes
    assert model.running


def echo(data: bytes) -> bytes:
    return data


DEAF = {
    "silence": lambda _data: b"",
    "an echo": echo,
    "zeros": lambda _data: bytes(400),
    "a modem": lambda _data: b"\r\nERROR\r\n",
    "half an answer": lambda _data: b"\x14",
    "out of step": lambda _data: b"\x15",
    "in sync once and never again": iter([b"\x14\x10"]).__next__
    and (lambda _data, left=[b"\x14\x10"]: left.pop() if left else b""),
}


@pytest.mark.parametrize("kind", DEAF)
def test_whatever_is_no_boot_loader_is_given_up_after_counted_tries_and_nothing_else_is_sent(kind):
    class Peer:
        hear = staticmethod(DEAF[kind])

    port = MemoryPort(Peer)
    with pytest.raises(NoBootLoader, match=f"asked {ROUNDS * len(RATES) * TRIES} times at 115200 and 57600") as refused:
        put(port)
    assert "Press the board's reset button" in refused.value.message
    assert refused.value.kept == "The board was not changed."
    assert set(port.sent) == {0x30, 0x20}
    assert len(port.sent) <= 4 * ROUNDS * len(RATES) * TRIES
    assert port.resets == ROUNDS * len(RATES)


def test_the_last_words_of_the_program_before_its_reset_do_not_hide_the_boot_loader():
    model = BootModel()
    first = [b"\x02\x03\x14\x11garbage"]

    class Chatty:
        @staticmethod
        def hear(data: bytes) -> bytes:
            return (first.pop() if first else b"") + model.hear(data)

    put(MemoryPort(Chatty))
    assert model.flash[: len(PROGRAM)] == PROGRAM


FAULTS = {
    "silence": lambda _command, _count, _answer: b"",
    "a short answer": lambda _command, _count, answer: answer[:1],
    "failed": lambda _command, _count, answer: answer[:-1] + b"\x11",
    "out of sync": lambda _command, _count, _answer: b"\x15",
    "garbage": lambda _command, _count, answer: bytes(byte ^ 0x5A for byte in answer),
}


@pytest.mark.parametrize("kind", FAULTS)
@pytest.mark.parametrize("number", [1, 2, 5, 6])
def test_a_wrong_answer_at_any_page_says_where_and_leaves_nothing_that_runs(kind, number):
    model = BootModel(spoil=spoilt(number, FAULTS[kind]))
    with pytest.raises(UploadBroken, match=r"broke off (at|before) ") as broken:
        put(MemoryPort(model))
    assert "Press the board's reset button" in broken.value.message
    assert "boot loader is untouched" in broken.value.kept
    assert model.flash[:PAGE] == HALTED
    assert not model.running
    # the way back: the same again
    again = BootModel()
    again.flash = model.flash
    put(MemoryPort(again))
    assert again.flash[: len(PROGRAM)] == PROGRAM


def test_a_page_that_reads_back_otherwise_is_named_with_its_address():
    def flip(command: int, _count: int, answer: bytes) -> bytes:
        return answer if command == 0x64 else answer[:9] + bytes((answer[9] ^ 1,)) + answer[10:]

    model = BootModel(spoil=spoilt(2, flip))
    with pytest.raises(UploadBroken, match=r"was expected at address 0x0108, .* memory is worn out") as broken:
        put(MemoryPort(model))
    assert "boot loader is untouched" in broken.value.kept
    assert model.flash[:PAGE] == HALTED


def test_a_first_page_that_reads_back_otherwise_is_stopped_from_running():
    def flip(command: int, _count: int, answer: bytes) -> bytes:
        return answer if command == 0x64 else answer[:9] + bytes((answer[9] ^ 1,)) + answer[10:]

    model = BootModel(spoil=spoilt(6, flip))
    with pytest.raises(UploadBroken, match="at address 0x0008"):
        put(MemoryPort(model))
    assert model.flash[:PAGE] == HALTED


def test_stopping_before_the_first_page_changes_nothing():
    model = BootModel()
    with pytest.raises(StoppedByHand) as stopped:
        put(MemoryPort(model), stop=lambda: True)
    assert stopped.value.kept == "The board was not changed."
    assert not model.writes


def test_stopping_later_leaves_nothing_that_runs_and_says_how_to_go_on():
    model = BootModel()
    with pytest.raises(StoppedByHand, match="was stopped") as stopped:
        put(MemoryPort(model), stop=lambda: len(model.writes) >= 3)
    assert "will not run" in stopped.value.kept
    assert "start the installing once more" in stopped.value.kept
    assert model.flash[:PAGE] == HALTED


def test_pulling_the_plug_says_how_the_board_is_and_what_next():
    with peer(lambda data: model.hear(data) if len(model.writes) < 3 else b"") as far:
        model = BootModel()
        port = SerialBootPort(far.port)
        pulled: list[bool] = []

        def tell(progress: InstallProgress) -> None:
            if progress.step is InstallStep.WRITE and progress.done == 2 and not pulled:
                pulled.append(True)
                far.unplug()

        with pytest.raises(PortGone, match="went away") as gone:
            upload(port, PROGRAM, tell=tell, stop=lambda: False)
        port.close()
        port.close()
    assert "boot loader is untouched" in gone.value.kept
    assert "start the installing once more" in gone.value.kept
    assert model.flash[:PAGE] == HALTED


def test_a_port_another_program_holds_and_one_that_is_gone_are_named():
    with peer(lambda _data: b"") as far:
        holder = SerialBootPort(far.port)
        with pytest.raises(PortBusy):
            SerialBootPort(far.port)
        holder.close()
        name = far.port
    with pytest.raises(PortGone):
        SerialBootPort(name)


def test_a_board_that_talks_without_end_is_given_up_in_bounded_time():
    with peer(lambda _data: b"", play=lambda: b"U" * 50) as far:
        port = SerialBootPort(far.port)
        with pytest.raises(NoBootLoader, match=r"\d+ bytes came, none of which"):
            put(port, stop=lambda: False)
        port.close()


@pytest.mark.parametrize("seed", range(40))
def test_random_answers_never_raise_anything_but_a_probe_s_trouble_and_never_run_half_a_program(seed):
    draw = random.Random(seed)

    def spoil(_command: int, answer: bytes) -> bytes:
        if draw.random() > 0.08:
            return answer
        return draw.randbytes(draw.randrange(6)) if draw.random() < 0.5 else answer + draw.randbytes(3)

    model = BootModel(spoil=spoil)
    trouble = None
    try:
        put(MemoryPort(model))
    except ProbeTrouble as raised:
        trouble = raised
    assert trouble is None or trouble.kept
    whole = model.flash[: len(PROGRAM)] == PROGRAM
    untouched = not model.writes
    assert whole or untouched or model.flash[:PAGE] == HALTED
