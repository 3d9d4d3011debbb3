"""The page of a session: its order, its numbers, and that nothing can break it."""

import math
import re
from dataclasses import fields, is_dataclass, replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchapp.presentation.ground.page import PRACTICE_MARK, Figure, KeyFigure, Notice, Page
from benchapp.presentation.ground.safety import PUT_BACK
from benchapp.presentation.report_page.findings_page import build_page
from benchapp.records.findings import Latency, PointSummary, RunFindings
from benchapp.records.run import Origin, Outcome
from tests.presentation import builders
from tests.presentation.page_reading import figures, keys, tables, texts, whole_text

UNITS = (
    r"ms|s|µs|ns|m/s|m|min|h|V|ppm|%|σ|frames?|flips?|pulses?|channels?|changes?|switch-ons?|glitch(?:es)?|"
    r"lines?|servo pulses?|missing pulses?|safety lines?|further fields?|more notes?|runs?"
)
NUMBER = re.compile(r"(?<![\w.,:/§])[−-]?\d[\d\u202f]*(?:\.\d+)?(?![\w:])")
HAS_UNIT = re.compile(rf"\s?(?:{UNITS})(?![\w/])")
JOINED = re.compile(rf"\s?(?:to|and|of)\s[\d\u202f.]+\s?(?:{UNITS})(?!\w)")
NAMED_BEFORE = re.compile(
    r"(?:[Rr]un|[Ff]lip|no\.|version|k =|p =|p below|below|Std|type|JCGM|SHA|over|sub-trims at|count:|up,|benchapp) $"
)
DATE = re.compile(r"\d{1,2} [A-Z][a-z]+ \d{4}, \d\d:\d\d \(UTC[+-]\d\d:\d\d\)")
MINE = re.compile(r"SHA-256|T/2|T/√12|[nk] − 1|IEEE Std 181|JCGM 100|IEC 61298-2|type 7|t0")


def page_of(*runs: RunFindings, latency: Latency | None = None, **changes: object) -> Page:
    made = runs or (builders.run(latency),)
    evidence = [builders.evidence_for(run.result, number=run.run) for run in made if run.result.trials]
    return build_page(builders.facts(**changes), builders.findings(*made), evidence)


def bare_numbers(page: Page) -> list[str]:
    names = {page.title, page.session}
    found = []
    for text in texts(page):
        if text in names or text.startswith("sha256:"):
            continue
        plain = MINE.sub("", DATE.sub("", text.replace("\u00a0", " ")))
        for match in NUMBER.finditer(plain):
            after, before = plain[match.end() :], plain[: match.start()]
            if not (HAS_UNIT.match(after) or JOINED.match(after) or NAMED_BEFORE.search(before)):
                found.append(f"{match[0]!r} in {text!r}")
    return found


def without_cells(page: Page) -> Page:
    """Cells take their unit from their column, which another test checks; drawings carry it on their axes."""
    kept = []
    for block in page.blocks:
        if isinstance(block, Figure):
            kept.append(replace(block, svg=""))
        elif hasattr(block, "columns"):
            kept.append(replace(block, rows=()))
        else:
            kept.append(block)
    # Bench fields are typed by people: what they type is theirs.
    return replace(page, blocks=tuple(kept))


def test_parts_come_in_the_order_a_report_is_read() -> None:
    order = [
        "safety", "verdict", "figure", "ruler", "short", "state", "means", "plots", "output", "tested", "readied",
        "tables", "left-out", "cautions", "definitions", "evidence",
    ]  # fmt: skip
    assert [key for key in keys(page_of()) if key in order] == order


def test_the_first_block_after_the_title_is_safety() -> None:
    page = page_of()
    assert keys(page)[0] == "safety"
    notice = page.blocks[1]
    assert isinstance(notice, Notice)
    assert len(notice.lines) == 4
    assert notice.lines[0].startswith("Propeller or rotor off")
    assert "no statement that anything is fit to fly" in notice.lines[-1]


def test_no_number_stands_without_its_unit() -> None:
    page = page_of(builders.run(flags=("one-power-up", "ramp"), notes=("near-half-way: 3",)), bench={})
    assert bare_numbers(without_cells(page)) == []


def test_the_check_for_bare_numbers_finds_one() -> None:
    page = page_of(bench={})
    figure = next(block for block in page.blocks if isinstance(block, KeyFigure))
    spoiled = replace(page, blocks=(replace(figure, lines=("It took 24.31, or so.",)),))
    assert bare_numbers(spoiled) == ["'24.31' in 'It took 24.31, or so.'"]


def test_every_column_of_numbers_states_its_unit_and_only_those_hold_bare_numbers() -> None:
    for table in tables(page_of()).values():
        for place, column in enumerate(table.columns):
            assert bool(column.unit) == column.numeric, (table.key, column.title)
            if not column.numeric:
                cells = [row[place].text for row in table.rows]
                assert not any(re.fullmatch(r"[−\d.\u202f]+", cell) for cell in cells)
        assert all(len(row) == len(table.columns) for row in table.rows)


