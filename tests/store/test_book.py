"""One book: what it takes, what it refuses, and that it never changes or loses a fact."""

import sqlite3
from typing import Any
from uuid import uuid4

import pytest

from tests import factories as make
from tests.factories import NOW, Raw, numbered
from webapp.books.bucket_facts import facts_of_bucket
from webapp.moments import moved
from webapp.store import estimate_rows, from_coach, reading
from webapp.store.book import Book
from webapp.store.faults import DamagedFile, ReadOnlyStore

RECEIVED = "2025-05-01T10:00:00.000Z"


@pytest.fixture
def visit(book: Book) -> tuple[Raw, Raw]:
    """A visit and a wedge in the book."""
    bucket, club = make.a_bucket(), make.a_club()
    assert book.add([bucket, club], None, RECEIVED).refused == []
    return bucket, club


def facts_in(book: Book) -> list[tuple[Any, ...]]:
    return [tuple(row) for row in book.conn.execute("SELECT * FROM facts ORDER BY seq")]


def test_it_takes_a_batch_and_gives_it_out_in_order(book: Book) -> None:
    batch = [*make.the_demo_set(), make.a_bucket()]
    taken = book.add(batch, b"phone", RECEIVED)
    assert taken.taken == [fact["id"] for fact in batch]
    assert taken.cursor == book.cursor == len(batch)
    given = book.after(0)
    assert [{name: fact[name] for name in ("id", "root", "kind", "made_at", "body")} for fact in given] == batch
    assert [fact["seq"] for fact in given] == list(range(1, len(batch) + 1))


def test_it_gives_out_only_what_came_after_a_number(book: Book, visit: tuple[Raw, Raw]) -> None:
    shot = make.a_shot(*visit)
    book.add([shot], None, RECEIVED)
    assert [fact["id"] for fact in book.after(2)] == [shot["id"]]
    assert len(book.after(0, limit=2)) == 2
    assert book.after(3) == []


def test_a_fact_sent_again_is_taken_again_and_changes_nothing(book: Book, visit: tuple[Raw, Raw]) -> None:
    shot = make.a_shot(*visit)
    book.add([shot], b"one", RECEIVED)
    before = facts_in(book)
    again = book.add([shot, shot], b"other", "2026-01-01T00:00:00.000Z")
    assert again.taken == [shot["id"], shot["id"]]
    assert facts_in(book) == before


def test_a_fact_that_went_through_a_phone_which_writes_no_point_behind_whole_numbers_is_the_same(book: Book) -> None:
    club = make.a_club("56", loft_deg=56.0)
    book.add([club], None, RECEIVED)
    before = facts_in(book)
    again = book.add([{**club, "body": {"name": "56", "loft_deg": 56}}], b"phone", RECEIVED)
    assert (again.taken, again.refused) == ([club["id"]], [])
    assert facts_in(book) == before


def test_it_refuses_an_id_that_comes_back_with_other_content(book: Book, visit: tuple[Raw, Raw]) -> None:
    shot = make.a_shot(*visit)
    book.add([shot], None, RECEIVED)
    other = {**shot, "body": {**shot["body"], "carry_m": 1.0}}
    answer = book.add([other], None, RECEIVED)
    assert [(one["id"], one["code"]) for one in answer.refused] == [(shot["id"], "id_reused")]
    assert reading.shots(book)[0]["carry_m"] == shot["body"]["carry_m"]


def test_one_bad_fact_never_blocks_the_others(book: Book, visit: tuple[Raw, Raw]) -> None:
    good, bad = make.a_shot(*visit), make.a_shot(*visit, carry_yd=401)
    answer = book.add([bad, None, good, {"id": 5}], None, RECEIVED)
    assert answer.taken == [good["id"]]
    assert [one["code"] for one in answer.refused] == ["out_of_range", "not_a_fact", "bad_id"]
    assert [one["id"] for one in answer.refused] == [bad["id"], "", ""]


def test_it_refuses_a_ball_of_a_wedge_or_visit_that_is_not_here(book: Book, visit: tuple[Raw, Raw]) -> None:
    bucket, club = visit
    strange = [make.a_shot(bucket, numbered(9)), make.a_shot(numbered(9), club), make.a_shot(club, bucket)]
    answer = book.add(strange, None, RECEIVED)
    assert [one["code"] for one in answer.refused] == ["unknown_club", "unknown_bucket", "unknown_bucket"]
    assert reading.shots(book) == []


def test_a_wedge_and_its_ball_may_come_in_one_batch(book: Book) -> None:
    bucket, club = make.a_bucket(), make.a_club()
    assert book.add([bucket, club, make.a_shot(bucket, club)], None, RECEIVED).refused == []


