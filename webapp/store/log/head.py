"""How far a book has grown, told so that two histories of the same length are never taken for one; and what a log is.

Knows rows and no database.
"""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from hashlib import blake2b
from typing import Protocol

# A fact as a log and a file keep it: id, root, kind, made_at, body, received_at, device. Its number is its place.
Row = tuple[bytes, bytes, str, str, str, str, bytes | None]
_CHAIN_BYTES = 16


@dataclass(frozen=True)
class Head:
    """The newest number of a book and a running digest of all its facts; (0, b"") of an empty one."""

    cursor: int = 0
    chain: bytes = b""

    def then(self, rows: Iterable[Row]) -> "Head":
        """The head once these rows follow, however they are parted into batches."""
        cursor, chain = self.cursor, self.chain
        for fact_id, root, kind, made_at, body, received_at, device in rows:
            told = "\n".join((fact_id.hex(), root.hex(), kind, made_at, body, received_at, (device or b"").hex()))
            chain = blake2b(chain + told.encode(), digest_size=_CHAIN_BYTES).digest()
            cursor += 1
        return Head(cursor, chain)


class Log(Protocol):
    """The durable log of one book's facts, of which a host's file is a copy that can be thrown away."""

    def head(self) -> Head:
        """How far the log is; Gone when the book was deleted, LogAway when nobody can say."""

    def after(self, cursor: int, upto: int) -> Iterator[Row]:
        """The facts that came after a number, up to another, in their order."""

    def append(self, old: Head, new: Head, rows: Sequence[Row]) -> bool:
        """Add rows behind `old`; False, and nothing added, when another host was first.

        True only once a commit that waited for whatever the log waits for has followed the rows, also without rows:
        what is answered after it survives the loss of a server. May be repeated.
        """

    def alone(self) -> AbstractContextManager[None]:
        """Let no other host append inside; the first append ends it."""
