"""`clockyard import --columns`: a table with other headings, and that only what is told or plain is taken."""

import io
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from webapp.store import reading
from webapp.units import YARD_M

from .conftest import Command

File = Callable[[str | bytes], Path]
Cells = Callable[..., dict[tuple[str, float], Any]]
COLUMNS = "carry=Flight,club=Stick,made_at=When,swing=Arm,contact=Strike"
HEAD = "No;When;Stick;Flight;Arm;Strike"


def forty() -> list[list[Any]]:
    """Forty balls on two days, carries in metres, with one row that is none."""
    rows: list[list[Any]] = []
    for at in range(40):
        when = datetime(2025, 5, 3 + 10 * (at // 20), 9, 30) + timedelta(seconds=at)
        rows.append([at + 1, when, ("56°", "51")[at % 2], 50 + at % 7 + 0.5, "9:00", "clean"])
    rows.insert(7, [99, datetime(2025, 5, 3, 9, 40), "56°", "lost", "9:00", "clean"])
    return rows


def as_text(rows: list[list[Any]], order: str = "%d.%m.%Y %H:%M:%S") -> str:
    told = [
        [one.strftime(order) if isinstance(one, datetime) else str(one).replace(".", ",") for one in row]
        for row in rows
    ]
    return "\n".join([HEAD, *(";".join(row) for row in told)]) + "\n"


def as_workbook(rows: list[list[Any]]) -> bytes:
    book = Workbook()
    assert book.active
    for row in [HEAD.split(";"), *rows]:
        book.active.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def test_the_sheet_that_was_read_is_said_and_another_can_be_named(clockyard: Command, tmp_path: Path) -> None:
    book = Workbook()
    for name, carry in (("Monday", 60), ("Tuesday", 70), ("Wednesday", 80)):
        for row in (("Stick", "Flight"), ("51", carry)):
            (book[name] if name in book.sheetnames else book.create_sheet(name)).append(row)
    book.save(path := tmp_path / "week.xlsx")
    options = ("--columns", "carry=Flight,club=Stick", "--unit", "m", "--day", "2025-05-03")
    for sheet, told in (((), "Monday"), (("--sheet", "Tuesday"), "Tuesday")):
        done = clockyard("import", path, *options, *sheet)
        assert done.exit_code == 0
        assert f"Of its 3 sheets only {told} was read; --sheet names another." in done.stderr
    done = clockyard("import", path, *options, "--sheet", "Sunday")
    assert done.exit_code == 1
    assert "Nothing was taken: the workbook has no sheet 'Sunday' that holds a value." in done.stderr


@pytest.mark.parametrize("kind", ["text", "text in utf-16", "workbook"])
def test_forty_of_forty_come_in_and_the_bad_row_is_named(
    clockyard: Command, cells: Cells, a_file: File, kind: str
) -> None:
    content = {
        "text": as_text(forty()).encode(),
        "text in utf-16": as_text(forty()).encode("utf-16"),
        "workbook": as_workbook(forty()),
    }[kind]
    done = clockyard("import", a_file(content), "--columns", COLUMNS, "--unit", "m", "--book", "heron")
    assert (done.exit_code, done.stdout) == (3, "40 taken, 0 known already, 1 left out.\n")
    assert "line 9 left out: carry must be a number, not 'lost'" in done.stderr
    assert "Columns not chosen and ignored: No" in done.stderr
    found = cells("--book", "heron", "--at", "2025-06-01")
    assert {cell: one["n"] for cell, one in found.items() if one["n"]} == {("56", 90.0): 20, ("51", 90.0): 20}
    assert found["56", 90.0]["visits"] == 2
    assert found["56", 90.0]["typical_carry_m"] == pytest.approx(53.4, abs=0.7)


def test_a_second_time_changes_nothing_in_whatever_form(clockyard: Command, a_file: File, opened: Any) -> None:
    words = ("--columns", COLUMNS, "--unit", "m")
    clockyard("import", a_file(as_text(forty())), *words)
    before = opened().cursor
    for content in (as_text(forty()), as_workbook(forty()), as_text(forty()).encode("utf-16")):
        done = clockyard("import", a_file(content), *words)
        assert done.stdout == "0 taken, 40 known already, 1 left out.\n"
    assert opened().cursor == before


def test_a_longer_table_adds_only_its_new_rows(clockyard: Command, a_file: File, opened: Any) -> None:
    words = ("--columns", COLUMNS, "--unit", "m")
    clockyard("import", a_file(as_text(forty())), *words)
    longer = [*forty(), [100, datetime(2025, 5, 13, 9, 45), "56°", 55.0, "full", "thin"]]
    assert clockyard("import", a_file(as_text(longer)), *words).stdout.startswith("1 taken, 40 known already")
    assert len(reading.visits(opened())) == 2


def test_equal_rows_are_as_many_balls(clockyard: Command, a_file: File) -> None:
    row = "1;03.05.2025;56;54;9:00;clean\n"
    words = ("--columns", COLUMNS, "--unit", "m", "--dates", "dmy")
    assert clockyard("import", a_file(f"{HEAD}\n{row}{row}"), *words).stdout.startswith("2 taken, 0 known")
    assert clockyard("import", a_file(f"{HEAD}\n{row}{row}{row}"), *words).stdout.startswith("1 taken, 2 known")


@pytest.mark.parametrize(("dates", "day"), [("dmy", "2025-05-03"), ("mdy", "2025-03-05")])
def test_days_in_doubt_are_asked_for(clockyard: Command, a_file: File, opened: Any, dates: str, day: str) -> None:
    file = a_file(f"{HEAD}\n1;03/05/2025;56;54;9:00;clean\n")
    words = ("--columns", COLUMNS, "--unit", "yd")
    done = clockyard("import", file, *words)
    assert done.exit_code == 1
    assert "Nothing was taken: its days can be read as dmy or mdy: say which by --dates." in done.stderr
    assert clockyard("books").stdout == ""
    assert clockyard("import", file, *words, "--dates", dates).exit_code == 0
    assert reading.shots(opened())[0]["made_at"][:10] == day


def test_a_table_that_says_no_day_is_put_down_to_a_day_and_known_again(
    clockyard: Command, a_file: File, opened: Any
) -> None:
    file = a_file("Stick,Flight\n56,54\n56,55\n")
    done = clockyard("import", file, "--columns", "carry=Flight,club=Stick", "--unit", "yd")
    assert (done.exit_code, done.stdout) == (0, "2 taken, 0 known already, 0 left out.\n")
    assert "No column says when" in done.stderr
    again = clockyard("import", file, "--columns", "carry=Flight,club=Stick", "--unit", "yd", "--day", "2025-05-03")
    assert again.stdout == "0 taken, 2 known already, 0 left out.\n"
    other = a_file("Stick,Flight\n56,54\n56,56\n")
    more = clockyard("import", other, "--columns", "carry=Flight,club=Stick", "--unit", "yd", "--day", "2025-05-03")
    assert more.stdout == "2 taken, 0 known already, 0 left out.\n"
    assert {shot["swing_deg"] for shot in reading.shots(opened())} == {180.0}
    carries = sorted(round(shot["carry_m"] / YARD_M, 6) for shot in reading.shots(opened()))
    assert carries == [54, 54, 55, 56]
    for rows, told, doubt in (
        ("56,54\n56,56\n56,57\n", "1 taken, 2 known already", ""),
        (
            "56,56\n56,70\n",
            "1 taken, 1 known already",
            "1 row says what a ball of another table of that day says",
        ),
    ):
        words = ("--columns", "carry=Flight,club=Stick", "--unit", "yd", "--day", "2025-05-03")
        done = clockyard("import", a_file(f"Stick,Flight\n{rows}"), *words)
        assert done.stdout.startswith(told)
        assert doubt in done.stderr
        assert bool(doubt) == ("another table" in done.stderr)


def test_wedges_of_the_bag_are_found_and_new_ones_have_to_show_their_loft(
    clockyard: Command, a_file: File, opened: Any
) -> None:
    clockyard("full", "--club", "56", "--carry", "85", "--book", "mine")
    file = a_file("Stick,Flight,Day\nWedge 56,54,2025-05-03\nGap,70,2025-05-03\n48°,90,2025-05-03\nLob,40,2025-05-03\n")
    words = ("--columns", "carry=Flight,club=Stick,date=Day", "--unit", "yd", "--club", "Gap=51")
    done = clockyard("import", file, *words)
    assert done.stdout == "3 taken, 0 known already, 1 left out.\n"
    assert "Wedge 56 is taken for the wedge 56." in done.stderr
    assert "line 5 left out: wedge 'Lob' is new and its loft is not told" in done.stderr
    assert [(club.name, club.loft_deg) for club in reading.clubs(opened())] == [("48", 48), ("51", 51), ("56", 56)]


def test_delivery_numbers_places_and_what_holds_of_all_rows(clockyard: Command, a_file: File, opened: Any) -> None:
    file = a_file(
        "Pellow Fen\n\nStick;Flight;Day;Clock;Head;Spin;Where\n56;54,5;2025-05-03;9:05 pm;30,5;7.100;Bay 4\n"
        "Average;54,5;;;;;\n56;1.054;2025-05-03;9:06 pm;30,5;7.100;Bay 4\n"
    )
    columns = "carry=Flight,club=#1,date=Day,time=Clock,club_speed=Head,spin_rpm=Spin,place=Where"
    extra = ("--all", "speed_unit=mps,judged_by=monitor", "--all", "surface=grass", "--decimal", "comma")
    done = clockyard("import", file, "--columns", columns, "--unit", "m", *extra)
    assert done.stdout == "1 taken, 0 known already, 2 left out.\n"
    assert "line 5 left out: sums up other rows and is no ball" in done.stderr
    assert "line 6 left out: carry must be from 0 to 366 m, not 1054" in done.stderr
    shot = reading.shots(opened())[0]
    assert shot["delivery"] == {"club_speed_mps": 30.5, "spin_rpm": 7100}
    assert (shot["judged_by"], shot["surface"], shot["place"]) == ("monitor", "grass", "Bay 4")
    assert shot["made_at"] == "2025-05-03T21:05:00.004Z"


@pytest.mark.parametrize(
    ("words", "status", "sentence"),
    [
        (
            ("--columns", "carry=Far,club=Stick", "--unit", "m"),
            1,
            "no column is called 'Far'; there are: Stick, Flight",
        ),
        (("--columns", "carry=Flight", "--unit", "m"), 2, "--columns has to say which column is club."),
        (("--columns", "carry=Flight,club=Stick"), 2, "Say by --unit in which unit the carries are"),
        (
            ("--columns", "carry=Flight,club=Stick,colour=Stick", "--unit", "m"),
            2,
            "No column of ours is called 'colour'",
        ),
        (("--columns", "carry=Flight,carry=Stick", "--unit", "m"), 2, "each word once"),
        (("--columns", "carry", "--unit", "m"), 2, "--columns wants WORD=VALUE"),
        (("--columns", "carry=Flight,club=Stick", "--unit", "m", "--day", "3 May"), 2, "--day must be a day"),
        (("--unit", "m"), 2, "Only with --columns"),
    ],
)
def test_what_is_missing_is_said_and_nothing_is_taken(
    clockyard: Command, a_file: File, words: tuple[str, ...], status: int, sentence: str
) -> None:
    done = clockyard("import", a_file("Stick,Flight\n56,54\n"), *words)
    assert done.exit_code == status
    assert sentence in " ".join(done.stderr.split())
    assert clockyard("books").stdout == ""


@pytest.mark.parametrize("content", [b"", b"\x00\x01\x02\xff", b"PK\x03\x04no", b'Stick,Flight\n"56,54\n'])
def test_a_file_that_is_no_table_leaves_no_book(clockyard: Command, a_file: File, content: bytes) -> None:
    done = clockyard("import", a_file(content), "--columns", "carry=Flight,club=Stick", "--unit", "m")
    assert done.exit_code == 1
    assert "Nothing was taken:" in done.stderr
    assert clockyard("books").stdout == ""


def test_no_row_at_all_is_a_failure(clockyard: Command, a_file: File) -> None:
    done = clockyard(
        "import",
        a_file("Stick,Flight\n56,far\n"),
        "--columns",
        "carry=Flight,club=Stick",
        "--unit",
        "m",
        "--day",
        "2025-05-03",
    )
    assert (done.exit_code, done.stdout) == (1, "0 taken, 0 known already, 1 left out.\n")


def test_a_heading_with_a_comma_stands_in_quotes_and_one_is_found_below_a_title(
    clockyard: Command, a_file: File
) -> None:
    file = a_file('Range night\n"Flight, m",Stick\n54,56\n')
    done = clockyard("import", file, "--columns", '"carry=Flight, m",club=stick', "--unit", "m", "--day", "2025-05-03")
    assert done.stdout == "1 taken, 0 known already, 0 left out.\n"


def test_a_ball_is_never_taken_for_the_headings_and_they_can_be_said(clockyard: Command, a_file: File) -> None:
    words = ("--columns", "club=#1,swing=#2,carry=#3", "--unit", "m", "--day", "2025-05-03", "--club", "SW=56")
    done = clockyard("import", a_file("SW;full;54\nSW;full;55\nSW;full;lost\nSW;full;57\n"), *words)
    assert done.stdout == "3 taken, 0 known already, 1 left out.\n"
    assert "line 3 left out: carry must be a number, not 'lost'" in done.stderr
    assert "It was read as having no headings; --headings says otherwise." in done.stderr
    below_words = a_file("SW;full;far\nSW;full;64\nSW;full;65\n")
    done = clockyard("import", below_words, *words)
    assert done.stdout == "2 taken, 0 known already, 0 left out.\n"
    assert "It was read with headings in line 1; --headings says otherwise." in done.stderr
    done = clockyard("import", below_words, *words, "--headings", "none")
    assert done.stdout.endswith(" 1 left out.\n")
    assert "line 1 left out: carry must be a number, not 'far'" in done.stderr
    assert "--headings says" not in done.stderr
    done = clockyard("import", a_file("Stick;Arm;Flight\nx;y;z\nSW;full;75\n"), *words, "--headings", "2")
    assert done.stdout == "1 taken, 0 known already, 0 left out.\n"
    done = clockyard("import", below_words, *words, "--headings", "first")
    assert done.exit_code == 2
    assert "--headings must be a line's number or none, not 'first'." in done.stderr


def test_a_book_that_cannot_hold_it_takes_nothing(clockyard: Command, a_file: File) -> None:
    rows = [f"56,54,{10 + at}" for at in range(12)]
    file = a_file("Stick,Flight,Arm\n" + "\n".join(rows) + "\n")
    columns = "carry=Flight,club=Stick,swing=Arm"
    done = clockyard("import", file, "--columns", columns, "--unit", "m", "--day", "2025-05-03")
    assert done.exit_code == 1
    assert "Nothing was taken" in done.stderr
    assert "a book holds at most 10 lengths of swing" in done.stderr
    assert clockyard("books").stdout == ""  # the book that was made for it is gone again