def test_it_refuses_a_correction_of_another_kind(book: Book, visit: tuple[Raw, Raw]) -> None:
    bucket, club = visit
    wrong = make.raw("club", club["body"], root=bucket["id"])
    assert [one["code"] for one in book.add([wrong], None, RECEIVED).refused] == ["wrong_root"]


def test_a_correction_is_shown_and_what_it_corrects_stays(book: Book, visit: tuple[Raw, Raw]) -> None:
    shot = make.a_shot(*visit, carry_yd=60)
    mended = make.corrected(shot, carry_m=54.0)
    book.add([shot, mended], None, RECEIVED)
    assert [ball["carry_m"] for ball in reading.shots(book)] == [54.0]
    assert [fact["id"] for fact in book.history(shot["root"])] == [shot["id"], mended["id"]]


def test_a_correction_may_come_before_what_it_corrects(book: Book, visit: tuple[Raw, Raw]) -> None:
    shot = make.a_shot(*visit, carry_yd=60)
    mended = make.corrected(shot, carry_m=54.0)
    book.add([mended], None, RECEIVED)
    book.add([shot], None, RECEIVED)
    assert [(ball["carry_m"], ball["made_at"]) for ball in reading.shots(book)] == [(54.0, NOW)]


def test_a_withdrawn_ball_is_gone_for_good_and_its_facts_stay(book: Book, visit: tuple[Raw, Raw]) -> None:
    shot = make.a_shot(*visit)
    book.add([shot, make.voided(shot)], None, RECEIVED)
    book.add([make.corrected(shot, moved(NOW, days=1), carry_m=50.0)], None, RECEIVED)
    assert reading.shots(book) == []
    assert len(book.history(shot["root"])) == 3


def test_a_clock_years_ahead_makes_no_ball_younger(book: Book, visit: tuple[Raw, Raw]) -> None:
    book.add([make.a_shot(*visit, made_at="2031-01-01T00:00:00.000Z")], None, RECEIVED)
    assert reading.shots(book)[0]["struck_at"] == RECEIVED


def test_a_correction_makes_no_ball_younger(book: Book, visit: tuple[Raw, Raw]) -> None:
    shot = make.a_shot(*visit)
    book.add([shot, make.corrected(shot, moved(NOW, days=90), carry_m=50.0)], None, moved(NOW, days=90))
    assert reading.shots(book)[0]["struck_at"] == NOW


def test_balls_of_a_clock_that_is_fast_stay_in_the_order_struck(book: Book, visit: tuple[Raw, Raw]) -> None:
    """They came together before the moment they were noted at, so all of them are said to be struck as they came."""
    balls = [make.a_shot(*visit, 50 + at, moved(RECEIVED, minutes=10, seconds=at)) for at in range(12)]
    book.add(balls, None, RECEIVED)
    struck = reading.shots_of_visit(book, reading.buckets(book)[0]["visit_id"])
    assert [shot["id"] for shot in reversed(struck)] == [ball["id"] for ball in balls]


@pytest.mark.parametrize(
    ("shot", "bucket", "counted"),
    [
        ({}, {}, True),
        ({"contact": "fat"}, {}, True),
        ({"carry_m": None, "landed": "unseen"}, {}, True),
        ({"aside": True}, {}, False),
        ({"mode": "distance"}, {}, False),
        ({"course": True}, {}, False),
        ({"lie": "sand"}, {}, False),
        ({"flight": "low"}, {}, False),
        ({"wind": "into", "wind_force": "strong"}, {}, False),
        ({}, {"wind": "into", "wind_force": "strong"}, False),
        ({}, {"wind": "into", "wind_force": "light"}, True),
        ({"wind": "calm", "wind_force": "light"}, {"wind": "into", "wind_force": "strong"}, True),
        ({}, {"aside": True}, False),
    ],
)
def test_only_a_plain_stock_swing_counts(book: Book, shot: Raw, bucket: Raw, counted: bool) -> None:
    visit, club = make.a_bucket(**bucket), make.a_club()
    book.add([visit, club, make.a_shot(visit, club, **shot)], None, RECEIVED)
    assert len(estimate_rows.cell_balls(book)) == counted


def test_setting_a_visit_aside_and_back_moves_its_balls_out_and_in(book: Book, visit: tuple[Raw, Raw]) -> None:
    bucket, club = visit
    book.add([make.a_shot(bucket, club), make.a_shot(bucket, club)], None, RECEIVED)
    aside = make.corrected(bucket, moved(NOW, hours=1), aside=True)
    book.add([aside], None, RECEIVED)
    assert estimate_rows.cell_balls(book) == []
    book.add([make.corrected(bucket, moved(NOW, hours=2))], None, RECEIVED)
    assert len(estimate_rows.cell_balls(book)) == 2


