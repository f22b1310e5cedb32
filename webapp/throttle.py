"""How often one address may try what could be guessed or abused: starting books, codes, links, imports.

Knows no page; a page names the limit it stands under.
"""

from flask_limiter import Limiter
from flask_limiter.util import get_remote_address

STARTS = "20 per hour"
DEMOS = "60 per hour"
CODES = "10 per minute; 60 per hour"  # 130 bits cannot be guessed anyway; this spares the server
LINKS = "120 per minute"
IMPORTS = "30 per hour"

limiter = Limiter(get_remote_address, headers_enabled=False)
