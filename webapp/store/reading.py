"""What pages and commands read from a book: its set-up, its buckets and visits, and its balls.

Knows the derived tables and nothing of how a number on the card is estimated.
"""

import json
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import wraps
from inspect import signature
from typing import Any, TypeVar, cast

from ..clock import DEFAULT_SWINGS_DEG
from ..facts import SETTINGS
from ..moments import local
from .book import Book
from .derived import in_strong_wind
from .identities import key_of, text_of

MOST_BALLS_A_CELL = 200
MOST_OF_A_VISIT = 50  # balls of a cell, so that 200 come of four visits and without one of them still of three
MOST_SHOTS_A_CELL = 1000  # on the page of a number
_AFTER_ALL = "~"  # comes after every moment
MOST_SHOTS = 5000  # of the latest are what pages compare and list

Read = TypeVar("Read", bound=Callable[..., Any])


def read_once(read: Read) -> Read:
    """Read once as of one moment of the book (Book.once), however it is asked for: every page does."""
    takes = signature(read)

    @wraps(read)
    def told(book: Book, *asked: Any, **named: Any) -> Any:
        whole = takes.bind(book, *asked, **named)
        whole.apply_defaults()
        return book.once((read, *whole.args[1:]), lambda: read(*whole.args))

    return cast(Read, told)


@dataclass(frozen=True)
class Club:
    """A wedge as it is shown: id, name, stamped loft [deg], note on bounce and sole, and whether it left the bag."""

    id: str
    name: str
    loft_deg: float
    sole_note: str
    retired: bool
    follows: str
    made_at: str


@dataclass(frozen=True)
class Swing:
    """A length of swing the player keeps: lead-arm angle [deg] and own name ("" for the clock name)."""

    id: str
    swing_deg: float
    name: str


@read_once
def clubs(book: Book, retired: bool = False) -> list[Club]:
    """The wedges in the bag, strongest first; `retired` brings those that left it too."""
    if not retired:
        return [club for club in clubs(book, retired=True) if not club.retired]
    rows = book.conn.execute("SELECT * FROM clubs ORDER BY loft_deg, name, id")
    return [
        Club(
            _text(row["id"]),
            row["name"],
            row["loft_deg"],
            row["sole_note"],
            bool(row["retired"]),
            _text(row["follows"]),
            row["made_at"],
        )
        for row in rows
    ]


@read_once
def withdrawn_clubs(book: Book) -> dict[str, Club]:
    """The wedges that were withdrawn, by id, as they were said last: a phone without signal may strike one yet."""
    roots = book.conn.execute("SELECT DISTINCT root FROM facts WHERE kind = 'club' AND body = 'null'")
    said = {fact["root"]: fact for fact in book.histories(_text(row["root"]) for row in roots) if fact["body"]}
    return {
        root: Club(root, fact["body"]["name"], fact["body"]["loft_deg"], "", True, "", fact["made_at"])
        for root, fact in said.items()
    }


@read_once
def every_club(book: Book) -> dict[str, Club]:
    """Every wedge that was ever named, by id: in the bag, out of it, withdrawn."""
    return {club.id: club for club in clubs(book, retired=True)} | withdrawn_clubs(book)


@read_once
def swings(book: Book) -> list[Swing]:
    """The player's lengths of swing from short to long; 7:30, 9:00, 10:30 and full until others are chosen."""
    rows = book.conn.execute("SELECT * FROM swings ORDER BY swing_deg, made_at, id").fetchall()
    own = {row["swing_deg"]: Swing(_text(row["id"]), row["swing_deg"], row["name"]) for row in rows}
    return list(own.values()) or [Swing("", swing_deg, "") for swing_deg in DEFAULT_SWINGS_DEG]


