"""The facts of one bucket, as a page hands them to the phone.

Knows the wire's envelope; static/outbox.js stores them on the phone.
"""

from typing import Any

from ..facts import ENVELOPE
from ..store import reading
from ..store.book import Book


def facts_of_bucket(book: Book, bucket_id: str) -> list[dict[str, Any]]:
    """Every fact of one bucket, corrections too, so that the phone can fold them with its own."""
    roots = [bucket_id, *(shot["id"] for shot in reading.shots_of_bucket(book, bucket_id))]
    return [{name: fact[name] for name in ENVELOPE} for fact in book.histories(roots)]
