"""A player's own table, opened in a spreadsheet and saved again: every ball comes back, or the cause is named."""

import csv
import io
from datetime import time, timedelta
from typing import Any

import pytest
from flask.testing import FlaskClient
from openpyxl import Workbook

from webapp.store import reading
from webapp.store.book import Book

from ..factories import NOW, a_bucket, a_club, a_shot, corrected, raw
from .test_leaving import balls_of, bring, take
from .visitor import words

Rows = list[list[str]]


def rows_of(player: FlaskClient, name: str = "shots.csv") -> Rows:
    """The cells of a table taken away, as a spreadsheet reads them."""
    return list(csv.reader(io.StringIO(take(player, name).decode(), newline="")))


def saved(rows: Rows, separator: str, encoding: str) -> bytes:
    """The cells as a spreadsheet saves them."""
    out = io.StringIO()
    csv.writer(out, delimiter=separator).writerows(rows)
    return out.getvalue().encode(encoding)


def with_commas(rows: Rows) -> Rows:
    """The cells with a comma before decimals, as in a country that writes so; moments stay as they are."""
    moment = rows[0].index("made_at")
    return [[cell if at == moment else _with_comma(cell) for at, cell in enumerate(row)] for row in rows]


def _with_comma(cell: str) -> str:
    try:
        float(cell)
    except ValueError:
        return cell
    return cell.replace(".", ",")


def with_days(rows: Rows, form: str) -> Rows:
    """The cells with moments as a spreadsheet shows them."""
    at = rows[0].index("made_at")

    def shown(text: str) -> str:
        return form.format(y=text[:4], m=text[5:7], d=text[8:10], time=text[11:16])

    return [rows[0], *([*row[:at], shown(row[at]), *row[at + 1 :]] for row in rows[1:])]


def test_the_line_of_a_quote_that_does_not_end_is_named(player: FlaskClient, full_book: Book, fresh: Any) -> None:
    rows = with_commas(rows_of(player))
    lines = saved(rows, ";", "utf-8").splitlines(keepends=True)
    lines[5] = lines[5].replace(b";", b';"', 1)
    client, _ = fresh
    answer = words(bring(client, b"".join(lines), "shots.csv"))
    assert "line 6 cannot be read as a row" in answer


@pytest.mark.parametrize(
    ("separator", "encoding"), [(",", "cp1252"), (";", "utf-8-sig"), (";", "cp1252"), ("\t", "utf-16")]
)
@pytest.mark.parametrize("commas", [False, True])
def test_it_comes_back_whatever_the_spreadsheet_parts_it_by(
    player: FlaskClient, full_book: Book, fresh: Any, separator: str, encoding: str, commas: bool
) -> None:
    rows = rows_of(player)
    client, other = fresh
    answer = bring(client, saved(with_commas(rows) if commas else rows, separator, encoding), "shots.csv")
    assert "23 balls came into the book; 0 were there already." in words(answer)
    assert balls_of(other) == balls_of(full_book)


@pytest.mark.parametrize("form", ["{d}.{m}.{y} {time}", "{d}/{m}/{y} {time}", "{m}/{d}/{y} {time}", "{d}.{m}.{y}"])
def test_days_as_a_country_writes_them_come_back(player: FlaskClient, full_book: Book, fresh: Any, form: str) -> None:
    rows = [[cell.replace("2025-05-01", "2025-05-26") for cell in row] for row in rows_of(player)]
    client, other = fresh
    bring(client, saved(with_days(with_commas(rows), form), ";", "cp1252"), "shots.csv")
    here, there = (
        {ball["id"]: (ball["carry_m"], ball["contact"]) for ball in balls_of(some).values()}
        for some in (other, full_book)
    )
    assert here == there
    assert {ball["made_at"][:10] for ball in balls_of(other).values()} == {"2025-05-26"}
    again = words(bring(player, saved(with_days(rows, form), ";", "cp1252"), "shots.csv"))
    assert "0 balls came into the book; 23 were there already." in again


def test_balls_whose_seconds_were_lost_keep_their_order(player: FlaskClient, book: Book, fresh: Any) -> None:
    club, bucket = a_club("56"), a_bucket()
    book.add([club, bucket, *(a_shot(bucket, club, 50 + at) for at in range(4))], None, NOW)
    client, other = fresh
    rows = rows_of(player)
    bring(client, saved(with_days(rows, "{d}.{m}.{y} {time}"), ";", "utf-8"), "shots.csv")
    order = [row[rows[0].index("id")] for row in rows[1:]]
    assert [ball["id"] for ball in sorted(reading.shots(other), key=lambda ball: ball["made_at"])] == order


def test_days_that_can_be_read_in_two_ways_are_refused_with_what_to_do(player: FlaskClient, book: Book) -> None:
    header = "made_at;club;swing;carry\n"
    shown = words(bring(player, f"{header}05/06/2025 10:00;56;9:00;54\n".encode(), "shots.csv"))
    assert "made_at can be read as day, month, year or as month, day, year: write its days as 2025-05-01" in shown
    assert book.cursor == 0
    with_points = f"{header}05.06.2025 10:00;56;9:00;54,5\n".encode()
    assert "1 ball came into the book" in words(bring(player, with_points, "shots.csv"))
    assert [ball["made_at"] for ball in reading.shots(book)] == ["2025-06-05T10:00:00.000Z"]
    assert "1 was there already" in words(bring(player, with_points, "shots.csv"))


