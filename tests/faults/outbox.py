"""The outbox's rules in a few lines of Python: the same as static/outbox.js, to be tried in thousands of orders.

Knows no browser and no line; a phone hands over what `due` gives and is told what came of it by `settle`.
"""

from dataclasses import dataclass, field
from typing import Any
from uuid import uuid4

from webapp.facts import Fact, fold
from webapp.moments import moved

Raw = dict[str, Any]


@dataclass
class Row:
    """A fact on a phone and how far it has got: fresh, waiting, taken or refused."""

    fact: Raw
    state: str
    code: str = ""


@dataclass
class Outbox:
    """What one phone holds."""

    rows: dict[str, Row] = field(default_factory=dict)
    last_made_at: str = ""
    fetched: int = 0

    def add(self, kind: str, body: Raw | None, now: str, root: str = "", fresh: bool = False, after: str = "") -> Raw:
        """Save a new fact; made after what it corrects, which never sets this phone's own time."""
        own = max(now, moved(self.last_made_at, milliseconds=1)) if self.last_made_at else now
        self.last_made_at = own
        made_at = own if own > after else moved(after, milliseconds=1)
        id = str(uuid4())
        fact = {"id": id, "root": root or id, "kind": kind, "made_at": made_at, "body": body}
        self.rows[id] = Row(fact, "fresh" if fresh else "waiting")
        return fact

    def revise(self, shown: Raw, changes: Raw, now: str) -> Raw:
        """Rewrite a row that no server has seen, else correct it."""
        row, body = self.rows[shown["id"]], {**shown["body"], **changes}
        if row.state in ("fresh", "refused"):
            self.rows[shown["id"]] = Row({**shown, "body": body}, "waiting")
            return self.rows[shown["id"]].fact
        return self.add(shown["kind"], body, now, shown["root"], after=shown["made_at"])

    def shown(self, kind: str) -> list[Raw]:
        """What this phone shows of a kind, in a steady order."""
        facts = fold(Fact(**row.fact) for row in self.rows.values())
        return [
            self.rows[fact.id].fact for fact in sorted(facts.values(), key=lambda one: one.root) if fact.kind == kind
        ]

    def end_of_fresh(self) -> None:
        """Four seconds have passed."""
        for row in self.rows.values():
            row.state = "waiting" if row.state == "fresh" else row.state

    def due(self) -> list[Raw]:
        """What waits, oldest first."""
        waiting = [row.fact for row in self.rows.values() if row.state == "waiting"]
        return sorted(waiting, key=lambda fact: fact["made_at"])

    def settle(self, taken: list[str], refused: list[Raw]) -> None:
        """What an answer said."""
        for id in taken:
            if id in self.rows:
                self.rows[id].state = "taken"
                self._offer_balls_of(self.rows[id].fact)
        for refusal in refused:
            row = self.rows.get(refusal["id"])
            if row and refusal["code"] == "id_reused":
                del self.rows[row.fact["id"]]
                fact = {**row.fact, "id": str(uuid4()), "made_at": moved(row.fact["made_at"], milliseconds=1)}
                self.rows[fact["id"]] = Row(fact, "waiting")
            elif row:
                row.state, row.code = "refused", refusal["code"]

    def bring(self, facts: list[Raw]) -> None:
        """What the server holds and this phone lacks."""
        for fact in facts:
            self.rows.setdefault(fact["id"], Row({name: fact[name] for name in fact if name != "seq"}, "taken"))

    def _offer_balls_of(self, bucket: Raw) -> None:
        for row in self.rows.values():
            barred = row.state == "refused" and row.code == "unknown_bucket"
            if bucket["kind"] == "bucket" and barred and row.fact["body"]["bucket_id"] == bucket["root"]:
                row.state = "waiting"
