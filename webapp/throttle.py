"""How often one address may try what could be guessed or abused: starting books, codes, links, imports.

Knows no page; a page names the limit it stands under.
"""

import sys
from types import ModuleType

# What counts the tries imports its asynchronous half too, which nothing here runs:
# an empty module in its place during this one import spares the start a good part of its time.
_ASYNCHRONOUS = "limits.aio"
sys.modules[_ASYNCHRONOUS] = ModuleType(_ASYNCHRONOUS)
from flask_limiter import Limiter  # noqa: E402
from flask_limiter.util import get_remote_address  # noqa: E402

del sys.modules[_ASYNCHRONOUS]
from flask import current_app  # noqa: E402

DEMOS = "60 per hour"
CODES = "10 per minute; 60 per hour"  # 130 bits cannot be guessed anyway; this spares the server
LINKS = "120 per minute"
IMPORTS = "30 per hour"


def starts() -> str:
    """How many books one address may start: the owner's setting."""
    return f"{current_app.config['STARTS_AN_HOUR']} per hour"


limiter = Limiter(get_remote_address, headers_enabled=False)
