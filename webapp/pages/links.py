"""Coach links: made, listed and ended by the player.

Knows the directory; what a coach sees is coach.py's.
"""

from flask import Blueprint, Flask, flash, redirect, render_template, url_for
from werkzeug.wrappers import Response

from .. import doors, present, reader
from ..days import day
from ..draw.qr import qr
from ..forms.setup import LinkForm
from ..moments import moved

links = Blueprint("links", __name__)
LONGEST_JUNIOR_DAYS = 30


def register(app: Flask) -> None:
    """Add the coach links' addresses."""
    app.register_blueprint(links)


@links.get("/links")
def show() -> str:
    """The links there are."""
    return _page(LinkForm(formdata=None))


@links.post("/links")
def make() -> str | tuple[str, int]:
    """Make a link with an end; its address is in this one answer and never again."""
    form = LinkForm()
    if not form.validate():
        return _page(form), 400
    view, now = reader.view(), present.now()
    days = min(int(form.days.data), LONGEST_JUNIOR_DAYS) if view["junior"] else int(form.days.data)
    profile = {"nickname": form.nickname.data}
    label = (form.label.data or "").strip()
    token = doors.directory().new_link(doors.device().book_id, label, now, moved(now, days=days), profile)
    return _page(LinkForm(formdata=None), token)


@links.post("/links/<link_id>/end")
def end(link_id: str) -> Response:
    """End a link at once."""
    if doors.directory().end_link(doors.device().book_id, link_id, present.now()):
        flash("The link is closed. What its reader has copied stays with them.")
    else:
        flash("There was no such open link. Nothing was changed.")
    return redirect(url_for("links.show"))


def _page(form: LinkForm, token: str = "") -> str:
    now = present.now()
    made = url_for("coach.card", token=token, _external=True) if token else ""
    listed = [
        {"id": link.id, "label": link.label, "ends_at": link.ends_at, "open": link.is_open(now)}
        for link in doors.directory().links(doors.device().book_id)
    ]
    return render_template(
        "links.html",
        form=form,
        links=listed,
        made=made,
        qr=qr(made) if made else "",
        junior=reader.view()["junior"],
        day=day,
    )
