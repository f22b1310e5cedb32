"""What a book holds of the tables of balls that were taken into it, and of what was taken back again.

Knows the derived tables and facts; how a table is read and what its columns mean is not its business.
"""

import json
from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from ..clock import kept_deg
from ..fields import is_uuid
from ..moments import local, moved
from . import reading
from .book import Book
from .connect import chunks
from .derived import TABLES
from .identities import key_of, text_of


def tables(book: Book) -> list[dict[str, Any]]:
    """Every table that was taken in and not taken back, the latest first, with its balls and the player's days."""
    query = """SELECT tables.id, name, made, tables.received_at, COUNT(shots.id) AS n,
        MIN(date(shots.struck_at, COALESCE(buckets.utc_offset_min, 0) || ' minutes')) AS since,
        MAX(date(shots.struck_at, COALESCE(buckets.utc_offset_min, 0) || ' minutes')) AS until
        FROM tables LEFT JOIN buckets ON buckets.table_id = tables.id LEFT JOIN shots ON shots.bucket_id = buckets.id
        GROUP BY tables.id ORDER BY tables.received_at DESC, tables.id"""
    return [
        {**dict(row), "id": text_of(row["id"]), "made": [one for one in json.loads(row["made"]) if is_uuid(one)]}
        for row in book.conn.execute(query)
    ]


def chosen_before(book: Book, headings: str) -> tuple[Any, str] | None:
    """What was chosen last for a table with these headings, and when; also of one that was taken back."""
    query = "SELECT body, received_at FROM facts WHERE kind = 'table' AND body <> 'null' ORDER BY seq DESC"
    for row in book.conn.execute(query):
        told = json.loads(row["body"])
        if told.get("headings") == headings and told.get("chosen"):
            return told["chosen"], row["received_at"]
    return None


def facts_of(book: Book, table_id: str) -> tuple[list[str], list[str]]:
    """The balls and the buckets that came with a table and are still there."""
    key = (key_of(table_id),)
    buckets = [row["id"] for row in book.conn.execute("SELECT id FROM buckets WHERE table_id = ?", key)]
    balls = [
        row["id"]
        for places, some in chunks(buckets)
        for row in book.conn.execute(f"SELECT id FROM shots WHERE bucket_id IN ({places})", some)
    ]
    return [text_of(ball) for ball in balls], [text_of(bucket) for bucket in buckets]


def ahead_min_of_buckets(book: Book) -> dict[str, int]:
    """How far the clock of each bucket was ahead of UTC [min]; 0 where it does not say so."""
    query = "SELECT id, COALESCE(utc_offset_min, 0) AS ahead_min FROM buckets"
    return {text_of(row["id"]): row["ahead_min"] for row in book.conn.execute(query)}


def clocks_told(book: Book) -> list[tuple[date, int | None, bool]]:
    """Of every bucket its day by its clock, the minutes that was ahead of UTC or None, and whether it came by a table.

    In the order begun.
    """
    query = "SELECT begun_at, utc_offset_min, table_id FROM buckets ORDER BY begun_at, id"
    return [
        (date.fromisoformat(local(row["begun_at"], row["utc_offset_min"])[:10]), row["utc_offset_min"],
         row["table_id"] is not None)
        for row in book.conn.execute(query)
    ]  # fmt: skip


def balls_of(book: Book, table_id: str) -> list[str]:
    """The balls that came with a table and are still there, in the order in which they were struck."""
    query = """SELECT shots.id FROM shots JOIN buckets ON buckets.id = shots.bucket_id
        WHERE buckets.table_id = ? ORDER BY shots.made_at, shots.id"""
    return [text_of(row["id"]) for row in book.conn.execute(query, (key_of(table_id),))]


