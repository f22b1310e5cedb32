"""Facts noted on the server: by plain forms, by the demo book and by imports.

Knows how a fact gets its id and time; the phone has its own in static/rules/shot.js.
"""

from typing import Any

from uuid6 import uuid7

from ..moments import just_after
from ..store import reading
from ..store.book import Book


def fact(
    kind: str, body: dict[str, Any] | None, made_at: str, root: str | None = None, id: str | None = None
) -> dict[str, Any]:
    """A new fact as it goes over the wire; with `root` a correction, and with no body a void."""
    own = id or str(uuid7())
    return {"id": own, "root": root or own, "kind": kind, "made_at": made_at, "body": body}


def correction(book: Book, kind: str, root: str, body: dict[str, Any] | None, now: str) -> dict[str, Any]:
    """A correction that is later than all that was said of its root, whatever the clocks of the phones say."""
    said = book.history(root)
    latest = max((one["made_at"] for one in said), default="")
    return fact(kind, body, max(now, just_after(latest)) if latest else now, root)


def setting(book: Book, name: str, value: Any, now: str) -> dict[str, Any]:
    """A setting said, or said anew."""
    root, body = reading.setting_roots(book).get(name), {"name": name, "value": value}
    return correction(book, "setting", root, body, now) if root else fact("setting", body, now)
