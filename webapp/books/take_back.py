"""Takes a table back out of a book: withdraws its balls, its buckets, and what was made for it and serves nothing else.

Knows books; the table can be brought in again, since ids go by how often a thing was taken back.
"""

from collections.abc import Callable
from typing import Any

from ..store import tables
from ..store.book import Book
from . import make_facts


def take_back(book: Book, table_id: str, now: str, tell: Callable[[float], None] = lambda share: None) -> int:
    """How many balls went; 0 and nothing changed where there is no such table."""
    told = next((one for one in tables.tables(book) if one["id"] == table_id), None)
    if told is None:
        return 0
    balls, buckets = tables.facts_of(book, table_id)
    roots = [("shot", ball) for ball in balls] + [("bucket", bucket) for bucket in buckets]
    made = {kind: [root for root in told["made"] if tables.is_shown(book, kind, root)] for kind in ("club", "swing")}
    in_use = {root for root in told["made"] if tables.in_use_elsewhere(book, root, table_id)}
    roots += [("club", root) for root in made["club"] if root not in in_use]
    if not in_use.intersection(made["swing"]):  # lengths of swing were made together, and are a player's together
        roots += [("swing", root) for root in made["swing"]]
    roots.append(("table", table_id))
    voids: list[Any] = []
    for place, (kind, root) in enumerate(roots):
        voids.append(make_facts.withdrawn(book, kind, root, now))
        tell(0.5 * place / len(roots))
    book.add_whole(voids, None, now, tell=lambda seen: tell(0.5 + 0.5 * seen / len(voids)))
    return len(balls)
