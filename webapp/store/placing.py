"""Whether a sound fact fits into its book: its id is not another's, and what it names is there.

Looks once for all that a batch names; knows nothing of what a fact's other fields mean.
"""

import json
import sqlite3
from collections.abc import Collection
from typing import Any

from ..facts import Problem, canonical
from .connect import chunks
from .identities import key_of

# What a fact must find in its book: the field that names another root, and that root's kind.
_NAMED = {"bucket_id": "bucket", "club_id": "club", "shot_id": "shot"}
# How many of a kind a book holds, in which table: the card's time grows with the cube of wedges times swings.
MOST = {"club": 60, "swing": 10}
_TABLES = {"club": ("clubs", "wedges"), "swing": ("swings", "lengths of swing")}


class Known:
    """What a book holds of the ids that a batch names, kept up while the batch is taken."""

    def __init__(self, conn: sqlite3.Connection, raw_facts: Collection[dict[str, Any]]) -> None:
        ids = {key_of(raw["id"]) for raw in raw_facts}
        roots = {key_of(raw["root"]) for raw in raw_facts}
        for name in _NAMED:
            roots |= {key_of(raw["body"][name]) for raw in raw_facts if raw["body"] and raw["body"].get(name)}
        self._facts: dict[bytes, tuple[Any, ...]] = {}
        self._kinds: dict[bytes, str] = {}
        for marks, some in chunks(ids):
            found = conn.execute(f"SELECT id, root, kind, made_at, body FROM facts WHERE id IN ({marks})", some)
            self._facts |= {key: tuple(content) for key, *content in found}
        for marks, some in chunks(roots):
            self._kinds |= dict(conn.execute(f"SELECT DISTINCT root, kind FROM facts WHERE root IN ({marks})", some))
        self.roots = set(self._kinds)
        self._conn = conn
        self._held: dict[str, int] = {}

    def problem(self, raw: dict[str, Any]) -> Problem | None:
        """What is wrong with a sound fact in this very book, or None."""
        held = self._facts.get(key_of(raw["id"]))
        if held:
            return None if _is_same(held, raw) else _problem("id", "id_reused", "its id belongs to another entry")
        if raw["root"] != raw["id"] and self._kinds.get(key_of(raw["root"])) not in (None, raw["kind"]):
            return _problem("root", "wrong_root", "it corrects an entry of another kind")
        if self._is_one_too_many(raw):
            words = f"a book holds at most {MOST[raw['kind']]} {_TABLES[raw['kind']][1]}"
            return _problem("", "too_many", words)
        for name, kind in _NAMED.items():
            named = raw["body"] and raw["body"].get(name)
            if named and self._kinds.get(key_of(named)) != kind:
                return _problem(name, f"unknown_{kind}", f"its {kind} is not in this book")
        return None

    def holds(self, raw: dict[str, Any]) -> bool:
        """Whether the book holds this very fact already."""
        return key_of(raw["id"]) in self._facts

    def take(self, raw: dict[str, Any]) -> tuple[Any, ...] | None:
        """The row of a fact that fits, None when the book already has it; later facts of the batch see it."""
        key, content = key_of(raw["id"]), _content(raw)
        if key in self._facts:
            return None
        self._facts[key] = content
        if content[0] not in self._kinds:
            self._kinds[content[0]] = content[1]
            if content[1] in MOST:
                self._held[content[1]] = self._count(content[1]) + 1
        return key, *content

    def _is_one_too_many(self, raw: dict[str, Any]) -> bool:
        is_new = raw["kind"] in MOST and raw["body"] and key_of(raw["root"]) not in self._kinds
        return bool(is_new and self._count(raw["kind"]) >= MOST[raw["kind"]])

    def _count(self, kind: str) -> int:
        """How many things of a kind the book shows, with those that came in this batch."""
        if kind not in self._held:
            self._held[kind] = self._conn.execute(f"SELECT COUNT(*) FROM {_TABLES[kind][0]}").fetchone()[0]
        return self._held[kind]


def _is_same(held: tuple[Any, ...], raw: dict[str, Any]) -> bool:
    """Whether a held fact says what this one says; a phone, which reads 56.0, writes 56."""
    return held[:-1] == _content(raw)[:-1] and bool(json.loads(held[-1]) == raw["body"])


def _content(raw: dict[str, Any]) -> tuple[Any, ...]:
    return key_of(raw["root"]), raw["kind"], raw["made_at"], canonical(raw["body"])


def _problem(name: str, code: str, why: str) -> Problem:
    return Problem(name, code, f"This entry was not taken: {why}. It stays on the phone until it is mended.")