def test_every_dash_comes_with_its_reason() -> None:
    latency = builders.latency(2, ("no-answer",))
    page = page_of(builders.run(latency, flags=("insufficient",)))
    dashes = 0
    for table in tables(page).values():
        for row in table.rows:
            for cell in row:
                if cell.text == "–":
                    dashes += 1
                    assert cell.why
                    assert any(cell.why in note for note in table.notes)
    assert dashes > 0


def test_a_bench_without_a_motor_is_claimed_only_where_it_was_confirmed() -> None:
    assert "nothing that drives a motor was connected" in whole_text(page_of(safety=(("receiver-only", "yes"),)))
    for answers in ((), (("receiver-only", "no"),), (("receiver-only", "yes"), ("receiver-only", "no"))):
        assert "nothing that drives a motor was connected" not in whole_text(page_of(safety=answers))


def test_what_yes_safe_answered_is_said_so_and_claims_no_bench_without_a_motor() -> None:
    answer = "answered by --yes-safe"
    text = whole_text(page_of(safety=(("propeller-off", answer), ("lithium", answer))))
    assert "The safety list was answered by --yes-safe, as a whole" in text
    assert "Safety list\n2 safety lines answered by --yes-safe" in text
    assert "nothing that drives a motor was connected" not in text
    assert "ticked before the test" not in text
    both = whole_text(page_of(safety=(("propeller-off", "yes"), ("lithium", answer))))
    assert "Safety list\n1 safety line ticked before the test, 1 safety line answered by --yes-safe" in both


def test_unnoted_fields_read_not_noted() -> None:
    text = whole_text(page_of(bench={}, safety=()))
    assert "Not noted: all 25 lines." in text
    assert "Not noted: a new model memory kept for testing; " in text
    assert "Set\nnot noted" in text
    assert "Radio\nnot noted" in text
    some = whole_text(page_of(bench={"transmitter": "Birch", "servo": "not noted"}))
    assert "Not noted: the other 24 lines." in some


def test_what_was_noted_is_printed() -> None:
    bench = {"transmitter": "Alder", "volts": "7.4 V", "ready_warm": "checked", "something_newer": "x"}
    text = whole_text(page_of(bench=bench))
    assert "Transmitter\nAlder" in text
    assert "Supply (V)\n7.4 V" in text
    assert "Checked: transmitter warmed up." in text
    assert "Set\nAlder" in text
    assert "Radio\nreadied: warmed up" in text
    assert "1 further field of the session file is kept in it" in text


def test_left_out_flips_are_counted_in_words_and_listed_with_reasons() -> None:
    page = page_of()
    text = whole_text(page)
    assert "58 of 61 flips, and why three were left out." in text
    reasons = [row[2].text.replace("\u00a0", " ") for row in tables(page)["left-out"].rows]
    assert reasons == ["no answer within 0.5 s", "no answer within 0.5 s", "records are missing during this flip"]
    assert "None left out: 60 of 60 flips count." in whole_text(page_of(latency=builders.latency(60, ())))
    assert "and why one was left out." in whole_text(page_of(latency=builders.latency(60, ("paused",))))


def test_the_table_of_flips_holds_every_one_with_its_values() -> None:
    latency = builders.latency()
    table = tables(page_of(latency=latency))["trials"]
    assert [int(row[0].text) for row in table.rows] == [trial.flip for trial in latency.trials]
    assert [float(row[4].text) for row in table.rows] == [round(trial.mid_ms, 3) for trial in latency.trials]
    assert table.splits


def test_practice_is_said_on_title_figure_plots_and_end() -> None:
    page = page_of(builders.run(flags=("practice",)), origin=Origin.PRACTICE)
    assert page.practice
    assert PRACTICE_MARK in page.subtitle
    key_figure = next(block for block in page.blocks if isinstance(block, KeyFigure))
    assert PRACTICE_MARK in key_figure.label
    assert len(figures(page)) == 6
    assert all(PRACTICE_MARK in figure.svg for figure in figures(page).values())
    assert "exists only in the practice bench" in whole_text(page)
    assert PRACTICE_MARK not in whole_text(page_of())


def test_put_back_is_said_either_way() -> None:
    assert "put back: not confirmed" in whole_text(page_of())
    assert "put back: not confirmed" in whole_text(page_of(origin=Origin.PRACTICE))
    ticked = tuple((line, "yes") for line in PUT_BACK)
    text = whole_text(page_of(put_back=ticked))
    assert "put back: ticked line by line. This list is a note of what was ticked, no statement" in text
    assert "put back: confirmed" not in text
    assert "Not ready to fly – put back: not confirmed (5 of 6 lines ticked)" in whole_text(
        page_of(put_back=ticked[1:])
    )


def test_the_reach_and_the_evidence_are_printed() -> None:
    page = page_of()
    text = whole_text(page)
    assert "One set, this program version, this date; others may differ" in text
    assert builders.facts().evidence_hash in text
    assert "benchapp 0.1.0" in text
    assert "version 1" in text
    assert "hold off 20 ms" in text


