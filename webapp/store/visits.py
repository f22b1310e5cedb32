"""Which buckets are one visit: a chain in which each starts less than six hours after the last ball before it.

Knows the times of buckets and their balls; nothing of what was struck.
"""

import sqlite3
from collections.abc import Collection, Iterable
from datetime import timedelta

from ..moments import moment_of
from .connect import chunks

APART_DAYS = 6 / 24  # also how long a bucket that nobody ended stays open after its last ball


def begun_before(conn: sqlite3.Connection, buckets: Collection[bytes]) -> str | None:
    """When the first of these buckets began, as their rows say; None without a row."""
    times = []
    for places, some in chunks(buckets):
        query = f"SELECT MIN(begun_at) FROM buckets WHERE id IN ({places})"
        times.append(conn.execute(query, some).fetchone()[0])
    return min((time for time in times if time), default=None)


def chain(conn: sqlite3.Connection, buckets: Collection[bytes], since: str | None) -> None:
    """Give the buckets from the earliest of these on their times and their visit.

    `since` is what `begun_before` said before the rows of `buckets` were made again: a bucket that began later than it
    used to, or was withdrawn, may part the visits that it held together.
    """
    for places, some in chunks(buckets):
        conn.execute(
            f"""UPDATE buckets SET last_struck_at = (SELECT MAX(struck_at) FROM shots WHERE bucket_id = buckets.id),
                begun_at = MIN(made_at, received_at, COALESCE(
                    (SELECT MIN(struck_at) FROM shots WHERE bucket_id = buckets.id), made_at))
                WHERE id IN ({places})""",
            some,
        )
    starts = [time for time in (since, begun_before(conn, buckets)) if time]
    if not starts:
        return
    visit, end = _before(conn, min(starts))
    rows = conn.execute(
        "SELECT id, begun_at, last_struck_at, visit_id FROM buckets WHERE begun_at >= ? ORDER BY begun_at, id",
        (min(starts),),
    )
    conn.executemany("UPDATE buckets SET visit_id = ? WHERE id = ?", list(_changes(rows.fetchall(), visit, end)))


def _before(conn: sqlite3.Connection, moment: str) -> tuple[bytes | None, str]:
    """The visit under way just before a moment, and its last ball; where it has none its own beginning."""
    last = conn.execute(
        "SELECT visit_id FROM buckets WHERE begun_at < ? ORDER BY begun_at DESC, id DESC LIMIT 1", (moment,)
    ).fetchone()
    if last is None:
        return None, ""
    query = """SELECT COALESCE(MAX(last_struck_at), MIN(begun_at)) FROM buckets
        WHERE visit_id = ? AND begun_at < ?"""
    return last[0], conn.execute(query, (last[0], moment)).fetchone()[0]


def _changes(rows: Iterable[sqlite3.Row], visit: bytes | None, end: str) -> Iterable[tuple[bytes, bytes]]:
    """Visit and id of each bucket whose visit is another one now."""
    for row in rows:
        if visit is None or moment_of(row["begun_at"]) - moment_of(end) >= timedelta(days=APART_DAYS):
            visit, end = row["id"], row["begun_at"]
        end = max(end, row["last_struck_at"] or "")
        if row["visit_id"] != visit:
            yield visit, row["id"]
