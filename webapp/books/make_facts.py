"""Makes the facts that the server notes: for plain forms, the demo book and imports.

Knows how a fact gets its id and time; the phone has its own in static/rules/shot.js.
"""

import secrets
from collections.abc import Sequence
from typing import Any
from uuid import UUID

from ..moments import just_after, moment_of
from ..store import reading
from ..store.book import Book


def fact(
    kind: str, body: dict[str, Any] | None, made_at: str, root: str | None = None, id: str | None = None
) -> dict[str, Any]:
    """A new fact as it goes over the wire; with `root` a correction, and with no body a void."""
    own = id or id_of_moment(made_at)
    return {"id": own, "root": root or own, "kind": kind, "made_at": made_at, "body": body}


def correction(book: Book, kind: str, root: str, body: dict[str, Any], now: str) -> dict[str, Any]:
    """A correction by a whole body."""
    return _later(kind, root, body, book.history(root), now)


def changed(book: Book, kind: str, root: str, now: str, **fields: Any) -> dict[str, Any]:
    """A correction that says what was said last, but for these fields; one that is None is said no more.

    Rows of tables would not do in place of what was said: they lack what a later version says.
    """
    said = book.history(root)
    last = [one["body"] for one in said if one["body"] is not None][-1]
    body = {name: value for name, value in {**last, **fields}.items() if value is not None or name not in fields}
    return _later(kind, root, body, said, now)


def withdrawn(book: Book, kind: str, root: str, now: str) -> dict[str, Any]:
    """The void that hides a thing for good."""
    return _later(kind, root, None, book.history(root), now)


def setting(book: Book, name: str, value: Any, now: str) -> dict[str, Any]:
    """A setting said, or said anew."""
    root, body = reading.setting_roots(book).get(name), {"name": name, "value": value}
    return correction(book, "setting", root, body, now) if root else fact("setting", body, now)


def without_phone(message: str) -> str:
    """A book's refusal without what it says of a phone, where there is none: of a form, a file, a command."""
    return message.removesuffix(" It stays on the phone until it is mended.").removesuffix(".")


def _later(
    kind: str, root: str, body: dict[str, Any] | None, said: Sequence[dict[str, Any]], now: str
) -> dict[str, Any]:
    """A fact that is later than all that was said of its root, whatever the clocks of the phones say."""
    latest = max((one["made_at"] for one in said), default="")
    return fact(kind, body, max(now, just_after(latest)) if latest else now, root)


def id_of_moment(made_at: str) -> str:
    """A fresh id whose order follows a moment's: UUID version 7 (RFC 9562, section 5.7), which begins with 1970."""
    milliseconds = max(0, int(moment_of(made_at).timestamp() * 1000))
    version, variant = 0x7 << 76, 0b10 << 62
    return str(UUID(int=milliseconds << 80 | version | secrets.randbits(12) << 64 | variant | secrets.randbits(62)))
