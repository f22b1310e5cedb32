"""What only the guardian of a junior may put into the book: homework, remarks, and that the player is no junior.

Knows facts and the book's settings; whose PIN it is, the directory knows.
"""

from collections.abc import Callable
from typing import Any

from ..facts import Problem
from ..store import reading
from ..store.book import Book

_SEEN_FIRST = ("homework", "remark")
_PROBLEM = Problem(
    "", "guardian",
    "This entry was not taken: in a junior’s book it needs the guardian’s PIN. "
    "It stays on the phone until it is mended.",
)  # fmt: skip


def barring(book: Book, has_pin: bool = True) -> Callable[[dict[str, Any]], Problem | None]:
    """What is wrong with a sound fact that comes without the guardian's PIN; nothing in a book of no junior.

    Before there is a PIN (`has_pin`) *junior* may be switched off again by whoever switched it on.
    """
    if not reading.settings(book)["junior"]:
        return lambda raw: None
    said = reading.roots_of_setting(book, "junior")

    def barred(raw: dict[str, Any]) -> Problem | None:
        if raw["kind"] in _SEEN_FIRST:
            return _PROBLEM
        if raw["kind"] != "setting" or not has_pin:
            return None
        body = raw["body"] or {}
        keeps = body.get("name") == "junior" and body.get("value") is True
        about_it = body.get("name") == "junior" or raw["root"].lower() in said
        return _PROBLEM if about_it and not keeps else None

    return barred
