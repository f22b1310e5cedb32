"""The present, as facts write it: the only place where a request reads the clock.

Knows no page; a test or a bench gives the app another clock by its setting NOW.
"""

from datetime import UTC, datetime

from flask import current_app

from .moments import text_of


def now() -> str:
    """The present as facts write it."""
    told = current_app.config.get("NOW")
    return text_of(told() if told else datetime.now(UTC))
