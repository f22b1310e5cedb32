"""Coach links: made, listed and ended by the player.

Knows the directory; pages/coach.py shows a coach the book.
"""

from uuid import UUID

from flask import Blueprint, Flask, flash, redirect, render_template, url_for
from werkzeug.wrappers import Response

from .. import doors, guardian, present, reader, throttle
from ..days import day, end_of
from ..draw.qr import qr
from ..forms.setup import ENDS, LinkForm, PinForm, ResetForm
from ..link_profile import CODE, CODE_MIN, profile_of
from ..moments import local, moved
from ..store.directory import Link

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
    if refused := _refusal(form.pin.data):
        form.pin.errors = [refused]
        return _page(form), 403
    days = min(int(form.days.data), LONGEST_JUNIOR_DAYS) if view["junior"] else int(form.days.data)
    profile = {"shows": form.shows.data, "nickname": form.nickname.data, "days": form.by_day.data}
    label = (form.label.data or "").strip()
    token = doors.directory().new_link(doors.device().book_id, label, now, moved(now, days=days), profile)
    return _page(LinkForm(formdata=None), token)


@links.post("/links/tablet")
def make_for_a_tablet() -> str | tuple[str, int]:
    """Make the code that opens the card once on a tablet; what it opens is pages/tablet.py's."""
    form = PinForm()
    if not form.validate():
        return _page(LinkForm(formdata=None), for_tablet=form), 400
    if refused := _refusal(form.pin.data):
        form.pin.errors = [refused]
        return _page(LinkForm(formdata=None), for_tablet=form), 403
    now = present.now()
    ends_at = moved(now, minutes=CODE_MIN)
    token = doors.directory().new_link(doors.device().book_id, "a tablet\u2019s code", now, ends_at, CODE)
    return _page(LinkForm(formdata=None), code_at=url_for("tablet.ask", code=token, _external=True))


@links.post("/links/<uuid:link_id>/end")
def end(link_id: UUID) -> Response:
    """End a link at once."""
    if doors.directory().end_link(doors.device().book_id, str(link_id), present.now()):
        flash("The link is closed. What its reader has copied stays with them.")
    else:
        flash("There was no such open link. Nothing was changed.")
    return redirect(url_for("links.show"))


@links.post("/links/pin")
@throttle.limiter.limit(throttle.CODES)
def reset_pin() -> Response:
    """Set another PIN in the place of a forgotten one, with the recovery sheet."""
    doors.device()  # a phone that may open no book is told so before its form is read
    form = ResetForm()
    refused = guardian.set_again(form.code.data, form.pin.data) if form.validate() else form.problems()[0]
    flash(f"{refused} Nothing was changed." if refused else "The new PIN is set.")
    return redirect(url_for("links.show"))


def _refusal(pin: str | None) -> str:
    """Why a junior's guardian does not let a link be made; the first PIN that is typed is the PIN from now on."""
    first = guardian.is_asked() and not guardian.has_pin()
    return guardian.set_first(pin) if first else guardian.refusal(pin)


def _page(form: LinkForm, token: str = "", for_tablet: PinForm | None = None, code_at: str = "") -> str:
    now = present.now()
    made = url_for("coach.card", token=token, _external=True) if token else ""
    junior, ahead_min = reader.view()["junior"], reader.ahead_min()
    if junior:
        form.days.choices = {days: said for days, said in ENDS.items() if int(days) <= LONGEST_JUNIOR_DAYS}
    listed = [
        {
            "id": link.id, "label": link.label, "ends_at": link.ends_at, "open": link.is_open(now),
            "shows": profile_of(link.profile, junior).words, "opened": _opened_words(link, now),
        }
        for link in doors.directory().links(doors.device().book_id)
    ]  # fmt: skip
    return render_template(
        "links.html",
        form=form,
        links=listed,
        made=made,
        qr=qr(made) if made else "",
        made_id=listed[0]["id"] if made else "",
        junior=junior,
        has_pin=guardian.has_pin(),
        sheet=ResetForm(formdata=None),
        for_tablet=for_tablet or PinForm(formdata=None),
        code_at=code_at,
        code_qr=qr(code_at) if code_at else "",
        end_of=lambda moment: end_of(local(moment, ahead_min), local(now, ahead_min)),
    )


def _opened_words(link: Link, now: str) -> str:
    """ "opened on 3 days, last on 22 Nov 2025"; a day counts once, however often it was opened."""
    if not link.opened_days:
        return "not opened yet" if link.is_open(now) else "never opened"
    if link.opened_days == 1:
        return f"opened on {day(link.opened_on)}"
    return f"opened on {link.opened_days} days, last on {day(link.opened_on)}"