def test_a_session_without_runs_says_so() -> None:
    page = build_page(builders.facts(), builders.findings(), [])
    assert "No test finished yet." in whole_text(page)
    assert "definitions" in keys(page)


def test_several_runs_each_have_their_part() -> None:
    page = page_of(builders.run(number=1), builders.run(builders.latency(30, (), seed=4), number=2))
    found = keys(page)
    assert found.index("run-1-verdict") < found.index("run-1-left-out") < found.index("run-2-verdict")
    assert len(found) == len(set(found))
    assert found.count("definitions") == 1


def test_a_run_stopped_early_says_so() -> None:
    assert "stopped early" in whole_text(page_of(builders.run(outcome=Outcome.CUT_SHORT)))


def test_a_plot_that_cannot_be_drawn_is_named_with_the_reason() -> None:
    page = build_page(builders.facts(), builders.findings(builders.run()), [])
    assert "The pulse trains of one flip cannot be drawn" in whole_text(page)


def test_a_glide_is_given_in_ms() -> None:
    latency = builders.latency()
    gliding = replace(latency, trials=tuple(replace(t, rise_frames=20.0) for t in latency.trials))
    assert "The output glides over 450 ms" in whole_text(page_of(builders.run(gliding, flags=("ramp",))))


def test_switch_ons_show_in_the_table_and_the_method() -> None:
    page = page_of(latency=builders.latency(60, (), blocks=5))
    assert tables(page)["trials"].columns[-1].title == "Switch-on"
    assert "on average over any switch-on of the transmitter (5 switch-ons seen)" in whole_text(page).replace(
        "\u00a0", " "
    )


def emptied(value: Any) -> Any:
    """The same record with None (or NaN where None is not allowed) for every number that may be missing."""
    if isinstance(value, tuple):
        return tuple(emptied(item) for item in value)
    if isinstance(value, float):
        return math.nan
    if not is_dataclass(value) or isinstance(value, type):
        return value
    return replace(value, **{field.name: emptied(getattr(value, field.name)) for field in fields(value)})


def test_a_page_of_nothing_but_missing_values_reads_plainly() -> None:
    latency = builders.latency(0, ("no-answer",) * 4)
    bare = replace(latency, points={}, up={}, down={}, window_s=None, headline=emptied(latency.headline))
    run = replace(
        builders.run(bare, flags=("insufficient",)), frame=None, train=None, clock=None, uncertainty=(), stages=()
    )
    text = whole_text(
        build_page(builders.facts(started=None, evidence_hash="", software="", name=""), builders.findings(run), [])
    )
    assert not re.search(r"\b(nan|none|inf)\b(?! yet|:)", text.replace("None: ", ""), re.IGNORECASE)


def test_nan_in_every_place_never_reaches_a_reader() -> None:
    latency = builders.latency()
    spoiled = replace(
        latency,
        headline=emptied(latency.headline),
        points={name: emptied(summary) for name, summary in latency.points.items()},
        up={"mid": PointSummary(n=0)},
        down={"mid": emptied(latency.down["mid"])},
        phase=emptied(latency.phase),
        expected_frame_sd_ms=math.nan,
        no_answer_share_ci95=(math.nan, None),
    )
    run = builders.run(spoiled)
    run = replace(
        run,
        frame=emptied(run.frame),
        clock=emptied(run.clock),
        uncertainty=emptied(run.uncertainty),
        stages=emptied(run.stages),
    )
    page = build_page(builders.facts(), builders.findings(run), [builders.evidence_for(latency)])
    assert not re.search(r"\b(nan|None|inf)\b", whole_text(page))


HOSTILE = st.text(max_size=60) | st.sampled_from(
    [
        "<img src=file:///etc/passwd onerror=alert(1)>",
        "=HYPERLINK(0)",
        "\u202egpj.exe",
        "A" * 10_000,
        "\x00\x1b[31mred\r\n",
        "{{ 7*7 }}",
        "]]><svg onload=x>",
        "נמר" * 50,
    ]
)


@given(HOSTILE, HOSTILE, HOSTILE, HOSTILE)
@settings(max_examples=40, deadline=None)
def test_hostile_text_is_clipped_and_cleaned_in_every_field(name: str, field: str, note: str, other: str) -> None:
    run = builders.run(builders.latency(2, ()), flags=(other,), notes=(other,))
    facts = builders.facts(
        name=name,
        bench={"transmitter": field, "servo": field, other: field},
        notes=(note,),
        damage=(other,),
        evidence_hash=other,
        software=name,
        started=other,
        safety=((other, field),),
    )
    page = build_page(facts, builders.findings(run), [])
    for text in texts(page):
        assert len(text) < 1500
        assert not re.search(r"[\x00-\x1f\x7f\u202a-\u202e\u2066-\u2069]", text)
    assert page.title


@pytest.mark.parametrize("n", [1, 2, 1000])
def test_any_number_of_flips_makes_a_page(n: int) -> None:
    page = page_of(latency=builders.latency(n, ()))
    assert len(tables(page)["trials"].rows) == n
    assert all(len(figure.svg) < 600_000 for figure in figures(page).values())
