"""`clockyard import`: what is taken, what is left out and why, and that a second time changes nothing."""

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, time
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.factories import F1
from webapp.store import reading
from webapp.units import YARD_M

from .conftest import Command

HEADER = "made_at,bucket,club,swing,carry,contact"
GOOD = "2025-05-01T09:30:00Z,one,56,9:00,54,clean"

File = Callable[[str | bytes], Path]
Cells = Callable[..., dict[tuple[str, float], Any]]


def rows(*lines: str, header: str = HEADER) -> str:
    return "\r\n".join((header, *lines)) + "\r\n"


def f1() -> str:
    return rows(
        *(f"2025-05-01T09:30:{second:02d}Z,one,56,9:00,{carry},{contact}" for second, (carry, contact) in enumerate(F1))
    )


def test_it_makes_a_book_with_its_wedge_and_balls(clockyard: Command, cells: Cells, a_file: File) -> None:
    done = clockyard("import", a_file(f1()), "--book", "heron")
    assert (done.exit_code, done.stdout) == (0, "10 taken, 0 known already, 0 left out.\n")
    cell = cells("--book", "heron")["56", 90.0]
    assert (cell["n"], cell["visits"], cell["trust"]) == (10, 1, "early")
    assert cell["typical_carry_m"] == pytest.approx(53.6 * YARD_M, abs=1.5 * YARD_M)
    assert cell["typical_low_m"] < cell["typical_carry_m"] < cell["typical_high_m"]
    assert cell["next_low_m"] < cell["typical_low_m"]
    assert cell["nine_in_ten_carry_m"] < cell["typical_carry_m"]
    assert cell["last_made_at"] == "2025-05-01T09:30:09.000Z"


def test_importing_twice_changes_nothing(clockyard: Command, cells: Cells, a_file: File) -> None:
    clockyard("import", a_file(f1()))
    before = cells("--at", "2025-05-02")
    again = clockyard("import", a_file(f1()))
    assert (again.exit_code, again.stdout) == (0, "0 taken, 10 known already, 0 left out.\n")
    assert cells("--at", "2025-05-02") == before


def test_rows_of_a_day_alone_keep_its_day_and_their_order(clockyard: Command, opened: Any, a_file: File) -> None:
    header = f"{HEADER},utc_offset_min"
    west = [f"2025-05-01,,56,9:00,{50 + place},clean,-420" for place in range(8)]
    west.append("2025-05-01T20:00:00Z,,56,9:00,58,clean,-420")  # its own 1:00 p.m.
    assert clockyard("import", a_file(rows(*west, header=header))).stdout.startswith("9 taken")
    balls = reading.shots(opened())[::-1]
    assert [round(ball["carry_m"] / YARD_M) for ball in balls] == [*range(50, 59)]
    assert {ball["local_at"][:16] for ball in balls} == {"2025-05-01T12:00", "2025-05-01T13:00"}
    assert len({ball["bucket_id"] for ball in balls}) == 1
    longer = rows("2025-04-01,,56,9:00,49,clean,-420", *west, header=header)
    assert clockyard("import", a_file(longer)).stdout == "1 taken, 9 known already, 0 left out.\n"
    far = rows(f"2025-05-01,,56,9:00,50,clean,{10**30}", header=header)
    assert "1 left out" in clockyard("import", a_file(far)).stdout


def test_a_longer_file_adds_only_its_new_rows(clockyard: Command, cells: Cells, a_file: File) -> None:
    clockyard("import", a_file(f1()))
    done = clockyard("import", a_file(f1() + "2025-05-01T09:40:00Z,one,56,9:00,55,clean\r\n"))
    assert done.stdout == "1 taken, 10 known already, 0 left out.\n"
    assert (cells()["56", 90.0]["n"], cells()["56", 90.0]["visits"]) == (11, 1)


def test_two_equal_rows_are_two_balls(clockyard: Command, cells: Cells, a_file: File) -> None:
    assert clockyard("import", a_file(rows(GOOD, GOOD))).stdout.startswith("2 taken")
    assert clockyard("import", a_file(rows(GOOD, GOOD, GOOD))).stdout.startswith("1 taken, 2 known")
    assert cells()["56", 90.0]["n"] == 3


