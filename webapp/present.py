"""The present, as facts write it: the only place where a request reads the clock.

Knows no page; a test or a bench gives the app another clock by its setting NOW.
"""

from datetime import UTC, datetime

from flask import current_app, g

from .moments import text_of


def now() -> str:
    """The present as facts write it, read once a request: whatever midnight it falls on, its answer is of one day."""
    told: str | None = g.get("now")
    if told is None:
        clock = current_app.config.get("NOW")
        told = g.now = text_of(clock() if clock else datetime.now(UTC))
    return told
