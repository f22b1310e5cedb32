"""The flat tables that pages read, made from the facts in the transaction that brings them.

Knows how a body becomes a row and which balls count; estimates nothing.
"""

import json
import sqlite3
from collections.abc import Callable, Collection, Iterable, Mapping
from functools import partial
from typing import Any, NamedTuple

from ..clock import kept_deg
from ..facts import KINDS, latest
from . import visits
from .connect import chunks, give_room, marks
from .identities import key_of

# A ball counts by its bucket too, so buckets stand before shots.
TABLES = {
    "bucket": "buckets",
    "shot": "shots",
    "club": "clubs",
    "swing": "swings",
    "full_carry": "full_carries",
    "setting": "settings",
    "mark": "marks",
    "note": "notes",
    "eye_check": "eye_checks",
    "homework": "homework",
    "remark": "remarks",
    "table": "tables",
}
# Fields whose column holds something else than the body does. A setting's value may be of any type. A file keeps the
# keys of a body in order, so a row made of what a phone sent has to keep them so too.
_AS_STORED: dict[str, Callable[[Any], Any]] = {
    **dict.fromkeys(
        ("bucket_id", "club_id", "shot_id", "follows", "table_id"), lambda text: key_of(text) if text else None
    ),
    **dict.fromkeys(("value", "plan", "delivery", "chosen", "made"), partial(json.dumps, sort_keys=True)),
    "swing_deg": lambda swing_deg: None if swing_deg is None else kept_deg(swing_deg),
}
_UNSAID = {
    kind: {name: _AS_STORED.get(name, lambda default: default)(field.default) for name, field in body.items()}
    for kind, body in KINDS.items()
}

Row = Mapping[str, Any]


class Noted(NamedTuple):
    """A fact by its identities as a file keeps them, and when the server got it."""

    id: bytes
    root: bytes
    kind: str
    made_at: str
    body: dict[str, Any] | None
    received_at: str


def noted(rows: Iterable[tuple[Any, ...]]) -> list[Noted]:
    """Facts as a file keeps them (the fields of `Noted`, their bodies as text); ValueError where one cannot be read.

    All bodies are read as one text: a cold book has thousands, and one by one they take twice as long.
    """
    kept = list(rows)
    bodies = json.loads(f"[{','.join([body for *_, body, _ in kept])}]")
    told = zip(kept, bodies, strict=True)
    return [Noted(key, root, kind, made_at, body, at) for (key, root, kind, made_at, _, at), body in told]


def refresh(conn: sqlite3.Connection, batch: Iterable[Noted], known: set[bytes]) -> None:
    """Bring the rows of the roots that a batch touched up to what their facts say now.

    `known` are the roots that the book had facts of before: only those are read again.
    """
    kinds: dict[str, dict[bytes, list[Noted]]] = {}
    for one in batch:
        kinds.setdefault(one.kind, {}).setdefault(one.root, []).append(one)
    buckets, clubs = (_touched_by_balls(conn, kinds, known, name) for name in ("bucket", "club"))
    since = visits.begun_before(conn, buckets)
    for kind in TABLES:
        touched = kinds.get(kind, {})
        _make_again(conn, kind, touched.keys() & known)
        _make(conn, kind, {root: history for root, history in touched.items() if root not in known})
        if kind == "bucket":
            _settle_balls(conn, touched.keys() & known)
        if kind == "club":
            _make_again(conn, kind, clubs - touched.keys())  # whether a withdrawn one is shown hangs on its balls
    visits.chain(conn, buckets, since)


def rebuild(conn: sqlite3.Connection) -> None:
    """Throw every derived row away and make it again from the facts."""
    give_room(conn)
    for kind, table in TABLES.items():
        conn.execute(f"DELETE FROM {table}")
        roots = conn.execute("SELECT root FROM facts WHERE kind = ? GROUP BY root ORDER BY MIN(seq)", (kind,))
        _make_again(conn, kind, [row["root"] for row in roots])
    visits.chain(conn, [row["id"] for row in conn.execute("SELECT id FROM buckets")], None)


def counts(shot: Row, bucket: Row | None) -> bool:
    """Whether a ball counts for the card: a plain stock swing that flew outdoors.

    That is swing-called, not set aside, neither on the course nor from an odd lie, with its usual grip and flight,
    in no strong wind, from a bucket that is neither set aside nor withdrawn (None). A carry that a monitor worked out
    indoors counts only where the player lets the bucket's estimates in.
    """
    if bucket is None or bucket["aside"] or shot["aside"] or shot["course"]:
        return False
    if bucket["monitor_note"] == "indoor" and not bucket["indoor_counts"]:
        return False
    usual = shot["mode"] == "swing" and shot["lie"] == "level" and not shot["flight"]
    return usual and not in_strong_wind(shot, bucket)


def in_strong_wind(shot: Row, bucket: Row) -> bool:
    """Whether a ball flew in strong wind: by what was noted with it, else by what was noted with its bucket."""
    noted = shot if shot["wind"] else bucket
    return bool(noted["wind"] != "calm" and noted["wind_force"] == "strong")


def _make_again(conn: sqlite3.Connection, kind: str, roots: Collection[bytes]) -> None:
    for places, some in chunks(roots):
        histories: dict[bytes, list[Noted]] = {root: [] for root in some}
        query = f"SELECT id, root, kind, made_at, body, received_at FROM facts WHERE root IN ({places})"
        for one in noted(conn.execute(query, some)):
            histories[one.root].append(one)
        conn.execute(f"DELETE FROM {TABLES[kind]} WHERE id IN ({places})", some)
        _make(conn, kind, histories)


