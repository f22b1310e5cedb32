"""What came from a coach and was taken by the player: homework and remarks.

Knows the derived tables; what a code of either says is practice/homework_code.py's and practice/remark_code.py's.
"""

import json
import sqlite3
from typing import Any

from .book import Book
from .identities import text_of
from .reading import read_once


@read_once
def homework(book: Book) -> list[dict[str, Any]]:
    """Homework that the player accepted, the latest first."""
    rows = book.conn.execute("SELECT * FROM homework ORDER BY made_at DESC, id DESC")
    return [
        {**dict(row), "id": text_of(row["id"]), "plan": json.loads(row["plan"]), "aside": bool(row["aside"])}
        for row in rows
    ]


@read_once
def remarks(book: Book) -> list[dict[str, Any]]:
    """Remarks of a coach that the player kept, the latest first; "" for a wedge or a ball that none is about."""
    rows = book.conn.execute("SELECT * FROM remarks ORDER BY made_at DESC, id DESC")
    return [{**dict(row), **_ids(row), "aside": bool(row["aside"])} for row in rows]


def _ids(row: sqlite3.Row) -> dict[str, str]:
    return {name: text_of(row[name]) if row[name] else "" for name in ("id", "club_id", "shot_id")}