def came_with(book: Book, ball_ids: Iterable[str]) -> dict[str, tuple[str, float]]:
    """Those of these balls that came with a table: the table and the swing, by the ball."""
    query = """SELECT shots.id, swing_deg, table_id FROM shots JOIN buckets ON buckets.id = shots.bucket_id
        WHERE table_id IS NOT NULL AND shots.id IN"""
    return {
        text_of(row["id"]): (text_of(row["table_id"]), row["swing_deg"])
        for places, some in chunks([key_of(one) for one in ball_ids])
        for row in book.conn.execute(f"{query} ({places})", some)
    }


def noted_by_hand(book: Book, since: str, until: str) -> list[dict[str, Any]]:
    """The balls with a carry that came with no table, about between two readings of the player's clock."""
    where = "table_id IS NULL AND carry_m IS NOT NULL AND struck_at BETWEEN ? AND ?"
    return reading.shots(book, where, _about(since, until, 1), most=-1)


def noted_since(book: Book, moment: str) -> list[dict[str, Any]]:
    """The balls with a carry that came with no table, and that the server got after a moment."""
    where = "table_id IS NULL AND carry_m IS NOT NULL AND shots.received_at > ?"
    return reading.shots(book, where, (moment,), most=-1)


def came_about(book: Book, since: str, until: str) -> list[dict[str, Any]]:
    """The balls that came with any table, about between two moments: its clock may not be UTC."""
    where = "table_id IS NOT NULL AND struck_at BETWEEN ? AND ?"
    return reading.shots(book, where, _about(since, until, 2), most=-1)


def first_said_about(book: Book, since: str, until: str) -> list[dict[str, Any]]:
    """What was first said of every ball that came with a table, about between two moments: `now` is its wedge today.

    Of one that was withdrawn alone, which stays so, `now` is ""; one that went with its table is not there.
    `utc_offset_min` is what was first said of its bucket.
    """
    buckets = """SELECT id, json_extract(body, '$.table_id') AS came,
        json_extract(body, '$.utc_offset_min') AS ahead_min FROM facts WHERE kind = 'bucket' AND id = root"""
    bucket_of = {text_of(row["id"]): row for row in book.conn.execute(buckets) if row["came"]}
    shown = {text_of(row["id"]) for row in book.conn.execute("SELECT id FROM tables")}
    query = """SELECT facts.id, facts.made_at, facts.body, shots.club_id
        FROM facts LEFT JOIN shots ON shots.id = facts.id
        WHERE facts.kind = 'shot' AND facts.id = facts.root AND facts.made_at BETWEEN ? AND ?"""
    found = []
    for row in book.conn.execute(query, _about(since, until, 2)):
        said = json.loads(row["body"])
        bucket = bucket_of.get(said["bucket_id"])
        if bucket and (row["club_id"] or bucket["came"] in shown):
            own = {"id": text_of(row["id"]), "made_at": row["made_at"], "utc_offset_min": bucket["ahead_min"]}
            found.append({**said, **own, "now": text_of(row["club_id"]) if row["club_id"] else ""})
    return found


def _about(since: str, until: str, days: float) -> tuple[str, str]:
    """The time between two moments, longer by some days at either end; where the calendar ends it has no end."""
    try:
        return moved(since, days=-days), moved(until, days=days)
    except OverflowError:
        return "", "9999-12-32"


def in_use_elsewhere(book: Book, root: str, table_id: str) -> bool:
    """Whether a wedge or a swing has a ball that did not come with this table, or a wedge a stated full carry."""
    key = key_of(root)
    query = """SELECT 1 FROM shots LEFT JOIN buckets ON buckets.id = shots.bucket_id
        WHERE (shots.club_id = ? OR shots.swing_deg = (SELECT swing_deg FROM swings WHERE id = ?))
        AND buckets.table_id IS NOT ? LIMIT 1"""
    stated = "SELECT 1 FROM full_carries WHERE club_id = ? LIMIT 1"
    return bool(
        book.conn.execute(query, (key, key, key_of(table_id))).fetchone()
        or book.conn.execute(stated, (key,)).fetchone()
    )


