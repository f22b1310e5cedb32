"""What a process keeps of each book from one request to the next: whatever was made of its facts, until one comes.

Knows books by the state of their file and nothing of what is kept. Whatever is kept is shared by threads and is never
changed; it hangs on the facts and on the place it is kept at, which names everything else that it hangs on.
"""

from collections.abc import Callable, Hashable
from typing import TypeVar, cast

from ..kept import Kept
from ..store.book import Book

MOST_BOOKS = 24
_MOST_OF_A_BOOK = 48
Value = TypeVar("Value")

_books: Kept[Kept[object]] = Kept(MOST_BOOKS)


def kept(book: Book, place: Hashable, make: Callable[[], Value]) -> Value:
    """What is kept of a book at a place, else what `make` gives now; a change of the book empties all its places."""
    own = _books.value(str(book.path), book.state(), lambda: Kept(_MOST_OF_A_BOOK))
    return cast(Value, own.value(place, None, make))
