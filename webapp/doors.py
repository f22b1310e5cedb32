"""Which book a request may open: the one that its device's cookie names, and no other.

Knows cookies and the directory, and nothing of what a page shows or of how its reader likes to read (reader.py).
"""

from collections.abc import Callable
from contextlib import suppress
from datetime import timedelta
from functools import wraps
from typing import ParamSpec, TypeVar

from flask import current_app, g, request
from werkzeug.wrappers import Response

from . import present
from .config import cookie_name
from .moments import days_between
from .opening import open_directory
from .store.book import Book
from .store.directory import Device, Directory
from .store.faults import StoreFault
from .store.jobs import Jobs

DEVICE_COOKIE = "book"
Asked = ParamSpec("Asked")
Page = TypeVar("Page")


class Refused(Exception):
    """A request that may not open what it asks for: status, stable code and a plain sentence."""

    def __init__(self, status: int, code: str, message: str) -> None:
        super().__init__(message)
        self.status, self.code, self.message = status, code, message


def directory() -> Directory:
    """The server's directory, opened once a request."""
    opened: Directory | None = g.get("directory")
    if opened is None:
        opened = g.directory = open_directory(present.now())
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
        if request.method == "POST" and Jobs(current_app.config["DATA"]).is_taking(device().book_id):
            message = "The book is taking in a file just now, so nothing else was changed. The phone keeps all it has."
            raise Refused(503, "busy", message)
        opened = g.book = directory().open_book(device().book_id)
        g.cursor = opened.cursor  # before anything else is read: whatever the answer shows is at least as new
    return opened


def is_of_another_book(named: str) -> bool:
    """Whether a page that names this book was shown before this phone opened another; one that names none was not."""
    return bool(named) and is_known() and device().book_id != named


def refuse_another_books_form() -> None:
    """Refuse what a form of another book's page sends: it would change the book that was opened since."""
    if request.method == "POST" and request.endpoint and is_of_another_book(request.form.get("book", "")):
        message = (
            "Nothing was changed: the page this came from belongs to another book than the one open on this phone now. "
            "Open its own book again and send it from there, or go back to write into the open one; some of what you "
            "typed may have to be typed again."
        )
        raise Refused(409, "other_book", message)


def as_of_one_moment(page: Callable[Asked, Page]) -> Callable[Asked, Page]:
    """Make a page that writes nothing of what the book held at one moment, whatever comes in meanwhile."""

    @wraps(page)
    def made(*asked: Asked.args, **named: Asked.kwargs) -> Page:
        with book().as_of_one_moment():
            return page(*asked, **named)

    return made


def remember_device(response: Response, token: str) -> None:
    """Give a phone the cookie that opens its book."""
    config = current_app.config
    response.set_cookie(
        device_cookie(),
        token,
        max_age=timedelta(days=config["DEVICE_DAYS"]),
        secure=config["HTTPS"],
        httponly=True,
        samesite="Lax",
        path="/",
    )


def forget_device(response: Response) -> None:
    """Take from a phone the cookie that opened its book."""
    secure = current_app.config["HTTPS"]  # a browser ignores whatever lacks it for a name that begins with __Host-
    response.delete_cookie(device_cookie(), path="/", secure=secure, samesite="Lax")
    g.pop("device", None)


def opens(book_id: str) -> bool:
    """Whether this request comes from a phone of this book; unlike `device` it refuses nobody and opens nothing."""
    known = _device_of_cookie()
    return known is not None and known.book_id == book_id


def device_cookie() -> str:
    """The name of the cookie that opens a phone's book."""
    return cookie_name(DEVICE_COOKIE, current_app.config["HTTPS"])


def renew(response: Response) -> Response:
    """Once a day note that a phone was seen and lengthen its cookie."""
    seen: Device | None = g.get("device")
    if seen and days_between(seen.last_seen_at, present.now()) >= 1:
        with suppress(StoreFault):  # a full disk must keep nobody from reading
            directory().saw_device(seen.id, present.now())
        remember_device(response, request.cookies[device_cookie()])
    return response


def close(_: BaseException | None = None) -> None:
    """Let the files of a request go."""
    for name in ("book", "directory"):
        opened = g.pop(name, None)
        if opened is not None:
            opened.close()


def begin_again() -> bool:
    """Forget what this request opened, so that it can be answered anew; False when that was done before."""
    if g.get("begun_again"):
        return False
    close()
    for name in ("device", "view", "coach_book"):
        g.pop(name, None)
    g.begun_again = True
    return True


def device_name() -> str:
    """A plain name for a phone in the list of phones, from what its browser says of itself."""
    agent = request.headers.get("User-Agent", "")
    return "Phone" if "Mobi" in agent else "Computer"


def _device_of_cookie() -> Device | None:
    token = request.cookies.get(device_cookie(), "")
    return directory().device(token) if token else None


def _known_device() -> Device:
    found = _device_of_cookie()
    if found is None:
        what = "This phone has no book open. What it noted stays on it: open your book again, unless it was deleted."
        raise Refused(401, "no_book", what)
    if directory().is_deleted(found.book_id):
        raise Refused(410, "book_deleted", "This book was deleted. What this phone still holds was not sent.")
    if found.cut_off_at:
        raise Refused(403, "cut_off", "This phone was cut off from its book. What it still holds stays on it.")
    return found
