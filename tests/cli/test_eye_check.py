"""`clockyard eye-check`: pairs said and measured out of a table, the same ones once."""

from pathlib import Path

from .conftest import Command

HEADER = "said,measured,unit,by,made_at\n"


def test_it_takes_pairs_once_and_names_what_it_leaves_out(clockyard: Command, tmp_path: Path) -> None:
    table = tmp_path / "eye.csv"
    twice = "55,52,yd,laser,2025-05-01T09:30:00Z\n" * 2
    good = f"{twice}50,48,m,paces,2025-05-01T09:31:00Z\n"
    table.write_text(HEADER + good + "far,48,m,paces,2025-05-01\n50,48,m,guess,2025-05-01\n50,48,ft,laser,2025-05-01\n")
    done = clockyard("eye-check", table, "--book", "heron")
    assert (done.exit_code, done.stdout) == (3, "3 taken, 0 known already, 3 left out.\n")
    assert "line 5 left out: said must be a number" in done.stderr
    assert "line 6 left out: measured by must be one of: laser, markers, monitor, paces" in done.stderr
    assert "line 7 left out: unit must be yd or m" in done.stderr
    assert clockyard("eye-check", table, "--book", "heron").stdout.startswith("0 taken, 3 known already")


def test_a_table_without_its_columns_is_refused_whole(clockyard: Command, tmp_path: Path) -> None:
    table = tmp_path / "eye.csv"
    table.write_text("said,by\n55,laser\n")
    done = clockyard("eye-check", table, "--book", "heron")
    assert done.exit_code == 1
    assert "must name the columns said, measured, made_at; not there: measured, made_at" in done.stderr
