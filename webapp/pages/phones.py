"""More than one phone: the recovery sheet, a code that lets another phone in, the phones of a book, cutting one off.

Knows the directory; of the book only how its player's clock stands, what it holds, and whether a guardian is asked.
"""

from contextlib import suppress
from uuid import UUID

from flask import Blueprint, Flask, flash, redirect, render_template, url_for
from werkzeug.wrappers import Response

from .. import codes, doors, guardian, present, reader, throttle
from ..card.card_words import count
from ..days import day
from ..draw.qr import qr
from ..forms.setup import CodeForm, PinForm
from ..moments import moved
from ..store import reading
from ..store.directory import Directory
from ..store.faults import StoreFault

phones = Blueprint("phones", __name__)
JOIN_MINUTES = 10


def register(app: Flask) -> None:
    """Add the phones' addresses."""
    app.register_blueprint(phones)


@phones.get("/phones")
def show() -> str:
    """The phones that open this book, when each was last seen, and the ways to let another in."""
    return _page()


@phones.post("/phones/join")
def join() -> str:
    """A code, good for ten minutes and one phone, that opens this book on another phone."""
    now = present.now()
    code = codes.new_code()
    doors.directory().set_joining(doors.device().book_id, code, now, moved(now, minutes=JOIN_MINUTES))
    return _page(join_code=code)


@phones.post("/recovery")
def recovery() -> str | tuple[str, int]:
    """A new recovery sheet; it ends the one before."""
    form = PinForm()
    # The sheet's code resets the PIN, so the PIN guards the sheet.
    if guardian.has_pin() and (refused := guardian.refusal(form.pin.data)):
        form.pin.errors = [refused]
        return _page(form=form), 403
    code, own_day = codes.new_code(), reader.own_day()
    doors.directory().set_recovery(doors.device().book_id, code, present.now())
    return render_template(
        "recovery.html",
        code=codes.in_groups(code),
        qr=qr(_address(code)),
        made_on=own_day(present.now()),
        address=_address(""),
    )


@phones.post("/phones/<device_id>/cut-off")
def cut_off(device_id: str) -> Response:
    """Shut a phone out at once."""
    try:
        key = UUID(device_id).bytes
    except ValueError:
        key = b""
    if key == doors.device().id:
        flash("This is the phone in your hand. To leave it, delete the book or cut it off from another phone.")
    elif doors.directory().cut_off(doors.device().book_id, key, present.now()):
        flash("That phone is cut off. What it had not sent stays on it, as a file to save.")
    else:
        flash("There is no such phone. Nothing was changed.")
    return redirect(url_for("phones.show"))


@phones.get("/open")
def entry() -> str:
    """Where a code is typed, or taken by the page out of the address's fragment, which no server ever sees."""
    return render_template("open.html", form=CodeForm(formdata=None))


@phones.post("/open")
@throttle.limiter.limit(throttle.CODES)
def open_book() -> Response | tuple[str, int]:
    """Open the book of a recovery or joining code on this phone."""
    form = CodeForm()
    if not form.validate():
        return render_template("open.html", form=form), 400
    directory, now = doors.directory(), present.now()
    book_id = directory.use_code(codes.as_typed(form.code.data), now)
    if book_id is None:
        form.code.errors = ["This code opens no book. It may have been replaced, used, or its ten minutes are over."]
        return render_template("open.html", form=form), 404
    response = redirect(url_for("card.show"))
    doors.remember_device(response, directory.new_device(book_id, doors.device_name(), now))
    with suppress(StoreFault):  # the card says what is wrong with a book, and the code may be used up
        flash(_what_is_there(directory, book_id))
    return response


def _what_is_there(directory: Directory, book_id: str) -> str:
    """What a book holds as a phone comes to it; what another phone has not sent yet nobody here can count."""
    with directory.open_book(book_id) as book:
        n, latest = reading.count_of_balls(book), reading.visits(book, most=1)
    there = f"{count(n, 'ball')}, the last visit on {day(latest[0][0]['local_at'])}" if latest else "no ball yet"
    return f"The book is open here: {there}. What another phone still keeps comes once that phone has signal."


def _page(join_code: str = "", form: PinForm | None = None) -> str:
    own, own_day, own_minute = doors.device(), reader.own_day(), reader.own_minute()
    devices = [
        {
            "id": str(UUID(bytes=device.id)),
            "name": device.name,
            "since": own_minute(device.created_at),  # two phones of a day may bear one name
            "seen": own_day(device.last_seen_at),
            "own": device.id == own.id,
            "cut_off": bool(device.cut_off_at),
        }
        for device in doors.directory().devices(own.book_id)
    ]
    return render_template(
        "phones.html",
        devices=devices,
        has_recovery=doors.directory().has_recovery(own.book_id),
        join_code=codes.in_groups(join_code),
        qr=qr(_address(join_code)) if join_code else "",
        address=_address(""),
        minutes=JOIN_MINUTES,
        form=form or PinForm(formdata=None),
        guarded=guardian.is_asked() and guardian.has_pin(),
    )


def _address(code: str) -> str:
    address = url_for("phones.entry", _external=True)
    return f"{address}#{code}" if code else address