@read_once
def settings(book: Book) -> dict[str, Any]:
    """Every setting by name: what was said last, else its default; the card's kind of ball, else the one mostly hit.

    CROSS JOIN fixes the order of the tables: from the few settings to their facts, never through all facts.
    """
    values = {name: field.default for name, field in SETTINGS.items()}
    said = set()
    query = """SELECT settings.name, settings.value FROM settings CROSS JOIN facts ON facts.root = settings.id
        ORDER BY facts.made_at, facts.id"""
    for row in book.conn.execute(query):
        if row["name"] in values:
            values[row["name"]] = json.loads(row["value"])
            said.add(row["name"])
    return values if "ball" in said else {**values, "ball": _usual_ball(book) or values["ball"]}


def setting_roots(book: Book) -> dict[str, str]:
    """The root each setting was last said under, so that saying it again corrects it."""
    rows = book.conn.execute("SELECT id, name FROM settings ORDER BY made_at, id")
    return {row["name"]: _text(row["id"]) for row in rows}


def roots_of_setting(book: Book, name: str) -> set[str]:
    """Every root under which a setting is said."""
    return {_text(row["id"]) for row in book.conn.execute("SELECT id FROM settings WHERE name = ?", (name,))}


def full_carries(book: Book) -> dict[str, float]:
    """The full carry [m] the player stated last for each club, by club id."""
    return {club_id: carry_m for club_id, (_, carry_m) in full_carry_roots(book).items()}


def full_carry_roots(book: Book) -> dict[str, tuple[str, float]]:
    """For each club that is shown with a stated full carry its root and the carry [m]."""
    query = """SELECT full_carries.id, club_id, carry_m
        FROM full_carries CROSS JOIN facts ON facts.root = full_carries.id
        WHERE club_id IN (SELECT id FROM clubs)
        ORDER BY facts.made_at, facts.id"""
    return {_text(row["club_id"]): (_text(row["id"]), row["carry_m"]) for row in book.conn.execute(query)}


@read_once
def shots(book: Book, where: str = "1", values: tuple[Any, ...] = (), most: int = 1000) -> list[dict[str, Any]]:
    """Shots that meet an SQL condition of this package's callers, newest first, with what their bucket says of them."""
    return list(_shots(book, where, values, most))


def every_shot(book: Book) -> Iterator[dict[str, Any]]:
    """Every shot, newest first, one after the other: a book holds more than should lie in memory at once."""
    return _shots(book, "1", (), -1)


def _shots(book: Book, where: str, values: tuple[Any, ...], most: int) -> Iterator[dict[str, Any]]:
    query = f"""SELECT shots.*, buckets.bay_offset_m AS bay_offset_m, buckets.surface AS surface,
        buckets.aside AS bucket_aside, buckets.place AS place, buckets.visit_id AS visit_id,
        buckets.monitor_note AS monitor_note, buckets.indoor_counts AS indoor_counts,
        buckets.utc_offset_min AS utc_offset_min, buckets.wind AS bucket_wind,
        buckets.wind_force AS bucket_wind_force FROM shots
        LEFT JOIN buckets ON buckets.id = shots.bucket_id WHERE {where}
        ORDER BY struck_at DESC, shots.made_at DESC, shots.id DESC LIMIT ?"""
    return map(_shot, dicts(book.conn.execute(query, (*values, most))))


def shots_of_cell(book: Book, club_id: str, swing_deg: float, most: int = MOST_SHOTS_A_CELL) -> list[dict[str, Any]]:
    """The latest shots of one club and swing, newest first, counted or not."""
    return shots(book, "club_id = ? AND swing_deg = ?", (key_of(club_id), swing_deg), most)


def shots_of_club(book: Book, club_id: str, most: int = 1000) -> list[dict[str, Any]]:
    """The latest shots of one club with any swing, newest first, counted or not."""
    return shots(book, "club_id = ?", (key_of(club_id),), most)


def shot(book: Book, shot_id: str) -> dict[str, Any] | None:
    """One shot as it is shown, or None when there is none of this id or it was withdrawn."""
    return next(iter(shots(book, "shots.id = ?", (key_of(shot_id),))), None)


