"""How often one address may try what could be guessed or abused: starting books, codes, links, imports.

Knows no page; a page names the limit it stands under.
"""

import ipaddress
from collections.abc import Callable
from functools import wraps

from flask import current_app
from flask_limiter import Limiter
from flask_limiter.util import get_remote_address

DEMOS = "60 per hour"
CODES = "10 per minute; 60 per hour"  # 130 bits cannot be guessed anyway; this spares the server
CLINICS = "10 per minute; 60 per hour"  # of wrong codes
LINKS = "120 per minute"
IMPORTS = "30 per hour"
EXPORTS = "30 per hour"  # of large books only


def starts() -> str:
    """How many books one address may start: the owner's setting."""
    return f"{current_app.config['STARTS_AN_HOUR']} per hour"


def spared(asks: Callable[[], bool]) -> Callable[[], bool]:
    """A limit's `exempt_when`: what `asks` says, and true where it cannot say, because the page then refuses as well.

    The limiter takes whatever is raised while it counts for counts that are out of reach, and would begin anew.
    """

    @wraps(asks)
    def told() -> bool:
        try:
            return asks()
        except Exception:
            return True

    return told


def who_asks() -> str:
    """What the limits count by: the address, of IPv6 the network of 64 bits, since one household is given all of it."""
    try:
        address = ipaddress.ip_address(get_remote_address())
    except ValueError:  # a socket of this machine has no address
        return get_remote_address()
    if isinstance(address, ipaddress.IPv4Address):
        return str(address)
    return str(address.ipv4_mapped or ipaddress.ip_network((address, 64), strict=False))


# Where the counts are kept may be away; then each process counts for itself rather than turn everybody away.
limiter = Limiter(who_asks, headers_enabled=False, in_memory_fallback_enabled=True)