def test_a_changed_setting_makes_no_second_ball_of_a_known_row(
    clockyard: Command, cells: Cells, a_file: File, data: Path, store_url: str
) -> None:
    from tests import factories as make
    from webapp.store.open_directory import open_directory

    clockyard("import", a_file(rows(GOOD)), "--book", "mine")
    with open_directory(data, store_url=store_url) as directory:
        book_id = directory.book_of_alias("mine")
        assert book_id
        with directory.open_book(book_id) as book:
            later = "2025-06-01T00:00:00.000Z"
            said = [make.a_setting("unit", "m", later), make.a_setting("judged_by", "eye", later)]
            assert book.add(said, None, later).refused == []
    assert clockyard("import", a_file(rows(GOOD))).stdout == "0 taken, 1 known already, 0 left out.\n"
    assert cells()["56", 90.0]["n"] == 1


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("2025-05-01T09:30:00Z,one,56,9:00,abc,clean", "carry must be a number"),
        ("2025-05-01T09:30:00Z,one,56,9:00,-1,clean", "carry must be from 0 to 400 yd"),
        ("2025-05-01T09:30:00Z,one,56,9:00,401,clean", "carry must be from 0 to 400 yd"),
        ("2025-05-01T09:30:00Z,one,56,9:00,nan,clean", "carry must be a number"),
        ("2025-05-01T09:30:00Z,one,56,9:00,,clean", "no carry"),
        ("2025-05-01T09:30:00Z,one,56,25:00,54,clean", "swing must be"),
        ("2025-05-01T09:30:00Z,one,56,,54,clean", "swing must be"),
        ("2025-05-01T09:30:00Z,one,56,9:00,54,great", "contact must be one of"),
        ("yesterday,one,56,9:00,54,clean", "made_at must be"),
        (",one,56,9:00,54,clean", "made_at must be"),
        ("2025-05-01T09:30:00Z,one,,9:00,54,clean", "no wedge"),
        ("2025-05-01T09:30:00Z,one,Lobber,9:00,54,clean", "loft"),
        ("2025-05-01T09:30:00Z,one,<b>56</b>,9:00,54,clean", "loft"),
        ("2025-05-01T09:30:00Z,one,30,9:00,54,clean", "loft"),
        ("2025-05-01T09:30:00Z,one,56,9:00,54,clean,more", "7 values"),
    ],
)
def test_a_bad_row_is_named_with_its_line_and_the_good_ones_are_taken(
    clockyard: Command, cells: Cells, a_file: File, line: str, words: str
) -> None:
    done = clockyard("import", a_file(rows(GOOD, line, GOOD)))
    assert done.exit_code == 3
    assert done.stdout == "2 taken, 0 known already, 1 left out.\n"
    assert done.stderr.startswith("line 3 left out:")
    assert words in done.stderr
    assert cells()["56", 90.0]["n"] == 2


@pytest.mark.parametrize(
    "content",
    [
        "",
        "\n",
        "club,swing\n56,9:00\n",
        f"{HEADER},carry\n{GOOD},54\n",
        "a picture \x00\x01",
        rows("2025-05-01T09:30:00Z,one,56,9:00,abc,clean"),
    ],
    ids=["empty", "blank", "columns missing", "column twice", "no table", "no good row"],
)
def test_it_fails_when_no_row_can_be_read(clockyard: Command, a_file: File, content: str | bytes) -> None:
    done = clockyard("import", a_file(content))
    assert done.exit_code == 1
    assert done.stderr.strip()
    assert "Traceback" not in done.output


def test_a_file_that_cannot_be_read_leaves_no_book_behind(clockyard: Command, a_file: File, tmp_path: Path) -> None:
    assert clockyard("import", tmp_path / "nowhere.csv").exit_code == 1
    assert clockyard("import", a_file(b"\xff\xfe\x00")).exit_code == 1
    assert clockyard("import", a_file(rows(GOOD) + "\x00")).exit_code == 1
    assert clockyard("books").stdout == ""


