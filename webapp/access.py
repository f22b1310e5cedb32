"""Which book a request may open: the one that its device's cookie names, and no other.

Knows cookies and the directory; decides nothing about what a page shows.
"""

import json
from datetime import UTC, datetime
from typing import Any
from urllib.parse import unquote

from flask import Response, current_app, g, request

from . import clock
from .config import cookie_name
from .moments import days_between, text_of
from .store import reading
from .store.book import Book
from .store.directory import Device, Directory

DEVICE_COOKIE = "book"
PHONE_COOKIE = "phone"
_DAY_S = 86_400


class Refused(Exception):
    """A request that may not open what it asks for: status, stable code and a plain sentence."""

    def __init__(self, status: int, code: str, message: str) -> None:
        super().__init__(message)
        self.status, self.code, self.message = status, code, message


def now() -> str:
    """The present as facts write it."""
    told = current_app.config.get("NOW")
    return text_of(told() if told else datetime.now(UTC))


def directory() -> Directory:
    """The server's directory, opened once a request."""
    if "directory" not in g:
        g.directory = Directory(current_app.config["DATA"])
    return g.directory


def device() -> Device:
    """The phone this request comes from; Refused when it is unknown, cut off, or its book was deleted."""
    if "device" not in g:
        g.device = _known_device()
    return g.device


def is_known() -> bool:
    """Whether this request comes from a phone that may open its book."""
    try:
        device()
    except Refused:
        return False
    return True


def book() -> Book:
    """The book of this request's phone, opened once a request."""
    if "book" not in g:
        g.book = directory().open_book(device().book_id)
    return g.book


def note(*facts: dict[str, Any]) -> list[dict[str, str]]:
    """Put facts made on the server into the book; gives the refusals."""
    return book().add(facts, device().id, now()).refused


def preferences() -> dict[str, Any]:
    """What this phone alone prefers (unit, thumb side, mirroring, card only); {} when the cookie cannot be read."""
    try:
        told = json.loads(unquote(request.cookies.get(PHONE_COOKIE, "{}")))
    except ValueError:
        return {}
    return told if isinstance(told, dict) else {}


def view() -> dict[str, Any]:
    """How this request reads a card: the book's settings where the phone has no preference of its own."""
    if "view" not in g:
        told, phone = reading.settings(book()), preferences()
        mirrored = phone.get("mirrored")
        if not isinstance(mirrored, bool):
            mirrored = clock.mirrors(told["hand"], told["seen_from"])
        thumb = phone.get("thumb") if phone.get("thumb") in ("left", "right") else told["thumb"]
        g.view = {
            **told,
            "unit": phone["unit"] if phone.get("unit") in ("yd", "m") else told["unit"],
            "mirrored": mirrored,
            "thumb": thumb or told["hand"],  # the glove is on the lead hand, so the trail thumb is bare
            "card_only": phone.get("card_only") is True,
        }
    return g.view


def remember_device(response: Response, token: str) -> None:
    """Give a phone the cookie that opens its book."""
    config = current_app.config
    response.set_cookie(
        device_cookie(),
        token,
        max_age=config["DEVICE_DAYS"] * _DAY_S,
        secure=config["HTTPS"],
        httponly=True,
        samesite="Lax",
        path="/",
    )


def device_cookie() -> str:
    """The name of the cookie that opens a phone's book."""
    return cookie_name(DEVICE_COOKIE, current_app.config["HTTPS"])


def renew(response: Response) -> Response:
    """Once a day note that a phone was seen and lengthen its cookie."""
    seen: Device | None = g.get("device")
    if seen and days_between(seen.last_seen_at, now()) >= 1:
        directory().saw_device(seen.id, now())
        remember_device(response, request.cookies[device_cookie()])
    return response


def close(_: BaseException | None = None) -> None:
    """Let the files of a request go."""
    for name in ("book", "directory"):
        opened = g.pop(name, None)
        if opened is not None:
            opened.close()


def device_name() -> str:
    """A plain name for a phone in the list of phones, from what its browser says of itself."""
    agent = request.headers.get("User-Agent", "")
    return "Phone" if "Mobi" in agent else "Computer"


def _known_device() -> Device:
    token = request.cookies.get(device_cookie(), "")
    found = directory().device(token) if token else None
    if found is None:
        raise Refused(401, "no_book", "This phone has no book open. What it noted stays on it: open your book again.")
    if directory().is_deleted(found.book_id):
        raise Refused(410, "book_deleted", "This book was deleted. What this phone still holds was not sent.")
    if found.cut_off_at:
        raise Refused(403, "cut_off", "This phone was cut off from its book. What it still holds stays on it.")
    return found
