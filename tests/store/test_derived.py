"""The derived tables equal what a rebuild makes of the facts, whatever came in which order."""

from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests import factories as make
from tests.factories import NOW, Raw, numbered
from tests.vectors.of_balls import BALLS
from webapp.card.shots_behind import why_not
from webapp.facts import JUDGED_BY
from webapp.moments import moved
from webapp.store import derived, estimate_rows, from_coach, reading
from webapp.store.book import Book

CLUBS, BUCKETS, SHOTS = [numbered(n) for n in (1, 2)], [numbered(n) for n in (11, 12)], range(21, 26)
RECEIVED = moved(NOW, seconds=2)


def rows_of(book: Book) -> dict[str, list[tuple[Any, ...]]]:
    return {
        table: sorted(map(tuple, book.conn.execute(f"SELECT * FROM {table}")), key=repr)
        for table in derived.TABLES.values()
    }


def test_a_rebuild_of_the_demo_sized_book_changes_no_row(book: Book) -> None:
    bucket, facts = make.a_bucket(), make.the_demo_set()
    shots = make.f1_balls(bucket, facts[2])
    more = [make.a_setting("unit", "m"), make.a_swing(105.0), make.raw("note", {"words": "wet"})]
    more += [make.a_homework(facts[2]), make.a_remark(facts[2]), make.a_remark(shot_id=shots[0]["id"])]
    book.add([bucket, *facts, *shots, *more, make.corrected(shots[3], aside=True), make.voided(shots[4])], None, NOW)
    before = rows_of(book)
    book.rebuild()
    assert rows_of(book) == before
    assert len(before["shots"]) == 9
    assert len(before["homework"]) == 1
    assert len(before["remarks"]) == 2


def _turned_round(value: Any) -> Any:
    """The same JSON, the keys of its objects in the other order."""
    if isinstance(value, list):
        return [_turned_round(one) for one in value]
    return {key: _turned_round(value[key]) for key in reversed(value)} if isinstance(value, dict) else value


def test_the_order_in_which_a_phone_writes_keys_changes_no_row(book: Book) -> None:
    club, bucket = make.a_club(), make.a_bucket()
    told = {"columns": {"carry": 1, "club": 0}, "answers": {"b": "2", "a": "1"}}
    table = make.raw("table", {"name": "old.csv", "headings": "a, b", "chosen": told, "made": []})
    ball = make.a_shot(bucket, club, delivery={"launch_deg": 30.0, "spin_rpm": 7000.0})
    facts = [club, bucket, table, ball, make.a_setting("unit", "m"), make.a_homework(club)]
    assert not book.add([{**fact, "body": _turned_round(fact["body"])} for fact in facts], None, NOW).refused
    before = rows_of(book)
    book.rebuild()
    assert rows_of(book) == before


def test_the_latest_balls_are_the_same_after_a_rebuild_though_all_came_of_one_moment(book: Book) -> None:
    bucket, club = make.a_bucket(), make.a_club()
    balls = [make.a_shot(bucket, club, 50 + at) for at in range(8)]
    book.add([bucket, club, *balls], None, NOW)
    book.add([make.corrected(balls[0], carry_m=90.0)], None, NOW)
    before = [ball["carry_m"] for ball in estimate_rows.strikes(book, 5)]
    book.rebuild()
    assert [ball["carry_m"] for ball in estimate_rows.strikes(book, 5)] == before


def _versions(roots: Any, bodies: st.SearchStrategy[Any], kind: str) -> st.SearchStrategy[Raw]:
    """First facts, corrections and withdrawals of few roots at few moments."""
    return st.builds(
        lambda root, later, second, body: make.raw(
            kind,
            body if body or later else None,
            moved(NOW, seconds=second),
            root,
            str(uuid4()) if later else root,
        ),
        st.sampled_from(roots),
        st.booleans(),
        st.integers(0, 4),
        bodies,
    )