def test_columns_may_come_in_any_order_and_unknown_ones_are_reported(clockyard: Command, a_file: File) -> None:
    content = "colour,Carry,CLUB,swing,made_at\nred,54,56,9:00,2025-05-01T09:30:00+02:00\n"
    done = clockyard("import", a_file("\ufeff" + content))
    assert done.exit_code == 0
    assert "ignored: colour" in done.stderr


def test_a_column_named_by_control_signs_changes_nothing_on_the_terminal(clockyard: Command, a_file: File) -> None:
    # U+009B stands for the escape sign and its bracket in one (ECMA-48, from memory).
    done = clockyard("import", a_file("made_at,club,swing,carry,\x9b2Jgone\n2025-05-01T09:30:00Z,56,9:00,54,1\n"))
    assert "ignored: ?2jgone" in done.stderr
    escape = clockyard("import", a_file("made_at,club,swing,carry,\x1b[2Jgone\n2025-05-01T09:30:00Z,56,9:00,54,1\n"))
    assert (escape.exit_code, "line 1 holds signs that no text has" in escape.stderr) == (1, True)
    assert not {"\x9b", "\x1b"} & {*done.output, *escape.output}


def test_it_reads_quoted_values_metres_degrees_and_lost_balls(clockyard: Command, cells: Cells, a_file: File) -> None:
    header = "made_at,bucket,club,loft_deg,swing,carry,unit,landed,contact,mode,ball"
    done = clockyard(
        "import",
        a_file(
            rows(
                '2025-05-01T09:30:00Z,"first, wet",Gap,51,105,60,m,,clean,,',
                '2025-05-01T09:31:00Z,"first, wet",gap,,105,,,unseen,thin,,',
                '2025-05-01T09:32:00Z,"first, wet",GAP,,105,,,over,bladed,,',
                '2025-05-01T09:33:00Z,"first, wet",Gap,,105,60,m,,clean,distance,',
                '2025-05-01T09:33:00Z,"first, wet",Gap,,full,90,m,,clean,,own',
                header=header,
            )
        ),
    )
    assert (done.exit_code, done.stderr) == (0, "")
    cell = cells()["Gap", 105.0]
    assert (cell["n"], cell["loft_deg"], cell["visits"]) == (2, 51.0, 1)
    assert {club for club, _ in cells()} == {"Gap"}
    assert cells("--ball", "own")["Gap", 180.0]["n"] == 1


def test_a_row_that_names_itself_is_known_again_even_if_the_columns_differ(clockyard: Command, a_file: File) -> None:
    header = "id,made_at,bucket,club,swing,carry"
    first = rows("ball 1,2025-05-01T09:30:00Z,one,56,9:00,54", header=header)
    assert clockyard("import", a_file(first)).stdout.startswith("1 taken")
    assert clockyard("import", a_file(first)).stdout.startswith("0 taken, 1 known")
    changed = rows("ball 1,2025-05-01T09:30:00Z,one,56,9:00,60", header=header)
    done = clockyard("import", a_file(changed))
    assert "id" in done.stderr
    assert done.stdout == "0 taken, 0 known already, 1 left out.\n"


def test_the_same_id_twice_in_one_file_is_taken_once(clockyard: Command, a_file: File) -> None:
    line = "ball 1,2025-05-01T09:30:00Z,one,56,9:00,54"
    done = clockyard("import", a_file(rows(line, line, header="id,made_at,bucket,club,swing,carry")))
    assert done.exit_code == 3
    assert "line 2 already" in done.stderr


def test_ten_balls_on_each_of_three_visits_are_settled_and_sixty_one_days_later_old(
    clockyard: Command, cells: Cells, a_file: File
) -> None:
    # F10 of the worked examples.
    days = [
        f"2025-05-{day:02d}T09:{ball:02d}:00Z,visit {day},56,9:00,{53 + ball % 3},clean"
        for day in (1, 8, 15)
        for ball in range(10)
    ]
    clockyard("import", a_file(rows(*days)))
    trust = {at: cells("--at", at)["56", 90.0]["trust"] for at in ("2025-05-10", "2025-05-16", "2025-07-16T10:00:00Z")}
    assert trust == {"2025-05-10": "early", "2025-05-16": "settled", "2025-07-16T10:00:00Z": "old"}


