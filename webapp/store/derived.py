"""The flat tables that pages read, made from the facts in the transaction that brings them.

Knows how a body becomes a row and which balls count; estimates nothing.
"""

import json
import sqlite3
from typing import Any

from ..facts import Fact, fold
from .connect import chunks, marks
from .identities import key_of, text_of

TABLES = {
    "bucket": "buckets",
    "shot": "shots",
    "club": "clubs",
    "swing": "swings",
    "full_carry": "full_carries",
    "setting": "settings",
    "mark": "marks",
    "note": "notes",
}
# Fields whose column holds something else than the body does. A setting's value may be of any type.
_IDENTITIES = ("bucket_id", "club_id", "follows")
_AS_JSON = ("value", "plan", "delivery")

# A ball counts for the card when it was a plain stock swing: swing-called, not set aside, neither on the course nor
# from an odd lie, with its usual grip and flight, in no strong wind, on a visit that is not set aside.
_SETTLE_BALLS = """
UPDATE shots SET ball = buckets.ball,
    counted = shots.mode = 'swing' AND NOT shots.aside AND NOT shots.course AND shots.lie = 'level'
        AND shots.flight = '' AND NOT buckets.aside AND NOT CASE WHEN shots.wind = ''
            THEN buckets.wind <> 'calm' AND buckets.wind_force = 'strong'
            ELSE shots.wind <> 'calm' AND shots.wind_force = 'strong' END
FROM buckets WHERE shots.bucket_id = buckets.id AND shots.{column} IN ({marks})"""
_SETTLE_CELL = """
INSERT INTO cells (ball, club_id, swing_deg, n, n_contact, visits, last_struck_at)
SELECT ball, club_id, swing_deg, SUM(landed <> 'unseen'), COUNT(*),
    COUNT(DISTINCT CASE WHEN landed <> 'unseen' THEN bucket_id END), MAX(struck_at)
FROM shots WHERE ball = ? AND counted = 1 AND club_id = ? AND swing_deg = ? GROUP BY ball"""


def refresh(conn: sqlite3.Connection, touched: dict[str, set[bytes]]) -> None:
    """Bring the rows of the touched roots (by kind) up to what their facts say now."""
    cells: set[tuple[str, bytes, float]] = set()
    shots, buckets = touched.get("shot", set()), touched.get("bucket", set())
    cells |= _cells_of(conn, "id", shots) | _cells_of(conn, "bucket_id", buckets)
    for kind, roots in touched.items():
        for places, some in chunks(roots):
            _refresh_rows(conn, kind, places, some)
    for places, some in chunks(shots):  # their rows are new and count for nothing yet
        conn.execute(_SETTLE_BALLS.format(column="id", marks=places), some)
    for places, some in chunks(buckets):
        # A ball of a visit that was withdrawn is of no kind and counts for nothing.
        conn.execute(f"UPDATE shots SET ball = '', counted = 0 WHERE bucket_id IN ({places})", some)
        conn.execute(_SETTLE_BALLS.format(column="bucket_id", marks=places), some)
    cells |= _cells_of(conn, "id", shots) | _cells_of(conn, "bucket_id", buckets)
    for cell in cells:
        conn.execute("DELETE FROM cells WHERE ball = ? AND club_id = ? AND swing_deg = ?", cell)
        conn.execute(_SETTLE_CELL, cell)


def rebuild(conn: sqlite3.Connection) -> None:
    """Throw every derived row away and make it again from the facts."""
    conn.execute("DELETE FROM cells")
    for table in TABLES.values():
        conn.execute(f"DELETE FROM {table}")
    touched: dict[str, set[bytes]] = {}
    for row in conn.execute("SELECT DISTINCT kind, root FROM facts"):
        touched.setdefault(row["kind"], set()).add(row["root"])
    refresh(conn, touched)


def fact_of(row: sqlite3.Row) -> Fact:
    """The fact a row of the facts table holds."""
    return Fact(
        text_of(row["id"]),
        text_of(row["root"]),
        row["kind"],
        row["made_at"],
        json.loads(row["body"]),
    )


def _refresh_rows(conn: sqlite3.Connection, kind: str, places: str, roots: list[bytes]) -> None:
    table = TABLES[kind]
    found = conn.execute(
        f"SELECT id, root, kind, made_at, received_at, body FROM facts WHERE root IN ({places})", roots
    ).fetchall()
    shown = fold(fact_of(row) for row in found)
    # The root itself tells when a thing was made; until it comes, the earliest correction does, in whatever order.
    first = {row["root"]: row for row in sorted(found, key=_begun, reverse=True)}
    conn.execute(f"DELETE FROM {table} WHERE id IN ({places})", roots)
    rows = [_row(fact, first[key_of(fact.root)]) for fact in shown.values()]
    if rows:
        columns = ", ".join(f'"{name}"' for name in rows[0])
        values = [[*row.values()] for row in rows]
        conn.executemany(f"INSERT INTO {table} ({columns}) VALUES ({marks(rows[0])})", values)


def _begun(row: sqlite3.Row) -> tuple[bool, str, bytes]:
    return row["id"] != row["root"], row["made_at"], row["id"]


def _row(fact: Fact, begun: sqlite3.Row) -> dict[str, Any]:
    """A fact's row: made when its root was made, since a correction does not make a ball younger."""
    made_at, received_at = begun["made_at"], begun["received_at"]
    row: dict[str, Any] = {"id": key_of(fact.root), "made_at": made_at, "received_at": received_at}
    row |= fact.filled()
    for name in _IDENTITIES:
        if name in row:
            row[name] = key_of(row[name]) if row[name] else None
    for name in _AS_JSON:
        if name in row:
            row[name] = json.dumps(row[name])
    if fact.kind == "shot":
        # A phone's clock may run years ahead: then the server's time tells the ball's age.
        row["struck_at"] = min(made_at, received_at)
    return row


def _cells_of(conn: sqlite3.Connection, column: str, keys: set[bytes]) -> set[tuple[str, bytes, float]]:
    cells: set[tuple[str, bytes, float]] = set()
    for places, some in chunks(keys):
        query = f"SELECT DISTINCT ball, club_id, swing_deg FROM shots WHERE {column} IN ({places})"
        cells |= {tuple(row) for row in conn.execute(query, some)}
    return cells
