"""Whether a phone holds a page as it still is, told before any of it is made.

Knows the request and not what a page shows: the page says what its HTML hangs on.
"""

import hashlib
import secrets
from collections.abc import Callable

from flask import Response, make_response, request, session

from . import reader

# Another process may be another program or have other settings: what it answered is asked for anew.
_PROCESS = secrets.token_hex(8)


def or_else(hangs_on: object, make: Callable[[], str]) -> Response:
    """An empty 304 where the phone named (If-None-Match) the very page that `make` would give, else that page.

    `hangs_on` is what the page hangs on beside its address and this phone's own preferences. Only a page that is kept
    bears a tag: any other holds a form token, and one that says a notice says it once.
    """
    if "X-Kept-Page" not in request.headers or "_flashes" in session:
        return make_response(make())
    told = _PROCESS, request.full_path, sorted(reader.preferences().items(), key=str), hangs_on
    tag = hashlib.sha256(repr(told).encode()).hexdigest()[:32]
    unchanged = request.if_none_match.contains_weak(tag)
    response = Response(status=304) if unchanged else make_response(make())
    response.set_etag(tag, weak=True)  # weak: it is the same page however it was compressed
    return response
