"""How often one address may try what could be guessed or abused: starting books, codes, links, imports.

Knows no page; a page names the limit it stands under.
"""

from flask import current_app
from flask_limiter import Limiter
from flask_limiter.util import get_remote_address

DEMOS = "60 per hour"
CODES = "10 per minute; 60 per hour"  # 130 bits cannot be guessed anyway; this spares the server
LINKS = "120 per minute"
IMPORTS = "30 per hour"
EXPORTS = "30 per hour"  # of large books only


def starts() -> str:
    """How many books one address may start: the owner's setting."""
    return f"{current_app.config['STARTS_AN_HOUR']} per hour"


limiter = Limiter(get_remote_address, headers_enabled=False)
