"""Taking a book away, bringing one back, and deleting it.

Knows answers; books/make_file.py writes a file, books/take_file.py reads one, working.py does long ones.
"""

import tempfile
from pathlib import Path

from flask import Blueprint, Flask, Response, current_app, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from .. import asking, doors, guardian, present, quotas, reader, throttle, working
from ..books.make_file import KINDS, make_file
from ..books.take_file import NotTaken, is_long, take_file
from ..files import columns, exporting
from ..forms.setup import BringForm, DeleteForm
from ..store import reading
from ..store.book import Book
from ..store.jobs import IMPORT, Job, Jobs

leaving = Blueprint("leaving", __name__)
_TAKE_FILES = {"leaving.bring", "start.begin_from_file"}


def register(app: Flask) -> None:
    """Add the addresses; files brought back may be larger than anything else that is sent."""
    app.register_blueprint(leaving)
    app.before_request_funcs.setdefault(None, []).insert(0, allow_files)


def allow_files() -> None:
    """Let a file brought back be large; it must come before whatever reads the form."""
    if request.endpoint in _TAKE_FILES:
        request.max_content_length = current_app.config["MOST_IMPORT"]


@leaving.get("/leaving")
def show() -> str:
    """What can be taken, brought and deleted."""
    return _page(BringForm(formdata=None))


@leaving.get("/export/eye-checks.csv")
def eye_checks() -> Response:
    """Every distance said by eye and then measured, as CSV."""
    lines = exporting.eye_checks_csv(reading.eye_checks(doors.book()), reader.view()["unit"])
    return _attached("".join(lines).encode(), "eye-checks.csv", "text/csv")


@leaving.get("/export/shots.csv")
@leaving.get("/export/book.json")
@leaving.get("/export/book.sqlite")
@throttle.limiter.limit(throttle.EXPORTS, exempt_when=throttle.spared(lambda: not _is_large(doors.book())))
def take_away() -> AnyResponse:
    """One of the files that hold the book; that of a large book is made by a job, and a page tells how far it is."""
    book, unit, now = doors.book(), reader.view()["unit"], present.now()
    name = request.path.rpartition("/")[2]
    if _is_large(book):
        return asking.ask(Job(book.id, name, now, unit))
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder) / name
        make_file(book, name, made, unit, now)
        return _attached(made.read_bytes(), name, KINDS[name])


@leaving.post("/import")
@throttle.limiter.limit(throttle.IMPORTS)
def bring() -> AnyResponse | tuple[str, int]:
    """Bring balls or a whole book back; a file is checked first and taken whole or not at all."""
    book, most_bytes = doors.book(), current_app.config["MOST_BOOK"]
    quotas.refuse_a_full_book(book, current_app.config)
    form = BringForm()
    if not form.validate():
        return _page(form), 400
    if form.pin.data and (refused := guardian.refusal(form.pin.data)):
        form.pin.errors = [refused]
        return _page(form), 403
    file, seen = form.file.data, bool(form.pin.data) or not guardian.has_pin()
    if is_long(file.stream, current_app.config["BALLS_AT_ONCE"]):
        return asking.ask(Job(book.id, IMPORT, present.now(), most_bytes=most_bytes, seen=seen), file.save)
    with tempfile.NamedTemporaryFile() as kept:
        file.save(kept)
        kept.flush()
        try:
            flash(take_file(book, Path(kept.name), present.now(), most_bytes, seen=seen))
        except NotTaken as error:
            form.file.errors = list(working.named(error.reasons))
            return _page(form), 400
    return redirect(url_for("leaving.show"))


@leaving.get("/delete")
def ask() -> str:
    """Name one by one what would be deleted."""
    return _ask(DeleteForm(formdata=None))


@leaving.post("/delete")
def delete() -> AnyResponse | tuple[str, int]:
    """Delete the book after a last yes: the server's file, every phone's access, every link and code."""
    book_id = doors.device().book_id
    form = DeleteForm()
    if not form.validate():
        return _ask(form), 400
    doors.close()
    doors.directory().delete_book(book_id, present.now())
    response = redirect(url_for("leaving.deleted"))
    doors.forget_device(response)
    reader.forget(response)
    response.headers["Clear-Site-Data"] = '"cache", "cookies", "storage"'
    return response


@leaving.get("/deleted")
def deleted() -> str:
    """Say that nothing is left here, and what may be left elsewhere."""
    return render_template("deleted.html")


def _attached(content: bytes, name: str, mimetype: str) -> Response:
    response = Response(content, mimetype=mimetype)
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    response.headers["Cache-Control"] = "no-store"
    return response


def _is_large(book: Book) -> bool:
    return reading.count_of_balls(book) > int(current_app.config["BALLS_AT_ONCE"])


def _page(form: BringForm) -> str:
    return render_template(
        "leaving.html",
        form=form,
        most_mb=current_app.config["MOST_IMPORT"] // 1_000_000,
        asks_pin=guardian.is_asked() and guardian.has_pin(),
        meanings=columns.MEANINGS,
        job=Jobs(current_app.config["DATA"]).of(doors.device().book_id),
    )


def _ask(form: DeleteForm) -> str:
    directory, own = doors.directory(), doors.device()
    return render_template(
        "delete.html",
        form=form,
        n_shots=reading.count_of_balls(doors.book()),
        n_phones=sum(not device.cut_off_at for device in directory.devices(own.book_id)),
        n_links=sum(link.is_open(present.now()) for link in directory.links(own.book_id)),
        has_recovery=directory.has_recovery(own.book_id),
    )
