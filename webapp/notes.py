"""Facts noted by a request: put into the book that doors.py opened, and the answer when the book refuses them.

Knows no form; books/make_facts.py makes the facts.
"""

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from . import doors, present
from .books import make_facts, same_wedge
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

    _keep_whole(facts, follow)
    return followed


def change(kind: str, roots: Iterable[str], **fields: Any) -> None:
    """Say these fields anew of some things, all or none; Refused when the book takes one of them not.

    What else is said of them is read while the book is written, so that nothing is lost which a phone sends just then.
    """
    book, now, some = doors.book(), present.now(), list(roots)
    _keep_whole((), lambda: [make_facts.changed(book, kind, root, now, **fields) for root in some])


def _keep_whole(facts: Sequence[dict[str, Any]], then: Callable[[], list[dict[str, Any]]]) -> None:
    try:
        doors.book().add_whole(facts, doors.device().id, present.now(), then=then)
    except NotWhole as error:
        message = f"Nothing of this was kept. {make_facts.without_phone(error.refused[0]['message'])}."
        raise Refused(400, "not_taken", message) from error
