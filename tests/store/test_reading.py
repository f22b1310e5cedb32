"""Rows are read once as of one moment, by what reads them and what it is asked."""

from collections.abc import Callable

from tests.factories import NOW, a_bucket
from webapp.store import reading
from webapp.store.book import Book


def of_one_name(told: str) -> Callable[[Book], str]:
    def rows(_: Book) -> str:
        return told

    return reading.read_once(rows)


def test_two_that_bear_one_name_read_their_own_rows(book: Book) -> None:
    with book.as_of_one_moment():
        assert [of_one_name(told)(book) for told in ("homework", "remarks")] == ["homework", "remarks"]


def test_what_is_asked_in_other_words_is_read_once(book: Book) -> None:
    bucket = a_bucket()
    assert not book.add([bucket, a_bucket(aside=True)], None, NOW).refused
    with book.as_of_one_moment():
        assert reading.buckets(book) is reading.buckets(book, 200) is reading.buckets(book, most=200)
        assert reading.buckets(book, most=1) is not reading.buckets(book)
        of_visit = reading.buckets_of_visit
        assert of_visit(book, bucket["id"]) is of_visit(book, bucket_id=bucket["id"])
    assert reading.buckets(book) is not reading.buckets(book)
