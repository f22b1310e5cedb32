"""What makes a table, its headings and its balls the same ones again, held as it is: books know balls by it.

A change of one of these values would double the balls of whoever brings a table a second time.
"""

import pytest

from webapp.books.take_table import made_of
from webapp.files.ball_row import Known
from webapp.files.importing import read_table
from webapp.moments import moved
from webapp.store.book import Book
from webapp.tables.chosen import Chosen
from webapp.tables.headings import below_headings
from webapp.tables.looking import Look, look_through
from webapp.tables.row_of_line import Left, Read, Wedge, read_lines

from ..factories import NOW, a_bucket

ROWS = (
    ["Range night"],
    ["Stick", "Flight  (m)", "When", "Arm", "Round", "Seen", "Strike"],
    ["56", "54,5", "03/05/2025 09:30:15", "09:00:00", "a", "Seen", "Clean"],
    ["Gap", "84,25", "03/05/2025", "half", "", "Seen", "good"],
    ["GAP", "84", "4 May 2025 21:05 +02:00", "105", "b"],
    ["Average", "75"],
)
LINES = list(enumerate(ROWS, 1))
COLUMNS = {"club": 0, "carry": 1, "made_at": 2, "swing": 3, "visit": 4, "landed": 5, "contact": 6}
WEDGES: dict[str, Wedge | None] = {"56": Wedge("id-56", "56"), "gap": Wedge("id-gap", "50", "50")}
ANSWERS = {"swing": {"half": "9:00"}, "contact": {"good": "clean"}}
DIGEST = "6903324139ffbaa32ee6387d12db5a814821bbc592e8595610f35f3e3b4a9072"


def rows_read(look: Look, chosen: Chosen) -> list[Read]:
    """The rows that are balls; one more is left out."""
    found = list(read_lines(below_headings(LINES, look.heading_line), look, chosen, WEDGES))
    assert [one for one in found if isinstance(one, Left)] == [(6, "sums up other rows and is no ball")]
    return [one for one in found if isinstance(one, Read)]


def test_a_table_and_its_headings_keep_their_digests() -> None:
    look = look_through(LINES)
    assert look.heading_line == 2
    assert look.digest == DIGEST
    assert look.headings == "4a9baf50dfd60344f837638ecb43760a67dc754fabe3c7e5ebb2c434c5f88c1e"
    assert look_through(LINES, 1).digest == "4c2faff62cc1328af1048c84f233f69ffbbd2bb721d35b1b39d45e24b712670a"
    assert look_through(LINES, -1).headings == "ec701e24b39f319a6ae8492d25423724b175697a22ae89e348553684a433c60d"


def test_a_ball_keeps_what_it_is_known_by() -> None:
    rows = rows_read(look_through(LINES), Chosen(COLUMNS, "m", "dmy", ",", answers=ANSWERS))
    assert [(one.essence, one.visit, one.row["made_at"], one.tells_time) for one in rows] == [
        (("2025-05-03T09:30:15", "56", "a", "54.5", "seen"), "2025-05-03 a", "2025-05-03T09:30:15.000Z", True),
        (("2025-05-03T12:00:00", "gap", "", "84.25", "seen"), "2025-05-03 ", "2025-05-03T12:00:00.004Z", False),
        (("2025-05-04T19:05:00", "gap", "b", "84", ""), "2025-05-04 b", "2025-05-04T19:05:00.005Z", True),
    ]


@pytest.mark.parametrize("ahead_min", [-480, 330, 780])
def test_a_clock_far_from_utc_moves_a_ball_and_changes_nothing_that_it_is_known_by(ahead_min: int) -> None:
    """Only rows that tell no offset move, by that of their bucket, which is asked for by visit and kind of ball."""
    look, chosen = look_through(LINES), Chosen(COLUMNS, "m", "dmy", ",", answers=ANSWERS)
    asked: list[tuple[str, str, int | None]] = []

    def ahead_of(visit: str, kind: str, told: int | None) -> int:
        asked.append((visit, kind, told))
        return ahead_min

    plain = rows_read(look, chosen)
    moved_by = [ahead_min, ahead_min, 0]
    found = list(read_lines(below_headings(LINES, look.heading_line), look, chosen, WEDGES, ahead_of))
    rows = [one for one in found if isinstance(one, Read)]
    assert [(one.essence, one.visit) for one in rows] == [(one.essence, one.visit) for one in plain]
    assert [one.row["made_at"] for one in rows] == [
        moved(one.row["made_at"], minutes=-by) for one, by in zip(plain, moved_by, strict=True)
    ]
    assert [one.row["utc_offset_min"] for one in rows] == [str(ahead_min), str(ahead_min), "120"]
    assert asked == [("2025-05-03 a", "range", None), ("2025-05-03 ", "range", None), ("2025-05-04 b", "range", 120)]