def is_shown(book: Book, kind: str, root: str) -> bool:
    """Whether a thing is in the book and was not withdrawn; a withdrawn wedge keeps its row while it has a ball."""
    query = f"""SELECT 1 FROM {TABLES[kind]} WHERE id = :root
        AND NOT EXISTS (SELECT 1 FROM facts WHERE root = :root AND body = 'null')"""
    return book.conn.execute(query, {"root": key_of(root)}).fetchone() is not None


def taken_back(book: Book, ball_ids: Iterable[str]) -> set[str]:
    """Those of these balls that were withdrawn together with their bucket and its table; others stay withdrawn."""
    named = {ball_id: _first_said(book, ball_id, "bucket_id") for ball_id in withdrawn_balls(book, ball_ids)}
    gone = {
        bucket_id
        for bucket_id in {*named.values()}
        if not is_shown(book, "bucket", bucket_id)
        and not is_shown(book, "table", _first_said(book, bucket_id, "table_id"))
    }
    return {ball_id for ball_id, bucket_id in named.items() if bucket_id in gone}


def swings_taken_off(book: Book) -> set[float]:
    """The lengths of swing [deg] that the player took off last, rather than with the table that they were made for.

    What goes with a table is withdrawn as it is: got at one moment, and made within one second wherever the book is.
    """
    query = "SELECT root, kind, made_at, received_at, body FROM facts WHERE kind IN ('swing', 'table') ORDER BY seq"
    rows = book.conn.execute(query).fetchall()
    with_table = {_when(row) for row in rows if row["kind"] == "table" and row["body"] == "null"}
    said_deg: dict[bytes, float] = {}
    by_player: dict[float, bool] = {}
    for row in rows:
        if row["kind"] != "swing":
            continue
        if row["body"] != "null":
            said_deg[row["root"]] = kept_deg(json.loads(row["body"])["swing_deg"])
        elif row["root"] in said_deg:
            by_player[said_deg[row["root"]]] = _when(row) not in with_table
    return {swing_deg for swing_deg, is_so in by_player.items() if is_so}


def withdrawn_balls(book: Book, ball_ids: Iterable[str]) -> set[str]:
    """Those of these balls that came into the book and were taken out of it again."""
    ids = set(ball_ids)
    return _named(book, "facts", ids) - _named(book, "shots", ids)


def there(book: Book, ids: Iterable[str]) -> set[str]:
    """Those of these ids that name a fact of the book."""
    return _named(book, "facts", ids)


def begun(book: Book, ids: Iterable[str]) -> dict[str, str]:
    """The kind of each of these ids that names the first fact of a thing."""
    return {
        text_of(row["id"]): row["kind"]
        for places, some in chunks([key_of(one) for one in ids])
        for row in book.conn.execute(f"SELECT id, kind FROM facts WHERE id = root AND id IN ({places})", some)
    }


def naming(book: Book, root: str) -> list[tuple[str, str]]:
    """The kind and the root of everything of which a fact names a thing."""
    query = "SELECT DISTINCT kind, root FROM facts WHERE body LIKE ? ORDER BY root"
    return [(row["kind"], text_of(row["root"])) for row in book.conn.execute(query, (f"%{root}%",))]


def _when(row: Mapping[str, Any]) -> tuple[str, str]:
    """When the server got a fact, and the second in which it was made."""
    return row["received_at"], row["made_at"][:19]


def _first_said(book: Book, root: str, name: str) -> str:
    """What the first fact of a thing says, as text; "" where it says nothing, or is not there."""
    query = f"SELECT json_extract(body, '$.{name}') FROM facts WHERE id = ?"
    said = book.conn.execute(query, (key_of(root),)).fetchone()
    return said[0] or "" if said else ""


def _named(book: Book, table: str, ids: Iterable[str]) -> set[str]:
    return {
        text_of(row["id"])
        for places, some in chunks([key_of(one) for one in ids])
        for row in book.conn.execute(f"SELECT id FROM {table} WHERE id IN ({places})", some)
    }