def _make(conn: sqlite3.Connection, kind: str, histories: Mapping[bytes, list[Noted]]) -> None:
    rows = [row for root, history in histories.items() if (row := _row(root, history)) is not None]
    if kind == "club":
        rows += _struck_since(conn, histories)
    if kind == "shot":
        buckets = _buckets(conn, {row["bucket_id"] for row in rows})
        for row in rows:
            row |= _of_bucket(row, buckets)
    if rows:
        columns = ", ".join(f'"{name}"' for name in rows[0])
        values = [tuple(row.values()) for row in rows]
        conn.executemany(f"INSERT INTO {TABLES[kind]} ({columns}) VALUES ({marks(rows[0])})", values)


def _row(root: bytes, history: list[Noted]) -> dict[str, Any] | None:
    """What is shown of a root, None of a withdrawn one; a correction does not make a ball younger."""
    shown = latest(history)
    if shown is None or shown.body is None:
        return None
    begun = min(history, key=_begun)
    made_at, received_at = begun.made_at, begun.received_at
    row = {"id": root, "made_at": made_at, "received_at": received_at, **_UNSAID[shown.kind], **shown.body}
    for name in shown.body.keys() & _AS_STORED:
        row[name] = _AS_STORED[name](row[name])
    if shown.kind == "shot":
        # A phone's clock may run years ahead: then the server's time tells the ball's age.
        row["struck_at"] = min(made_at, received_at)
    return row


def _struck_since(conn: sqlite3.Connection, histories: Mapping[bytes, list[Noted]]) -> list[dict[str, Any]]:
    """The withdrawn wedges that a ball is shown of, as wedges that left the bag.

    A phone without signal may strike a wedge that another phone withdraws meanwhile: its balls keep a name and a loft.
    """
    withdrawn = [root for root, history in histories.items() if _row(root, history) is None]
    rows = []
    for places, some in chunks(withdrawn):
        for (root,) in conn.execute(f"SELECT DISTINCT club_id FROM shots WHERE club_id IN ({places})", some):
            if row := _row(root, [one for one in histories[root] if one.body is not None]):
                rows.append({**row, "retired": True, "follows": None})  # it takes no other wedge's place any more
    return rows


def _begun(one: Noted) -> tuple[bool, str, bytes]:
    """The root itself tells when a thing was made; until it comes, the earliest correction does, in any order."""
    return one.id != one.root, one.made_at, one.id


def _settle_balls(conn: sqlite3.Connection, changed: Collection[bytes]) -> None:
    """Write what shots take from their bucket anew into those of these changed buckets."""
    buckets, judged_anew = _buckets(conn, changed), set[bytes]()
    for places, some in chunks(changed):
        query = f"SELECT root FROM facts WHERE root IN ({places}) AND json_extract(body, '$.judged_was') IS NOT NULL"
        put_right = {root for (root,) in conn.execute(query, some)}
        shots = conn.execute(f"SELECT * FROM shots WHERE bucket_id IN ({places})", some).fetchall()
        judged_anew |= {
            shot["id"] for shot in shots if shot["bucket_id"] in put_right or _is_judged_before(shot, buckets)
        }
        conn.executemany(
            "UPDATE shots SET ball = :ball, counted = :counted WHERE id = :id",
            [{"id": shot["id"], **_of_bucket(shot, buckets)} for shot in shots if shot["id"] not in judged_anew],
        )
    _make_again(conn, "shot", judged_anew)  # what was said of them is not in their rows


def _of_bucket(shot: Row, buckets: Mapping[bytes, Row]) -> dict[str, Any]:
    """The columns that a shot takes from its bucket; without one its kind is "" and it does not count.

    A ball goes by how its bucket is judged now, however many balls there are and whatever a phone without signal still
    says of them. One that is judged apart keeps its own. Earlier versions did not say which is which: of theirs those
    go by the bucket that were judged as it was before it was put right.
    """
    bucket = buckets.get(shot["bucket_id"])
    taken = {"ball": bucket["ball"] if bucket else "", "counted": int(counts(shot, bucket))}
    if bucket and not _is_apart(shot, bucket):
        taken["judged_by"] = bucket["judged_by"]
    return taken


def _is_apart(shot: Row, bucket: Row) -> bool:
    if shot["judged_apart"] is None:
        return bool(shot["judged_by"] != bucket["judged_was"])
    return bool(shot["judged_apart"])


def _is_judged_before(shot: Row, buckets: Mapping[bytes, Row]) -> bool:
    """Whether a row that goes by its bucket is judged otherwise than the bucket is now."""
    bucket = buckets.get(shot["bucket_id"])
    return shot["judged_apart"] == 0 and (bucket is None or shot["judged_by"] != bucket["judged_by"])


def _buckets(conn: sqlite3.Connection, ids: Collection[bytes]) -> dict[bytes, Row]:
    found: dict[bytes, Row] = {}
    for places, some in chunks(ids):
        query = f"""SELECT id, ball, aside, wind, wind_force, monitor_note, indoor_counts, judged_by, judged_was
            FROM buckets WHERE id IN ({places})"""
        found |= {row["id"]: dict(row) for row in conn.execute(query, some)}
    return found


def _touched_by_balls(
    conn: sqlite3.Connection, kinds: Mapping[str, Mapping[bytes, list[Noted]]], known: set[bytes], name: str
) -> set[bytes]:
    """The buckets (or clubs) that a batch changes or its balls name, and those that its balls were of until now."""
    shots = kinds.get("shot", {})
    bodies = [one.body for history in shots.values() for one in history]
    found = {*kinds.get(name, {}), *(key_of(body[f"{name}_id"]) for body in bodies if body)}
    for places, some in chunks(shots.keys() & known):
        query = f"SELECT {name}_id FROM shots WHERE id IN ({places})"
        found |= {root for (root,) in conn.execute(query, some)}
    return found
