"""The secret that all hosts of a log share, kept in it and made by the first of them.

Knows the one row that holds it.
"""

import secrets

from .line import line_to
from .postgres_tables import make_current, version_of


def kept_secret(url: str, n_bytes: int, make: bool = True) -> str:
    """The secret of a log; "" where it has none and none is to be made. LogAway, NewerLog."""
    line = line_to(url)
    if make:
        make_current(line)
        put = "INSERT INTO told VALUES ('secret', %s) ON CONFLICT (name) DO NOTHING"
        line.run(put, (secrets.token_hex(n_bytes),), writes=True)
    else:
        line.reach()
        if not version_of(line):
            return ""
    row = line.run("SELECT value FROM told WHERE name = 'secret'").fetchone()
    return str(row[0]) if row else ""
