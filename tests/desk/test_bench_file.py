"""What is under test, read from TOML."""

import pytest

from benchapp.desk.bench_file import read_bench
from benchapp.presentation.ground.bench_fields import READY, TOGETHER, UNDER_TEST
from benchapp.records.errors import BenchError, WrongInput


def bench(tmp_path, text: str | bytes):
    path = tmp_path / "bench.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def test_every_field_of_what_is_under_test_can_be_given(tmp_path):
    lines = [f'{key} = "x"' for key in ("name", *TOGETHER, *UNDER_TEST)] + [f'{key} = "checked"' for key in READY]
    fields = read_bench(bench(tmp_path, "\n".join(lines)))
    assert set(fields) == {"name", *TOGETHER, *UNDER_TEST, *READY}


def test_numbers_and_truths_become_text(tmp_path):
    fields = read_bench(bench(tmp_path, "volts = 5.1\nchannel = 3\ntelemetry = false\n"))
    assert fields == {"volts": "5.1", "channel": "3", "telemetry": "no"}


def test_hostile_text_is_kept_as_typed(tmp_path):
    text = "<b>=1+1</b> \\u202e" + "y" * 10_000
    (value,) = read_bench(bench(tmp_path, f'transmitter = "{text}"')).values()
    assert value.startswith("<b>=1+1</b> \u202e")
    assert len(value) > 10_000


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("volts = " + "9" * 5_000, "a number of more digits than can be read"),
        ("volts = 0x" + "f" * 5_000, "volts has more digits than can be written"),
        ("a." * 40_000 + "a = 1", "nested too deeply"),
        ('"a".' * 20_000 + "a = 1", "nested too deeply"),
        ("name = {" + "a . " * 20_000 + "a = 1}", "nested too deeply"),
        ('colour = "red"', "no field 'colour'"),
        ("volts = [1, 2]", "volts wants a text or a number, got a list"),
        ("[transmitter]\nname = 'x'", "transmitter wants a text or a number, got a dict"),
        ('ready_memory = "perhaps"', "ready_memory wants checked, not possible, not noted"),
        ("volts = ", "cannot be read as TOML"),
        (b"volts = '\xff'", "not UTF-8 text (byte 9)"),
        ("volts = 1\nvolts = 2", "cannot be read as TOML"),
    ],
)
def test_what_is_wrong_is_said_with_the_file_and_the_place(tmp_path, text, said):
    with pytest.raises(WrongInput) as refusal:
        read_bench(bench(tmp_path, text))
    assert said in refusal.value.message
    assert "bench.toml" in refusal.value.message


def test_a_bottomless_nest_is_refused(tmp_path):
    with pytest.raises(WrongInput):
        read_bench(bench(tmp_path, "volts = " + "[" * 100_000))


@pytest.mark.parametrize("name", ["missing.toml", ".", "a\0b", "x" * 10_000])
def test_a_file_that_cannot_be_read_is_named(tmp_path, name):
    with pytest.raises(BenchError) as refusal:
        read_bench(tmp_path / name)
    assert len(refusal.value.message) < 600


def test_a_file_that_is_far_too_long_is_refused(tmp_path):
    with pytest.raises(WrongInput, match="at most"):
        read_bench(bench(tmp_path, "#" * 1_000_001))
