"""How much one book may hold and one day may bring, so that one visitor cannot fill the server of all.

Knows the settings; a refusal here takes nothing, and the phone keeps what it holds.
"""

from collections.abc import Mapping
from typing import Any

from .doors import Refused
from .moments import moved
from .store.book import Book

_MB = 1_000_000


def refuse_a_full_book(book: Book, config: Mapping[str, Any]) -> None:
    """Refused once the book's file is as large as a book may be."""
    if book.size_bytes() >= config["MOST_BOOK"]:
        message = (
            f"This book has reached the {config['MOST_BOOK'] // _MB} MB that one book may hold here. Nothing of this "
            "was taken; what the phone holds stays on it. Whoever runs this server can allow more."
        )
        raise Refused(507, "book_full", message)


def refuse_a_flood(book: Book, config: Mapping[str, Any], now: str) -> None:
    """Refused once phones have sent as many facts within a day as one book takes."""
    if book.sent_since(moved(now, days=-1), config["MOST_FACTS_A_DAY"]) >= config["MOST_FACTS_A_DAY"]:
        message = (
            f"This book took {config['MOST_FACTS_A_DAY']} entries within a day, which is all it takes. Nothing of this "
            "was taken; it stays on the phone and is sent later."
        )
        raise Refused(429, "too_many_today", message)