@pytest.mark.parametrize("command", ["import", "eye-check"])
def test_a_file_that_is_none_of_ours_is_refused_for_what_it_is(
    clockyard: Command, tmp_path: Path, command: str
) -> None:
    openpyxl.Workbook().save(tmp_path / "balls.xlsx")
    (tmp_path / "torn.csv").write_bytes(b'made_at,"club\n2025-05-01,51\n')
    (tmp_path / "night.pdf").write_bytes(b"%PDF-1.7")
    for name, words in {
        "nosuch.csv": "nosuch.csv cannot be read (No such file or directory).",
        "torn.csv": "line 1 cannot be read as a row (a quote that opens there does not end).",
        "night.pdf": "it is a document to be printed: save the table as XLSX or CSV and bring that.",
        "balls.xlsx": "the workbook holds no value.",
    }.items():
        done = clockyard(command, tmp_path / name)
        assert done.exit_code == 1
        assert f"Nothing was taken: {words}" in done.stderr


@pytest.mark.parametrize("command", ["import", "eye-check"])
def test_a_file_without_an_end_is_read_no_further_than_the_limit(clockyard: Command, command: str) -> None:
    done = clockyard(command, "/dev/zero")
    assert (done.exit_code, "it is larger than 20 MB" in done.stderr) == (1, True), done.stderr


@pytest.mark.parametrize(("encoding", "separator"), [("utf-16", "\t"), ("cp1252", ";"), ("utf-8-sig", ";")])
def test_it_takes_its_own_table_however_a_spreadsheet_saved_it(
    clockyard: Command, cells: Cells, a_file: File, encoding: str, separator: str
) -> None:
    table = (
        "made_at;place;club;swing;carry\n03/05/2025 09:30;Öd;56;9:00;54,5\n13/05/2025 09:30;Öd;56;09:00:00;55,5\n"
    ).replace(";", separator)
    done = clockyard("import", a_file(table.encode(encoding)))
    assert (done.exit_code, done.stdout, done.stderr) == (0, "2 taken, 0 known already, 0 left out.\n", "")
    assert clockyard("import", a_file(table.encode(encoding))).stdout.startswith("0 taken, 2 known")
    assert cells()["56", 90.0]["n"] == 2


def test_it_takes_its_own_table_out_of_a_workbook(clockyard: Command, tmp_path: Path) -> None:
    book, path = openpyxl.Workbook(), tmp_path / "balls.xlsx"
    assert book.active is not None
    for row in [["made_at", "club", "swing", "carry"], ["03/05/2025 09:30", "56", time(9), 54.5]]:
        book.active.append(row)
    book.save(path)
    done = clockyard("import", path)
    assert done.exit_code == 1
    assert "Nothing was taken: made_at can be read as day, month, year or as month, day, year: write" in done.stderr
    assert clockyard("books").stdout == ""
    book.active["A2"].value = datetime(2025, 5, 3, 9, 30)
    book.active.append(["2025-05-13", "56", "half", 54])
    book.save(path)
    done = clockyard("import", path)
    assert (done.exit_code, done.stdout) == (3, "1 taken, 0 known already, 1 left out.\n")
    assert "line 3 left out: swing must be 9:00, full or degrees" in done.stderr


def test_rows_above_one_that_breaks_the_file_off_are_taken(clockyard: Command, a_file: File) -> None:
    done = clockyard("import", a_file(rows(GOOD, GOOD) + '2025-05-01T09:30:00Z,one,56,"9:00,54,clean\r\n'))
    assert (done.exit_code, done.stdout) == (3, "2 taken, 0 known already, 1 left out.\n")
    words = (
        "line 4 left out: cannot be read as a row (a quote that opens there does not end); nothing after it was read"
    )
    assert words in done.stderr


def test_a_pipe_is_a_file_too(clockyard: Command, tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    with ThreadPoolExecutor() as pool:
        written = pool.submit((tmp_path / "pipe").write_text, f1())
        assert clockyard("import", tmp_path / "pipe").stdout == "10 taken, 0 known already, 0 left out.\n"
        written.result()
