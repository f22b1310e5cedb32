"""Ids that the server makes: of the form the standard asks for, in the order of their moments, never the same twice."""

from uuid import RFC_4122, UUID

import pytest

from webapp.books.make_facts import changed, correction, fact, id_of_moment, withdrawn
from webapp.moments import moment_of, moved
from webapp.store import reading
from webapp.store.book import Book

from ..factories import a_club, voided

NOW = "2025-05-01T09:30:00.123Z"


def test_an_id_has_the_form_and_the_time_of_version_7() -> None:
    # RFC 9562, section 5.7: 48 bits of milliseconds since 1970, version 7, variant 10.
    made = UUID(id_of_moment(NOW))
    assert (made.version, made.variant) == (7, RFC_4122)
    assert made.int >> 80 == round(moment_of(NOW).timestamp() * 1000)


def test_ids_follow_their_moments_and_never_meet() -> None:
    moments = [moved(NOW, milliseconds=at) for at in range(50)]
    ids = [id_of_moment(moment) for moment in moments]
    assert ids == sorted(ids)
    assert len({id_of_moment(NOW) for _ in range(1000)}) == 1000


def test_a_moment_before_1970_makes_an_id_too() -> None:
    made = [UUID(id_of_moment(moment)) for moment in ("0001-01-01T00:00:00.000Z", "1969-12-31T23:59:59.999Z")]
    assert [(one.version, one.variant, one.int >> 80) for one in made] == [(7, RFC_4122, 0)] * 2


@pytest.mark.parametrize("made_at", ["9997-12-31T23:59:59.999Z", "9998-12-31T23:59:59.999Z"])
def test_whatever_was_taken_from_a_clock_far_ahead_can_be_corrected(book: Book, made_at: str) -> None:
    club = a_club(made_at=made_at)
    for root in book.add([club], None, NOW).taken:
        assert book.add([correction(book, "club", root, {**club["body"], "name": "gap"}, NOW)], None, NOW).refused == []
    assert {one.name for one in reading.clubs(book)} <= {"gap"}


def test_a_change_says_what_was_said_last_later_than_all_of_it(book: Book) -> None:
    club = a_club("56", sole_note="10 wide", made_at=moved(NOW, days=2))
    book.add([club], None, NOW)
    fact = changed(book, "club", club["id"], NOW, loft_deg=57.0, sole_note=None)
    assert (fact["root"], fact["body"]) == (club["id"], {"name": "56", "loft_deg": 57.0})
    assert fact["made_at"] == moved(club["made_at"], milliseconds=1)
    book.add([fact], None, NOW)
    gone = withdrawn(book, "club", club["id"], NOW)
    assert (gone["body"], gone["made_at"]) == (None, moved(club["made_at"], milliseconds=2))


def test_of_a_wedge_withdrawn_meanwhile_the_last_words_are_changed(book: Book) -> None:
    """Its balls may show it, as a wedge that left the bag."""
    club = a_club("56")
    book.add([club, voided(club)], None, NOW)
    assert changed(book, "club", club["id"], NOW, retired=True)["body"] == {**club["body"], "retired": True}


def test_a_first_fact_is_its_own_root() -> None:
    made = fact("note", {"words": "x"}, NOW)
    assert made["root"] == made["id"]