CLUB_BODIES = st.fixed_dictionaries({"name": st.sampled_from(["56", "51"]), "loft_deg": st.sampled_from([51.0, 56.0])})
BUCKET_BODIES = st.fixed_dictionaries(
    {
        "surface": st.just("mat"),
        "judged_by": st.sampled_from(JUDGED_BY[:3]),
        "ball": st.sampled_from(["range", "own"]),
        "aside": st.booleans(),
        "wind": st.sampled_from(["calm", "into"]),
        "wind_force": st.sampled_from(["light", "strong"]),
    },
    optional={"judged_was": st.sampled_from(JUDGED_BY[:3])},
)
SHOT_BODIES = st.fixed_dictionaries(
    {
        "bucket_id": st.sampled_from(BUCKETS),
        "club_id": st.sampled_from(CLUBS),
        "swing_deg": st.sampled_from([90.0, 180.0]),
        "mode": st.sampled_from(["swing", "distance"]),
        "judged_by": st.sampled_from(JUDGED_BY[:3]),
        "aside": st.booleans(),
    },
    optional={
        "wind": st.sampled_from(["calm", "into"]),
        "wind_force": st.just("strong"),
        "judged_apart": st.booleans(),
    },
).flatmap(
    lambda body: st.sampled_from(
        [{**body, "carry_m": 50.0}, {**body, "landed": "unseen"}, {**body, "landed": "over", "contact": "bladed"}]
    )
)
BATCHES = st.lists(
    st.lists(
        st.one_of(
            _versions(CLUBS, st.none() | CLUB_BODIES, "club"),
            _versions(BUCKETS, st.none() | BUCKET_BODIES, "bucket"),
            _versions([numbered(n) for n in SHOTS], st.none() | SHOT_BODIES, "shot"),
        ),
        max_size=6,
    ),
    max_size=5,
)


@settings(max_examples=60)
@given(BATCHES)
def test_tables_kept_batch_by_batch_equal_tables_made_at_once(tmp_path_factory: Any, batches: list[list[Raw]]) -> None:
    path: Path = tmp_path_factory.mktemp("book") / f"{uuid4()}.sqlite"
    with Book(path) as book:
        book.add([make.raw("club", {"name": "60", "loft_deg": 60.0}, id=club) for club in CLUBS], None, RECEIVED)
        book.add([make.raw("bucket", make.a_bucket()["body"], id=bucket) for bucket in BUCKETS], None, RECEIVED)
        for batch in batches:
            book.add(batch, None, RECEIVED)
        kept = rows_of(book)
        book.rebuild()
        assert rows_of(book) == kept


@settings(max_examples=20)
@given(BATCHES, st.randoms())
def test_the_same_facts_in_another_order_give_the_same_shots(
    tmp_path_factory: Any, batches: list[list[Raw]], random: Any
) -> None:
    folder: Path = tmp_path_factory.mktemp("books")
    base = [make.raw("club", {"name": "60", "loft_deg": 60.0}, id=club) for club in CLUBS]
    base += [make.raw("bucket", make.a_bucket()["body"], id=bucket) for bucket in BUCKETS]
    seen: dict[str, Raw] = {fact["id"]: fact for fact in base}
    facts = [fact for batch in batches for fact in batch if seen.setdefault(fact["id"], fact) is fact]
    shuffled = list(facts)
    random.shuffle(shuffled)
    shown = []
    for order in (facts, shuffled):
        with Book(folder / f"{uuid4()}.sqlite") as book:
            book.add(base, None, RECEIVED)
            book.add(order, None, RECEIVED)
            shown.append(rows_of(book))
    assert shown[0] == shown[1]


def test_a_swing_finer_than_hundredths_and_its_balls_are_one_number(book: Book) -> None:
    bucket, club = make.a_bucket(), make.a_club()
    shot, remark = make.a_shot(bucket, club, swing_deg=400 / 3), make.a_remark(club, swing_deg=400 / 3)
    book.add([bucket, club, make.a_swing(133.333333), shot, remark], None, NOW)
    assert [swing.swing_deg for swing in reading.swings(book)] == [133.33]
    assert len(reading.shots_of_cell(book, club["id"], 133.33)) == 1
    assert from_coach.remarks(book)[0]["swing_deg"] == 133.33


