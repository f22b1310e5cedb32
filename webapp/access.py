"""Which book a request may open: the one that its device's cookie names, and no other.

Knows cookies and the directory; decides nothing about what a page shows.
"""

import json
from contextlib import suppress
from datetime import UTC, datetime
from typing import Any
from urllib.parse import quote, unquote

from flask import Response, current_app, g, request

from . import clock
from .books import putting_in
from .config import cookie_name
from .moments import days_between, text_of
from .opening import open_directory
from .store import reading
from .store.book import Book, NotWhole
from .store.directory import Device, Directory
from .store.faults import StoreFault
from .units import ALTITUDE_NAMES, TEMPERATURE_NAMES

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
    opened: Directory | None = g.get("directory")
    if opened is None:
        opened = g.directory = open_directory(now())
    return opened


def device() -> Device:
    """The phone this request comes from; Refused when it is unknown, cut off, or its book was deleted."""
    known: Device | None = g.get("device")
    if known is None:
        known = g.device = _known_device()
    return known


def is_known() -> bool:
    """Whether this request comes from a phone that may open its book."""
    try:
        device()
    except Refused:
        return False
    return True


def book() -> Book:
    """The book of this request's phone, opened once a request."""
    opened: Book | None = g.get("book")
    if opened is None:
        opened = g.book = directory().open_book(device().book_id)
    return opened


def note(*facts: dict[str, Any]) -> list[dict[str, str]]:
    """Put facts made on the server into the book; gives the refusals."""
    return book().add(facts, device().id, now()).refused


def keep(*facts: dict[str, Any]) -> None:
    """Put facts of a checked form into the book, all or none; Refused when the book takes one of them not."""
    try:
        book().add(facts, device().id, now(), whole=True)
    except NotWhole as error:
        message = f"Nothing of this was kept. {putting_in.plain(error.refused[0]['message'])}."
        raise Refused(400, "not_taken", message) from error


def preferences() -> dict[str, Any]:
    """What this phone alone prefers (units, thumb side, mirroring, card only); {} when the cookie cannot be read."""
    try:
        told = json.loads(unquote(request.cookies.get(PHONE_COOKIE, "{}")))
    except (ValueError, RecursionError):
        return {}
    return told if isinstance(told, dict) else {}


def view() -> dict[str, Any]:
    """How this request reads a card: the book's settings where the phone has no preference of its own."""
    seen: dict[str, Any] | None = g.get("view")
    if seen is None:
        told, phone = reading.settings(book()), preferences()
        mirrored = phone.get("mirrored")
        if not isinstance(mirrored, bool):
            mirrored = clock.mirrors(told["hand"], told["seen_from"])
        thumb = phone.get("thumb") if phone.get("thumb") in ("left", "right") else told["thumb"]
        seen = g.view = {
            **told,
            "unit": phone["unit"] if phone.get("unit") in ("yd", "m") else told["unit"],
            "temperature_unit": _one_of(TEMPERATURE_NAMES, phone.get("temperature_unit")),
            "altitude_unit": _one_of(ALTITUDE_NAMES, phone.get("altitude_unit")),
            "mirrored": mirrored,
            "thumb": thumb or told["hand"],  # the glove is on the lead hand, so the trail thumb is bare
            "card_only": phone.get("card_only") is True,
            "sun": phone.get("sun") is True,
        }
    return seen


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


def forget_device(response: Response) -> None:
    """Take from a phone the cookies that opened its book and said how it was read."""
    secure = current_app.config["HTTPS"]  # a browser ignores whatever lacks it for a name that begins with __Host-
    for name in (device_cookie(), PHONE_COOKIE):
        response.delete_cookie(name, path="/", secure=secure, samesite="Lax")
    g.pop("device", None)


def prefer(response: Response, **changed: Any) -> None:
    """Change some of what this phone prefers; the rest stays, above all its card-only lock."""
    response.set_cookie(
        PHONE_COOKIE,
        quote(json.dumps({**preferences(), **changed}, separators=(",", ":")), safe=""),
        max_age=current_app.config["DEVICE_DAYS"] * _DAY_S,
        secure=current_app.config["HTTPS"],
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
        with suppress(StoreFault):  # a full disk must keep nobody from reading
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


def _one_of(names: dict[str, str], told: Any) -> str:
    """What the phone told where it is one of these names, else the first of them."""
    return told if isinstance(told, str) and told in names else next(iter(names))
