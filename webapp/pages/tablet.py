"""A tablet beside the mat: its code opens a link of six hours once, and the page looks for new balls by itself.

Knows links and what has changed in a book; the card that the tablet shows is the coach's (pages/coach.py).
"""

from typing import Any

from flask import Blueprint, Flask, redirect, render_template, url_for
from werkzeug.wrappers import Response

from .. import doors, present, throttle
from ..coach_door import book_of, open_now
from ..forms.setup import PlainAction
from ..moments import moved
from ..store.directory import Link

FOLLOWS_H = 6
tablet = Blueprint("tablet", __name__)


def register(app: Flask) -> None:
    """Add the tablet's addresses."""
    app.register_blueprint(tablet)


@tablet.get("/tablet")
def follow() -> str:
    """The page that follows along; its script knows the link, which stands behind the "#"."""
    return render_template("tablet.html", code="")


@tablet.get("/tablet/<code>")
@throttle.limiter.limit(throttle.LINKS)
def ask(code: str) -> str:
    """Ask whether this tablet shall follow: a camera that looks at an address ahead must not use the code up."""
    _link_of(code)
    return render_template("tablet.html", code=code)


@tablet.post("/tablet/<code>")
@throttle.limiter.limit(throttle.LINKS)
def begin(code: str) -> Response:
    """Use the code up and give this tablet a link of its own."""
    link, directory, now = _link_of(code), doors.directory(), present.now()
    if not PlainAction().validate() or not directory.end_link(link.book_id, link.id, now):
        return redirect(url_for("tablet.ask", code=code), 303)
    with book_of(link, code) as (book, _):
        directory.opened_link(link, book.clock(now)[:10])
    profile = {name: value for name, value in link.profile.items() if name != "code"} | {"follows": True}
    own = directory.new_link(link.book_id, "a tablet", now, moved(now, hours=FOLLOWS_H), profile)
    return redirect(url_for("tablet.follow", _anchor=own), 303)


@tablet.get("/w/<token>/newest")
@throttle.limiter.limit(throttle.LINKS)
def newest(token: str) -> dict[str, Any]:
    """A word that changes once anything was noted, and which number was struck last; looking counts as no opening."""
    link = open_now(token)
    with book_of(link, token) as (book, _):
        return {"state": book.state(), "cell": book.latest_cell()}


def _link_of(code: str) -> Link:
    link = open_now(code)
    if not link.profile.get("code"):
        raise doors.Refused(404, "not_found", "This is no tablet\u2019s code. Make one under Coach links on the phone.")
    return link
