"""A visit is a chain of buckets, each begun less than six hours after the last ball of the one before."""

from collections.abc import Sequence

from tests import factories as make
from tests.factories import NOW, Raw
from webapp.books.read_card import open_bucket
from webapp.moments import moved
from webapp.store import reading
from webapp.store.book import Book

RECEIVED = moved(NOW, days=30)


def a_bucket_with_balls(book: Book, club: Raw, hour: float, balls: Sequence[float], **more: int) -> Raw:
    """A bucket begun so many hours after NOW, with a ball at each of these hours."""
    bucket = make.a_bucket(moved(NOW, hours=hour), **more)
    shots = [make.a_shot(bucket, club, made_at=moved(NOW, hours=at)) for at in balls]
    put(book, bucket, *shots)
    return bucket


def put(book: Book, *facts: Raw) -> None:
    assert not book.add(list(facts), None, RECEIVED).refused


def a_club(book: Book) -> Raw:
    put(book, club := make.a_club())
    return club


def visits_of(book: Book) -> list[list[str]]:
    """The visits, oldest first, as the ids of their buckets; what a rebuild makes of the facts is the same."""
    found = [[bucket["id"] for bucket in visit] for visit in reversed(reading.visits(book))]
    book.rebuild()
    assert [[bucket["id"] for bucket in visit] for visit in reversed(reading.visits(book))] == found
    return found


def ids(*buckets: Raw) -> list[str]:
    return [bucket["root"] for bucket in buckets]


def test_three_buckets_of_one_morning_are_one_visit(book: Book) -> None:
    club = a_club(book)
    morning = [a_bucket_with_balls(book, club, hour, [hour + 0.1, hour + 0.5]) for hour in (0, 1, 2)]
    evening = a_bucket_with_balls(book, club, 8.6, [8.7])
    assert visits_of(book) == [ids(*morning), ids(evening)]
    assert {shot["visit_id"] for shot in reading.shots(book)} == {morning[0]["root"], evening["root"]}
    assert len(reading.shots_of_visit(book, morning[0]["root"])) == 6


def test_six_hours_are_reckoned_from_the_last_ball(book: Book) -> None:
    club = a_club(book)
    first = a_bucket_with_balls(book, club, 0, [0, 3])
    near = a_bucket_with_balls(book, club, 8.999, [9])
    far = a_bucket_with_balls(book, club, 15, [15])
    assert visits_of(book) == [ids(first, near), ids(far)]


def test_an_empty_bucket_of_a_phone_whose_clock_runs_ahead_began_when_it_was_received(book: Book) -> None:
    ahead = a_bucket_with_balls(book, a_club(book), 24 * 365, [])
    assert visits_of(book) == [ids(ahead)]
    assert reading.buckets(book)[0]["begun_at"] == RECEIVED


def test_a_bucket_without_balls_holds_no_visit_together(book: Book) -> None:
    club = a_club(book)
    first = a_bucket_with_balls(book, club, 0, [0])
    empty = a_bucket_with_balls(book, club, 5, [])
    later = a_bucket_with_balls(book, club, 10, [10])
    assert visits_of(book) == [ids(first, empty), ids(later)]


def test_a_ball_that_comes_late_joins_two_visits_and_its_withdrawal_parts_them(book: Book) -> None:
    club = a_club(book)
    first, second = (a_bucket_with_balls(book, club, hour, [hour]) for hour in (0, 7))
    assert visits_of(book) == [ids(first), ids(second)]
    put(book, late := make.a_shot(first, club, made_at=moved(NOW, hours=2)))
    assert visits_of(book) == [ids(first, second)]
    put(book, make.voided(late))
    assert visits_of(book) == [ids(first), ids(second)]


def test_a_ball_that_moves_to_another_bucket_parts_the_visit_it_held_together(book: Book) -> None:
    club = a_club(book)
    first, second = (a_bucket_with_balls(book, club, hour, [hour]) for hour in (0, 7))
    put(book, between := make.a_shot(first, club, made_at=moved(NOW, hours=2)))
    put(book, make.corrected(between, bucket_id=second["root"]))
    assert visits_of(book) == [ids(first, second)]  # the second bucket now begins with that ball
    put(book, make.corrected(between, moved(NOW, hours=3), bucket_id=first["root"], aside=True))
    assert visits_of(book) == [ids(first, second)]


def test_a_withdrawn_bucket_gives_its_place_up(book: Book) -> None:
    club = a_club(book)
    first, middle, last = (a_bucket_with_balls(book, club, hour, [hour]) for hour in (0, 4, 8))
    assert visits_of(book) == [ids(first, middle, last)]
    put(book, make.voided(middle))
    assert visits_of(book) == [ids(first), ids(last)]


def test_buckets_that_come_in_any_order_make_the_same_visits(book: Book) -> None:
    club = a_club(book)
    last, first, middle = (a_bucket_with_balls(book, club, hour, [hour]) for hour in (8, 0, 4))
    assert visits_of(book) == [ids(first, middle, last)]


def test_a_visit_keeps_the_players_own_day(book: Book) -> None:
    club = a_club(book)
    a_bucket_with_balls(book, club, 16, [16.1], utc_offset_min=-420)
    (visit,) = reading.visits(book)
    assert visit[0]["local_at"] == "2025-05-01T18:30:00.000"
    assert reading.shots(book)[0]["local_at"] == "2025-05-01T18:36:00.000"
    assert reading.utc_offset_min(book) == -420


def test_indoor_estimates_count_only_when_let_in(book: Book) -> None:
    club = a_club(book)
    bucket = a_bucket_with_balls(book, club, 0, [0])
    put(book, indoor := make.corrected(bucket, monitor_note="indoor"))
    assert not reading.shots(book)[0]["counted"]
    put(book, make.corrected(indoor, indoor_counts=True))
    assert reading.shots(book)[0]["counted"]


def test_the_card_opens_on_the_ball_that_was_hit_until_one_is_chosen(book: Book) -> None:
    club = a_club(book)
    assert reading.settings(book)["ball"] == "range"
    bucket = make.a_bucket(ball="own")
    put(book, bucket, *(make.a_shot(bucket, club, made_at=moved(NOW, minutes=at)) for at in range(3)))
    assert reading.settings(book)["ball"] == "own"
    put(book, make.a_setting("ball", "range"))
    assert reading.settings(book)["ball"] == "range"


def test_a_bucket_is_closed_at_exactly_six_hours_also_where_its_visit_goes_on(book: Book) -> None:
    club = a_club(book)
    first = a_bucket_with_balls(book, club, 0, [0, 1])
    other = make.a_bucket(moved(NOW, hours=5))
    put(book, other, make.a_shot(other, club, made_at=moved(NOW, hours=5)))
    put(book, make.corrected(other, moved(NOW, hours=5.5), ended_at=moved(NOW, hours=5.5)))
    still = open_bucket(book, moved(NOW, hours=7, seconds=-1))
    assert still
    assert still["id"] == first["root"]
    assert open_bucket(book, moved(NOW, hours=7)) is None