def test_a_withdrawn_visit_takes_its_balls_out_of_the_count(book: Book) -> None:
    bucket, club = make.a_bucket(), make.a_club()
    book.add([bucket, club, make.a_shot(bucket, club)], None, RECEIVED)
    book.add([make.voided(bucket)], None, RECEIVED)
    kept = rows_of(book)
    assert [(row["ball"], row["counted"]) for row in book.conn.execute("SELECT ball, counted FROM shots")] == [("", 0)]
    book.rebuild()
    assert rows_of(book) == kept


def test_a_ball_whose_corrections_came_first_is_as_old_as_the_earliest_one(book: Book) -> None:
    bucket, club = make.a_bucket(), make.a_club()
    book.add([bucket, club], None, RECEIVED)
    shot = make.a_shot(bucket, club)
    early, late = (make.corrected(shot, moved(NOW, seconds=second)) for second in (1, 2))
    for fact in (late, early):
        book.add([fact], None, moved(NOW, days=1))
    assert book.conn.execute("SELECT made_at FROM shots").fetchone()[0] == early["made_at"]
    book.add([shot], None, moved(NOW, days=1))
    assert book.conn.execute("SELECT made_at FROM shots").fetchone()[0] == NOW


def test_a_ball_is_as_old_as_its_first_fact_though_a_correction_came_of_a_clock_behind(book: Book) -> None:
    bucket, club = make.a_bucket(), make.a_club()
    shot = make.a_shot(bucket, club)
    behind = make.corrected(shot, moved(NOW, days=-1))
    book.add([bucket, club, shot, behind], None, RECEIVED)
    assert book.conn.execute("SELECT made_at FROM shots").fetchone()[0] == NOW


@pytest.mark.parametrize("case", BALLS)
def test_a_reason_is_told_of_just_those_balls_that_do_not_count(book: Book, case: str) -> None:
    of_shot, of_bucket = BALLS[case]
    club, bucket = make.a_club(), make.a_bucket(**of_bucket)
    assert not book.add([club, bucket, make.a_shot(bucket, club, **of_shot)], None, NOW).refused
    (shot,) = reading.shots(book)
    assert shot["counted"] == (why_not(shot, of_bucket["ball"]) == "")


def test_a_wedge_withdrawn_before_its_balls_came_has_left_the_bag(book: Book) -> None:
    club, bucket = make.a_club("56"), make.a_bucket()
    book.add([club, bucket, make.voided(club, moved(NOW, seconds=1))], None, NOW)
    assert reading.clubs(book, retired=True) == []
    shot = make.a_shot(bucket, club)  # of a phone that had no signal meanwhile
    book.add([shot], None, NOW)
    (left,) = reading.clubs(book, retired=True)
    assert (left.name, left.loft_deg, left.retired) == ("56", 56.0, True)
    book.add([make.voided(shot, moved(NOW, seconds=1))], None, NOW)
    assert reading.clubs(book, retired=True) == []


def test_the_balls_of_a_bucket_that_was_taken_back_say_so(book: Book) -> None:
    club, bucket = make.a_club(), make.a_bucket()
    book.add([club, bucket, make.a_shot(bucket, club)], None, NOW)
    book.add([make.voided(bucket)], None, NOW)
    (shot,) = reading.shots(book)
    assert (shot["counted"], why_not(shot, "range")) == (False, "bucket taken back")


def test_withdrawn_wedges_are_found_without_reading_any_ball(book: Book) -> None:
    """The page of a bucket asks for them however many balls there are."""
    query = "EXPLAIN QUERY PLAN SELECT DISTINCT root FROM facts WHERE kind = 'club' AND body = 'null'"
    assert ["facts_of_wedges" in row["detail"] for row in book.conn.execute(query)] == [True]
