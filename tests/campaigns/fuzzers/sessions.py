"""Spoilt session files through everything that reads one: an answer or words, with its costs bounded."""

import json
import shutil
from collections.abc import Iterable
from pathlib import Path

from benchapp.desk.findings import page_of
from benchapp.desk.loading import load
from benchapp.records.errors import BenchError
from benchapp.report.csv_tables import csv_tables
from benchapp.report.findings_json import document_text, findings_document
from benchapp.report.html import render_html
from benchapp.report.pdf import pdf_bytes
from benchapp.sessions.opening import verify
from tests.campaigns.fuzzers.bounds import bounded, clear, refused
from tests.campaigns.fuzzers.chances import chance_of
from tests.campaigns.fuzzers.mutations import spoilt_bytes
from tests.campaigns.fuzzers.rows import spoil_rows
from tests.campaigns.telling import Tally
from tests.sessions.session_builder import small_session

_SAMPLES = Path(__file__).parents[3] / "sample_sessions"
_PDF_SHARE = 0.02
MOST_HTML = 30_000_000
MOST_JSON = 30_000_000


def fuzz(tries: Iterable[int], seed: int, folder: Path, tally: Tally) -> None:
    """Spoil sample sessions, most of them row by row with checks that fit."""
    seeds = sorted(_SAMPLES.glob("*.t2h"))
    small_session(folder / "small.t2h", seconds=6)
    seeds.append(folder / "small.t2h")
    others = [path.read_bytes() for path in seeds]
    path = folder / "spoilt.t2h"
    for number in tries:
        chance = chance_of("sessions", seed, number)
        source = chance.choice(seeds)
        if chance.random() < 0.25:
            path.write_bytes(spoilt_bytes(source.read_bytes(), chance, others))
        else:
            shutil.copy(source, path)
            spoil_rows(path, chance)
        with tally.counted(f"sessions {number}: {source.name}"), bounded(tally):
            tally.note(_judge(path, pdf=chance.random() < _PDF_SHARE))
        for left in folder.glob("spoilt*"):
            left.unlink()


def _judge(path: Path, *, pdf: bool) -> str:
    try:
        found = verify(path)
        loaded = load(path)
    except BenchError as refusal:
        refused(refusal, naming=path.name)
        return "refused"
    for sentence in (*found.damaged, found.kept, loaded.kept):
        if sentence:
            clear(sentence)
    text = document_text(findings_document(loaded.facts, loaded.findings))
    json.loads(text, parse_constant=_no_number)
    assert len(text) < MOST_JSON, f"a document of {len(text)} signs"
    page = page_of(loaded)
    html = render_html(page)
    assert len(html) < MOST_HTML, f"a page of {len(html)} signs"
    assert "<img src=x" not in html
    csv_tables(loaded.facts, loaded.findings)
    if pdf:
        assert pdf_bytes(page).startswith(b"%PDF")
    answer = "answered" if loaded.findings.runs else "empty"
    return f"{answer}, damage said" if loaded.facts.damage else answer


def _no_number(word: str) -> None:
    raise AssertionError(f"{word} in a document")
