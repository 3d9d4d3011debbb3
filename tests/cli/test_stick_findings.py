"""Sweeps and holds on a terminal."""

from benchapp.cli.main import main


def test_a_sweep_and_a_hold_are_shown_as_they_are_asked_for(tmp_path, capsys):
    sweep, hold = tmp_path / "s.t2h", tmp_path / "h.t2h"
    record = ["record", "--probe", "practice://birch?seed=2", "--yes-safe"]
    assert main([*record, "--test", "stick-sweep", "--out", str(sweep)]) == 0
    assert main([*record, "--test", "hold-still", "--out", str(hold)]) == 0
    capsys.readouterr()
    assert main(["reduce", str(sweep)]) == 0
    shown = capsys.readouterr().out.replace("\u00a0", " ")
    assert "Your stick's travel is straight to within 0.722 % of full travel" in shown
    assert "Straightness (best line)" in shown
    assert "give or take" in shown
    assert main(["reduce", str(hold)]) == 0
    shown = capsys.readouterr().out.replace("\u00a0", " ")
    assert "the servo pulse spread by" in shown
    assert "no findings" not in shown
    for session in (sweep, hold):
        folder = tmp_path / session.stem
        assert main(["report", str(session), "--out", str(folder), "--no-pdf"]) == 0
        assert (folder / "report.html").stat().st_size > 10_000


def test_figures_that_do_not_exist_stand_as_a_dash_with_their_reason(tmp_path, capsys):
    session = tmp_path / "s.t2h"
    call = ["record", "--probe", "practice://birch?seed=2", "--yes-safe", "--test", "stick-sweep", "--stops", "5"]
    assert main([*call, "--out", str(session)]) == 0
    capsys.readouterr()
    main(["reduce", str(session)])
    lines = capsys.readouterr().out.splitlines()
    (lag,) = [line for line in lines if line.strip().startswith("Lag")]
    assert "– by stops nothing moves while it is read" in lag