def shot_of_moment(book: Book, struck_at: str) -> dict[str, Any] | None:
    """A shot that was struck at this very moment; None without one."""
    return next(iter(shots(book, "struck_at = ?", (struck_at,), 1)), None)


def shots_of_bucket(book: Book, bucket_id: str) -> list[dict[str, Any]]:
    """The latest shots of one bucket, newest first."""
    return shots(book, "bucket_id = ?", (key_of(bucket_id),))


def shots_of_visit(book: Book, visit_id: str, most: int = 5000) -> list[dict[str, Any]]:
    """The latest shots of one visit, newest first."""
    inside = "bucket_id IN (SELECT id FROM buckets WHERE visit_id = ?)"
    return shots(book, inside, (key_of(visit_id),), most)


@read_once
def course_shots(book: Book, most: int = 200) -> list[dict[str, Any]]:
    """The latest shots logged while card only was on, newest first, without those set aside."""
    return shots(book, "shots.course = 1 AND NOT shots.aside", (), most)


@read_once
def buckets(book: Book, most: int = 200, before: str = "") -> list[dict[str, Any]]:
    """The latest buckets, newest first, each with its number of balls and the player's clock at its beginning.

    With `before`, a moment, only those begun before it.
    """
    query = """SELECT latest.*, (SELECT COUNT(*) FROM shots WHERE bucket_id = latest.id) AS n FROM (
        SELECT * FROM buckets WHERE begun_at < ? ORDER BY begun_at DESC, id DESC LIMIT ?) AS latest"""
    return [_bucket(row) for row in book.conn.execute(query, (before or _AFTER_ALL, most))]


@read_once
def visits(book: Book, most: int = 200, before: str = "") -> list[list[dict[str, Any]]]:
    """The latest visits, newest first, each as its buckets in the order begun; whole ones among `most` buckets.

    With `before`, the moment a visit began, only those begun before it.
    """
    some = buckets(book, most, before)
    by_visit: dict[str, list[dict[str, Any]]] = {}
    for bucket in some:
        by_visit.setdefault(bucket["visit_id"], []).insert(0, bucket)
    whole = [own for visit_id, own in by_visit.items() if own[0]["id"] == visit_id]
    return whole or ([buckets_of_visit(book, some[0]["id"])] if some else [])


@read_once
def buckets_of_visit(book: Book, bucket_id: str) -> list[dict[str, Any]]:
    """The buckets of the visit that a bucket belongs to, in the order begun; [] where there is no such bucket."""
    query = """SELECT own.*, (SELECT COUNT(*) FROM shots WHERE bucket_id = own.id) AS n
        FROM buckets AS named JOIN buckets AS own ON own.visit_id = named.visit_id
        WHERE named.id = ? ORDER BY own.begun_at, own.id"""
    return [_bucket(row) for row in book.conn.execute(query, (key_of(bucket_id),))]


@read_once
def buckets_planned(book: Book, part: str) -> list[dict[str, Any]]:
    """The buckets whose plan has a word that holds this text, newest first."""
    query = "SELECT * FROM buckets WHERE instr(plan, ?) ORDER BY begun_at DESC, id DESC"
    return [_bucket(row) for row in book.conn.execute(query, (part,))]


def bucket_ids(book: Book) -> list[str]:
    """The ids of all buckets."""
    return [_text(row["id"]) for row in book.conn.execute("SELECT id FROM buckets")]


@read_once
def utc_offset_min(book: Book) -> int:
    """How many minutes the player's clock is ahead of UTC, as the latest bucket that tells it says; 0 without one."""
    query = """SELECT utc_offset_min FROM buckets WHERE utc_offset_min IS NOT NULL
        ORDER BY begun_at DESC, id DESC LIMIT 1"""
    row = book.conn.execute(query).fetchone()
    return int(row[0]) if row else 0


def known_ids(book: Book, ids: Iterable[str]) -> set[str]:
    """Those of these ids that name a fact of the book."""
    find = "SELECT 1 FROM facts WHERE id = ?"
    return {one for one in ids if book.conn.execute(find, (key_of(one),)).fetchone()}