def test_a_row_on_the_players_clock_at_the_calendars_end_is_left_out() -> None:
    lines = list(enumerate([["Stick", "Flight", "When"], ["56", "54", "0001-01-01 05:00"]], 1))
    look = look_through(lines)
    chosen = Chosen({"club": 0, "carry": 1, "made_at": 2}, "m", "ymd")
    below = list(below_headings(lines, look.heading_line))
    assert [type(one) for one in read_lines(below, look, chosen, WEDGES)] == [Read]
    found = list(read_lines(below, look, chosen, WEDGES, lambda visit, kind, told: 780))
    assert found == [Left(2, "its time is beyond the calendar")]


def test_a_ball_without_a_day_is_known_by_its_table() -> None:
    rows = rows_read(look_through(LINES), Chosen({"club": 0, "carry": 1}, "m", "", ",", "2025-05-03"))
    assert [one.essence for one in rows] == [
        (DIGEST, "56", "", "54.5", ""),
        (DIGEST, "gap", "", "84.25", ""),
        (DIGEST, "gap", "", "84", ""),
    ]


@pytest.mark.parametrize("ahead_min", [None, -480, 330, 780])
def test_what_a_table_brings_keeps_its_ids(book: Book, ahead_min: int | None) -> None:
    """Also in a book whose phone told its clock."""
    if ahead_min is not None:
        assert book.add([a_bucket(utc_offset_min=ahead_min)], None, NOW).refused == []
    answers = {**ANSWERS, "club": {"56": "56", "gap": "50"}}
    made = made_of(book, LINES, look_through(LINES), Chosen(COLUMNS, "m", "dmy", ",", answers=answers), "night.csv")
    assert [(fact["kind"], fact["id"]) for fact in made.facts] == [
        ("table", "33bc6668-b7ad-551c-9823-2a7e60ccaab7"),
        ("club", "2f5e4d1f-1bee-5e09-8151-67ddeeb3deed"),
        ("club", "3c912185-a8e2-58f9-9a1c-334caabaaef6"),
        ("swing", "a2ce63d0-b05b-5cc8-b906-527d14855396"),
        ("swing", "5eee6229-3b22-532b-b3cc-874703b3e552"),
        ("bucket", "28177e1f-25a6-51c5-93bd-4006b9ca54d5"),
        ("bucket", "7a7c3bc0-7664-55ba-b703-dc36c0b8b1a1"),
        ("bucket", "a3cae478-33a0-525c-9bbf-a5038b3307e4"),
        ("shot", "795a6a24-7a82-51be-9136-c62f217b1731"),
        ("shot", "f6ffce3a-b0d6-515a-ac7c-cc618face761"),
        ("shot", "f05b749e-80d3-5fb4-9b07-eb16b1031c10"),
    ]


def test_a_row_of_our_own_table_without_an_id_keeps_the_one_it_is_given() -> None:
    row = ["2025-05-01T10:00:00Z", "56", "9:00", "54"]
    table = read_table(enumerate([["made_at", "club", "swing", "carry"], row, row], 1), Known())
    assert [(fact["kind"], fact["id"]) for fact in table.facts] == [
        ("club", "2f5e4d1f-1bee-5e09-8151-67ddeeb3deed"),
        ("bucket", "6f9d1ec1-7866-5677-9502-f496aed09eb8"),
        ("shot", "fa398e1c-7c01-580b-955a-3be3f3b05a7a"),
        ("shot", "47fc9c73-4201-5da5-ab05-63ff3bf0f2fc"),
    ]
