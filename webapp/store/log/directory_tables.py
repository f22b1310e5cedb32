"""The columns of the directory's tables that a folder and a log have alike, and how they go from one to the other.

Knows no meaning of a column. Secrets and versions stay where they are.
"""

import sqlite3

from psycopg import Cursor

from ..speaking import Speaks

COLUMNS = {
    "books": ("id", "created_at", "alias", "deleted_at"),
    "devices": ("token_hash", "id", "book_id", "name", "created_at", "last_seen_at", "cut_off_at"),
    "links": (
        "token_hash", "id", "book_id", "label", "created_at", "ends_at", "ended_at", "profile", "opened_days",
        "opened_on",
    ),
    "codes": ("code_hash", "book_id", "kind", "created_at", "ends_at"),
    "copies": ("book_id", "seq", "fact_id", "copied_at"),
    "backups": ("number", "tried_at", "problem", "folder"),
    "revocations": ("number", "at", "what", "book_id", "key"),
    "clinics": ("number", "code_hash", "label", "made_at", "ends_at", "starts", "used"),
    "guardians": ("book_id", "salt", "pin_hash", "set_at", "tries", "barred_until"),
}  # fmt: skip
_NUMBERED = ("backups", "revocations", "clinics")
_TOLD = ("journal", "latest_moment")


def into_file(log: Speaks, file: sqlite3.Connection) -> None:
    """Fill the tables of a new directory's file, inside the caller's transaction."""
    for table, columns in COLUMNS.items():
        rows = log.execute(f"SELECT {', '.join(columns)} FROM {table}").fetchall()
        places = ", ".join("?" * len(columns))
        file.executemany(f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({places})", map(tuple, rows))
    for name in _TOLD:
        row = log.execute("SELECT value FROM told WHERE name = ?", (name,)).fetchone()
        file.execute("UPDATE told SET value = ? WHERE name = ?", (row["value"], name))


def into_log(file: Speaks, log: Cursor[tuple[object, ...]], heads: dict[str, tuple[int, bytes]]) -> None:
    """Fill the empty tables of a log, inside the caller's transaction; `heads` are those of the books with facts."""
    for table, columns in COLUMNS.items():
        rows: list[tuple[object, ...]] = [
            tuple(row) for row in file.execute(f"SELECT {', '.join(columns)} FROM {table}")
        ]
        if table == "books":
            columns = (*columns, "cursor", "chain")
            rows = [(*row, *heads.get(str(row[0]), (0, b""))) for row in rows]
        with log.copy(f"COPY {table} ({', '.join(columns)}) FROM STDIN") as copy:
            for row in rows:
                copy.write_row(row)
        if table in _NUMBERED:
            log.execute(
                f"""SELECT setval(pg_get_serial_sequence('{table}', 'number'),
                (SELECT COALESCE(MAX(number), 0) + 1 FROM {table}), false)"""
            )
    for name in _TOLD:
        row = file.execute("SELECT value FROM told WHERE name = ?", (name,)).fetchone()
        log.execute("UPDATE told SET value = %s WHERE name = %s", (row["value"], name))