def test_moving_a_ball_to_another_wedge_moves_one_count(book: Book, visit: tuple[Raw, Raw]) -> None:
    bucket, club = visit
    other, shot = make.a_club("51"), make.a_shot(bucket, club)
    book.add([other, shot, make.a_shot(bucket, club)], None, RECEIVED)
    book.add([make.corrected(shot, club_id=other["id"])], None, RECEIVED)
    assert {ball["club_id"] for ball in estimate_rows.cell_balls(book)} == {club["id"], other["id"]}


def test_correcting_the_kind_of_ball_moves_the_whole_visit(book: Book, visit: tuple[Raw, Raw]) -> None:
    bucket, club = visit
    book.add([make.a_shot(bucket, club)], None, RECEIVED)
    book.add([make.corrected(bucket, ball="own")], None, RECEIVED)
    assert [ball["ball"] for ball in estimate_rows.cell_balls(book)] == ["own"]
    assert (estimate_rows.has_balls(book, "range"), estimate_rows.has_balls(book, "own")) == (False, True)


def test_a_ball_lost_from_sight_is_read_without_a_carry(book: Book, visit: tuple[Raw, Raw]) -> None:
    book.add([make.a_shot(*visit, carry_yd=None, contact="thin")], None, RECEIVED)
    assert [(ball["carry_m"], ball["contact"]) for ball in estimate_rows.cell_balls(book)] == [(None, "thin")]


def test_a_correction_in_the_same_batch_counts_however_its_ids_are_written(book: Book, visit: tuple[Raw, Raw]) -> None:
    shot = make.a_shot(*visit)
    later = make.corrected(shot, carry_m=40.0)
    book.add([shot, {**later, "id": later["id"].upper(), "root": later["root"].upper()}], None, RECEIVED)
    assert [(ball["id"], ball["carry_m"]) for ball in estimate_rows.cell_balls(book)] == [(shot["id"], 40.0)]


def test_a_swing_no_longer_in_use_gives_no_balls(book: Book, visit: tuple[Raw, Raw]) -> None:
    book.add([make.a_shot(*visit), make.a_swing(45.0)], None, RECEIVED)
    assert estimate_rows.cell_balls(book) == []


def test_the_bays_offset_is_added_when_read_and_the_entry_stays(book: Book) -> None:
    bucket, club = make.a_bucket(bay_offset_m=-3.0), make.a_club()
    book.add([bucket, club, make.a_shot(bucket, club, carry_m=50.0)], None, RECEIVED)
    assert [ball["carry_m"] for ball in estimate_rows.cell_balls(book)] == [47.0]
    assert [(ball["carry_m"], ball["raw_carry_m"]) for ball in reading.shots(book)] == [(47.0, 50.0)]


def test_a_cell_gives_its_latest_balls_only(book: Book, visit: tuple[Raw, Raw]) -> None:
    times = [moved(NOW, seconds=second) for second in range(5)]
    book.add([make.a_shot(*visit, made_at=made_at) for made_at in times], None, moved(NOW, days=1))
    assert [ball["struck_at"] for ball in estimate_rows.cell_balls(book, most=3)] == times[2:]
    assert [ball["struck_at"] for ball in estimate_rows.cell_balls(book, until=times[1])] == times[:2]


def test_of_a_visit_a_cell_gives_its_latest_balls_only_and_says_that_it_had_more(
    book: Book, visit: tuple[Raw, Raw]
) -> None:
    (earlier, club), later = visit, make.a_bucket(moved(NOW, days=1))
    before, since = ([moved(NOW, days=day, seconds=second) for second in range(n)] for day, n in ((0, 4), (1, 5)))
    shots = [make.a_shot(earlier, club, made_at=at) for at in before] + [
        make.a_shot(later, club, 60, at) for at in since
    ]
    book.add([later, *shots], None, moved(NOW, days=2))
    balls = estimate_rows.cell_balls(book, most=6, most_of_a_visit=4)
    assert [(ball["struck_at"], ball["at_most"]) for ball in balls] == [
        *((at, 0) for at in before[2:]),
        *((at, 4) for at in since[1:]),
    ]
    # Those that the visit left out had pushed off are among the latest again.
    rest = estimate_rows.cell_balls(book, without=later["id"], most=4, most_of_a_visit=4)
    assert [ball["struck_at"] for ball in rest] == before


