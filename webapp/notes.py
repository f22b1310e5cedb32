"""Facts noted by a request: put into the book that doors.py opened, and the answer when the book refuses them.

Knows no form; books/make_facts.py makes the facts.
"""

from typing import Any

from . import doors, present
from .books import same_wedge
from .books.make_facts import without_phone
from .doors import Refused
from .store.book import NotWhole


def note(*facts: dict[str, Any]) -> list[dict[str, str]]:
    """Put facts made on the server into the book; gives the refusals."""
    return doors.book().add(facts, doors.device().id, present.now()).refused


def keep(*facts: dict[str, Any]) -> list[dict[str, Any]]:
    """Put facts of a checked form into the book, all or none; Refused when the book takes one of them not.

    Gives the corrections that followed from them, by which balls of withdrawn wedges are those of their likes.
    """
    book = doors.book()
    followed: list[dict[str, Any]] = []

    def follow() -> list[dict[str, Any]]:
        followed[:] = same_wedge.named_anew(book)  # asked anew when another host was first
        return followed

    try:
        book.add_whole(facts, doors.device().id, present.now(), then=follow)
    except NotWhole as error:
        message = f"Nothing of this was kept. {without_phone(error.refused[0]['message'])}."
        raise Refused(400, "not_taken", message) from error
    return followed
