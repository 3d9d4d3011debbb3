"""Reports, exports and imports of sweeps and holds."""

import pytest

from benchapp.desk.exporting import export
from benchapp.desk.findings import findings_document
from benchapp.desk.importing import ImportOrder, import_capture
from benchapp.desk.recording import RecordOrder, record
from benchapp.desk.reporting import write_report
from benchapp.records.run import RunSettings

TESTS = {
    "a sweep": ("stick-sweep", {"cycles": 3}),
    "a sweep by stops": ("stick-sweep", {"cycles": 3, "stops_deg": (-30.0, -12.0, 0.0, 7.5, 30.0)}),
    "a hold": ("hold-still", {"seconds": 10.0}),
    "a hold at two positions": ("hold-still", {"seconds": 5.0, "positions": 2}),
}


@pytest.fixture(scope="module", params=list(TESTS))
def kept(request, tmp_path_factory):
    test, told = TESTS[request.param]
    path = tmp_path_factory.mktemp("stick") / "stick.t2h"
    order = RecordOrder(
        probe="practice://birch?seed=31", test=test, out=path, settings=RunSettings(**told), confirmed=("practice",)
    )
    assert record(order, lambda status: None).trouble is None
    return path


@pytest.mark.parametrize("to", ["vcd", "csv"])
def test_an_export_imported_again_gives_the_same_frame_linearity_and_steadiness(kept, tmp_path, to):
    (before,) = findings_document(kept)["runs"]
    capture, again = tmp_path / f"a.{to}", tmp_path / "b.t2h"
    export(kept, capture, to=to)
    import_capture(ImportOrder(capture=capture, test=before["test"], out=again))
    (after,) = findings_document(again)["runs"]
    assert not before["clock"]["applied"]
    for block in ("frame", "linearity", "steadiness", "flags", "notes"):
        assert after.get(block) == before.get(block), block
    assert before.get("linearity") or before.get("steadiness")


def test_the_report_of_a_stick_test_has_a_table_of_its_own_beside_the_four_files(kept, tmp_path):
    write_report(kept, tmp_path / "report")
    (run,) = findings_document(kept)["runs"]
    own = {"holds.csv"} if run["test"] == "hold-still" else {"sweeps.csv"}
    if run.get("linearity", {}).get("strokes"):
        own.add("strokes.csv")
    names = {file.name for file in (tmp_path / "report").iterdir()}
    assert names == {"report.html", "report.pdf", "findings.json", "trials.csv", *own}