def test_a_setting_said_again_under_any_root_wins_by_time(book: Book) -> None:
    later = make.a_setting("unit", "m", moved(NOW, hours=1))
    book.add([later, make.a_setting("unit", "yd")], None, RECEIVED)
    assert reading.settings(book)["unit"] == "m"


def test_facts_are_never_changed_or_removed_whatever_is_added(book: Book, visit: tuple[Raw, Raw]) -> None:
    shot = make.a_shot(*visit)
    book.add([shot], None, RECEIVED)
    before = facts_in(book)
    book.add([make.corrected(shot, carry_m=1.0), make.voided(shot), shot, {"id": "x"}], None, moved(RECEIVED, days=1))
    book.rebuild()
    assert facts_in(book)[: len(before)] == before


def test_a_read_only_book_refuses_every_write(book: Book, visit: tuple[Raw, Raw]) -> None:
    with Book(book.path, read_only=True) as door:
        assert [club.name for club in reading.clubs(door)] == ["56"]
        with pytest.raises(ReadOnlyStore, match="readonly"):
            door.add([make.a_shot(*visit)], None, RECEIVED)
        with pytest.raises(sqlite3.OperationalError, match="readonly"):
            door.conn.execute("DELETE FROM facts")
    assert book.cursor == 2


def test_homework_accepted_on_two_phones_is_one_homework(book: Book, visit: tuple[Raw, Raw]) -> None:
    one = make.a_homework(visit[1], focus="low hands", nine_by="2025-05-04")
    again = make.raw("homework", one["body"], moved(NOW, minutes=1), id=one["id"])
    assert book.add([one], None, RECEIVED).refused == []
    assert [refused["code"] for refused in book.add([again], None, RECEIVED).refused] == ["id_reused"]
    corrected = make.raw("homework", one["body"], again["made_at"], root=one["id"])  # what that phone makes of it then
    assert book.add([corrected], None, RECEIVED).refused == []
    kept = from_coach.homework(book)
    assert [(work["id"], work["made_at"], work["focus"], len(work["plan"])) for work in kept] == [
        (one["id"], NOW, "low hands", 5)
    ]


def test_homework_without_a_ball_is_refused(book: Book, visit: tuple[Raw, Raw]) -> None:
    refused = book.add([make.a_homework(visit[1], balls=0)], None, RECEIVED).refused
    assert [one["field"] for one in refused] == ["plan"]


def test_a_remark_kept_on_two_phones_is_one_and_names_what_is_in_the_book(book: Book, visit: tuple[Raw, Raw]) -> None:
    ball = make.a_shot(*visit)
    one = make.a_remark(visit[1], shot_id=ball["id"])
    assert book.add([ball, one, one], None, RECEIVED).refused == []
    again = make.corrected(one, aside=True)
    assert book.add([again, make.a_remark()], None, RECEIVED).refused == []
    kept = {remark["id"]: remark for remark in from_coach.remarks(book)}
    assert len(kept) == 2
    assert (kept[one["id"]]["words"], kept[one["id"]]["shot_id"], kept[one["id"]]["aside"]) == (
        "hold the finish", ball["id"], True,
    )  # fmt: skip
    foreign = [make.a_remark(str(uuid4())), make.a_remark(shot_id=str(uuid4())), make.a_remark(words=" ")]
    refused = [refused["code"] for refused in book.add(foreign, None, RECEIVED).refused]
    assert refused == ["unknown_club", "unknown_shot", "out_of_range"]


@pytest.mark.files_only
def test_a_file_that_goes_while_its_book_is_open_is_told_as_a_fault_of_the_store(book: Book) -> None:
    book.path.unlink()
    for ask in (book.size_bytes, book.state):
        with pytest.raises(DamagedFile):
            ask()


def test_the_facts_of_a_bucket_are_read_together_in_the_order_of_their_roots(
    book: Book, visit: tuple[Raw, Raw]
) -> None:
    bucket, club = visit
    balls = [make.a_shot(bucket, club, 50 + at, moved(NOW, minutes=at)) for at in range(40)]
    fixed = [make.corrected(ball, moved(NOW, hours=1), contact="fat") for ball in balls[::3]]
    assert book.add([*fixed, *balls], None, RECEIVED).refused == []
    roots = [bucket["id"], *(shot["id"] for shot in reading.shots_of_bucket(book, bucket["id"]))]
    asked: list[str] = []
    book.conn.set_trace_callback(asked.append)
    read = facts_of_bucket(book, bucket["id"])
    book.conn.set_trace_callback(None)
    assert sum("FROM facts WHERE" in one for one in asked) == 1
    assert [fact["id"] for fact in read] == [fact["id"] for root in roots for fact in book.history(root)]
    assert len(read) == 1 + 40 + 14