def count_of_balls(book: Book) -> int:
    """How many balls are in the book, counted or not."""
    return int(book.conn.execute("SELECT COUNT(*) FROM shots").fetchone()[0])


@read_once
def notes(book: Book, about: str) -> list[dict[str, Any]]:
    """What was noted about one thing, newest first."""
    rows = book.conn.execute("SELECT * FROM notes WHERE about = ? ORDER BY made_at DESC, id DESC", (about,))
    return [{**dict(row), "id": _text(row["id"])} for row in rows]


def marks(book: Book) -> list[dict[str, Any]]:
    """Dated marks such as a lesson, newest first."""
    rows = book.conn.execute('SELECT * FROM marks ORDER BY "on" DESC, made_at DESC, id DESC')
    named = ("id", "bucket_id", "shot_id")
    return [{**dict(row), **{name: _text(row[name]) for name in named}} for row in rows]


@read_once
def eye_checks(book: Book) -> list[dict[str, Any]]:
    """Distances said by eye and then measured [m], newest first."""
    rows = book.conn.execute("SELECT * FROM eye_checks ORDER BY made_at DESC, id DESC")
    return [{**dict(row), "id": _text(row["id"])} for row in rows]


def shot_ids(book: Book) -> list[str]:
    """The id of every ball, whatever became of it."""
    return [_text(row["id"]) for row in book.conn.execute("SELECT id FROM shots")]


def _usual_ball(book: Book) -> str:
    """The kind of ball that most of the latest counted balls were; "" before the first."""
    query = """SELECT ball FROM (SELECT ball FROM shots WHERE counted = 1 ORDER BY struck_at DESC, id DESC LIMIT ?)
        GROUP BY ball ORDER BY COUNT(*) DESC, ball DESC LIMIT 1"""
    row = book.conn.execute(query, (MOST_BALLS_A_CELL,)).fetchone()
    return str(row[0]) if row else ""


def dicts(rows: sqlite3.Cursor) -> Iterator[dict[str, Any]]:
    """The rows by the names of their columns, of which SQLite's own row looks up each one anew."""
    names = [column[0] for column in rows.description]
    return (dict(zip(names, row, strict=True)) for row in rows)


def _shot(shot: dict[str, Any]) -> dict[str, Any]:
    for name in ("id", "bucket_id", "club_id", "visit_id"):
        shot[name] = _text(shot[name])
    shot["local_at"] = local(shot["struck_at"], shot["utc_offset_min"])
    for name in ("aside", "coarse", "course", "counted"):
        shot[name] = bool(shot[name])
    bucket_wind = {"wind": shot.pop("bucket_wind"), "wind_force": shot.pop("bucket_wind_force")}
    shot["strong_wind"] = in_strong_wind(shot, bucket_wind)
    shot["raw_carry_m"], shot["carry_m"] = shot["carry_m"], from_the_bay(shot["carry_m"], shot["bay_offset_m"])
    shot["delivery"] = json.loads(shot["delivery"]) if shot["delivery"] != "{}" else {}
    return shot


def from_the_bay(carry_m: float | None, offset_m: float | None) -> float | None:
    return max(0.0, carry_m + offset_m) if carry_m is not None and offset_m else carry_m


def _bucket(row: sqlite3.Row) -> dict[str, Any]:
    bucket = dict(row)
    for name in ("id", "visit_id", "table_id"):
        bucket[name] = _text(bucket[name])
    for name in ("aside", "indoor_counts"):
        bucket[name] = bool(bucket[name])
    bucket["local_at"] = local(bucket["begun_at"], bucket["utc_offset_min"])
    bucket["plan"] = json.loads(bucket["plan"])
    return bucket


def _text(key: bytes | None) -> str:
    """A key as UUID text; nothing for a key that is not there."""
    return text_of(key) if key else ""
