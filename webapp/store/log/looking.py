"""Looks at a log without changing anything: how its server is set up, how many books it holds, how its clock goes.

Knows PostgreSQL's settings and the directory's tables; what is well is the doctor's to say.
"""

from dataclasses import dataclass
from datetime import datetime

from .. import backups
from ..looking_over import Numbers
from .asking import Asking
from .line import line_to
from .postgres_tables import version_of

_SETTINGS = "SELECT name, setting FROM pg_settings WHERE name = ANY(%s)"
_NAMES = ["server_version", "synchronous_commit", "synchronous_standby_names", "fsync"]


@dataclass(frozen=True)
class LogLook:
    """A log: its server's version and size, books (None without tables), settings, and its clock less this host's [s].

    `waits` is PostgreSQL's synchronous_commit, `standbys` whom a commit waits for ("" for nobody), `syncs` whether its
    server waits for its own disk.
    """

    server: str
    size_bytes: int
    books: int | None
    waits: str
    standbys: str
    syncs: bool
    clock_off_s: float


def look_at(url: str, now: datetime) -> LogLook:
    """Look at a log; LogAway, NewerLog, DamagedDirectory when it cannot be used."""
    line = line_to(url)
    line.reach()
    told = {str(name): str(value) for name, value in line.run(_SETTINGS, (_NAMES,))}
    facts = line.run("SELECT pg_database_size(current_database()), extract(epoch FROM clock_timestamp())").fetchone()
    size, clock = facts or (0, now.timestamp())
    books = numbers_of(url).books if version_of(line) else None
    return LogLook(
        told["server_version"],
        int(size),
        books,
        told["synchronous_commit"],
        told["synchronous_standby_names"],
        told["fsync"] == "on",
        float(clock) - now.timestamp(),
    )


def numbers_of(url: str) -> Numbers:
    """How many books a log holds and how its last backup as a folder went."""
    conn = Asking(line_to(url))
    rows = conn.execute("SELECT COUNT(*) FROM books WHERE deleted_at IS NULL").fetchall()
    return Numbers(int(rows[0][0]), backups.last(conn))
