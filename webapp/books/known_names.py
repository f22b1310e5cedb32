"""What a book knows under which name: its wedges, swings and visits, for whoever names them in words, and for pages.

Knows a book's rows; files/ball_row.py says what a row may refer to.
"""

from functools import cache, partial

from ..card.names import Names, given_names
from ..files.ball_row import Known, folded, own_id
from ..store import reading, tables
from ..store.book import Book


def names_of(book: Book, mirrored: bool) -> Names:
    """How pages call the wedges that there ever were, and any length of swing."""
    return given_names(reading.every_club(book).values(), reading.swings(book), mirrored)


def known_of(book: Book) -> Known:
    """What a table's rows may refer to in this book."""
    told = reading.settings(book)
    clubs = sorted(reading.clubs(book, retired=True), key=lambda club: club.retired)
    withdrawn = reading.withdrawn_clubs(book)  # shown for the sake of their balls alone
    return Known(
        # Of two with one name the one in the bag.
        clubs={folded(club.name): club.id for club in reversed(clubs) if club.id not in withdrawn},
        club_ids={club.id for club in clubs},
        swings_deg={swing.swing_deg for swing in reading.swings(book) if swing.id},
        swings_off_deg=tables.swings_taken_off(book),
        buckets=set(reading.bucket_ids(book)),
        unit=told["unit"],
        judged_by=told["judged_by"],
        living=cache(partial(living_id, book)),  # asked for every row
    )


def living_id(book: Book, kind: str, one: str) -> str:
    """The id that a wedge, a swing, a bucket or a table made from its content gets.

    That is `one`, or once what bore it was withdrawn an id made from it, and so on until one is free: under an id that
    was withdrawn nothing comes back.
    """
    while tables.there(book, [one]) and not tables.is_shown(book, kind, one):
        one = own_id("again", one)
    return one