def test_a_number_with_its_thousands_parted_is_no_fraction(player: FlaskClient, book: Book) -> None:
    table = 'made_at,club,swing,carry,spin_rpm\n2025-05-01T10:00:00Z,56,"97,5","54,123","8,123"\n'
    bring(player, table.encode(), "shots.csv")
    (ball,) = reading.shots(book)
    assert ball["swing_deg"] == 97.5
    assert ball["carry_m"] == pytest.approx(54.123 * 0.9144)
    assert ball["delivery"] == {"spin_rpm": 8123.0}


def test_it_comes_back_as_a_workbook(player: FlaskClient, full_book: Book, fresh: Any) -> None:
    workbook, kept = Workbook(), io.BytesIO()
    assert workbook.active is not None
    for row in rows_of(player):
        workbook.active.append(row)
    workbook.save(kept)
    client, other = fresh
    page = bring(client, kept.getvalue(), "shots.xlsx")
    assert "Refresh" not in page.headers, "a small workbook is taken while its player waits"
    assert "23 balls came into the book" in words(page)
    assert balls_of(other) == balls_of(full_book)


@pytest.mark.parametrize("swing", [time(9), timedelta(hours=9), "9:00"])
def test_a_swing_that_a_workbook_keeps_as_a_time_of_day_comes_back(
    player: FlaskClient, book: Book, swing: object
) -> None:
    workbook, kept = Workbook(), io.BytesIO()
    assert workbook.active is not None
    workbook.active.append(["made_at", "club", "swing", "carry"])
    workbook.active.append(["2025-05-01T10:00:00Z", "56", swing, 54])
    workbook.save(kept)
    assert "1 ball came into the book" in words(bring(player, kept.getvalue(), "shots.xlsx"))
    assert [ball["swing_deg"] for ball in reading.shots(book)] == [90.0]


@pytest.mark.parametrize(
    ("content", "cause"),
    [
        (b'made_at,club,swing,carry\n2025-05-01,56,9:00,"54\n', "line 2 cannot be read as a row (a quote"),
        (b"%PDF-1.7", "it is a document to be printed: save the table as XLSX or CSV and bring that"),
        (b"made_at;club;swing;carry\n2025-05-01;56;9:00;5,4,3\n", "Line 2: carry must be a number, not '5,4,3'."),
        (b"made_at;club;swing;carry\nyesterday;56;9:00;54\n", "Line 2: made_at must be an ISO 8601 time"),
        (b"made_at;club;swing\n2025-05-01;56;9:00\n", "not there: carry"),
    ],
)
def test_what_cannot_be_read_names_its_cause(player: FlaskClient, book: Book, content: bytes, cause: str) -> None:
    answer = bring(player, content, "shots.csv")
    assert answer.status_code == 400
    assert cause in words(answer)
    assert book.cursor == 0


def test_eye_checks_come_back_once(player: FlaskClient, book: Book, fresh: Any) -> None:
    pairs = [(55.0, 52.0, "laser"), (50.5, 48.25, "paces")]
    checks = [raw("eye_check", {"said_m": said, "measured_m": measured, "by": by}) for said, measured, by in pairs]
    assert book.add(checks, None, NOW).refused == []
    client, other = fresh
    table = saved(with_commas(rows_of(player, "eye-checks.csv")), ";", "cp1252")
    assert "2 eye checks came into the book; 0 were there already." in words(bring(client, table, "eye-checks.csv"))
    told = ("said_m", "measured_m", "by", "made_at")
    there, here = ([[one[name] for name in told] for one in reading.eye_checks(some)] for some in (book, other))
    assert sorted(here) == sorted(there)
    assert "0 eye checks came into the book; 2 were there already." in words(bring(client, table, "eye-checks.csv"))
    broken = table + b"far;48;m;paces;2025-05-01\n"
    assert "Line 4: said must be a number, not 'far'." in words(bring(client, broken, "eye-checks.csv"))


def test_a_ball_changed_since_stays_and_the_rest_is_taken(player: FlaskClient, book: Book) -> None:
    night = "2025-05-01T02:30:00.000Z"
    club, bucket = a_club("56"), a_bucket(night, utc_offset_min=-420)
    first, second = a_shot(bucket, club, 54, night), a_shot(bucket, club, 57, night)
    book.add([club, bucket, first, second], None, NOW)
    rows = rows_of(player)
    book.add([corrected(first, carry_m=40.0)], None, NOW)
    id_place = rows[0].index("id")
    new = list(rows[1])
    new[id_place] = ""
    told = words(bring(player, saved([*rows, new], ",", "utf-8"), "shots.csv"))
    assert "1 ball came into the book; 2 were there already." in told
    assert (
        "One of them was changed since, here or in the file, and stays as it is here: 30 Apr 2025, 56, 54.0 yd." in told
    )  # the day of the player's own clock
    assert balls_of(book)[first["id"]]["carry_m"] == 40.0
