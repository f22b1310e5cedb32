"""Taking a book away, bringing one back, and deleting it.

Knows files and answers; what stands in the files is exporting.py's and importing.py's.
"""

import json
import tempfile
from pathlib import Path

from flask import Blueprint, Flask, Response, current_app, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from .. import doors, present, quotas, reader, throttle
from ..books.bring_back import bring_back
from ..books.import_balls import import_balls
from ..files import exporting, importing
from ..forms.setup import BringForm, DeleteForm
from ..store import reading
from ..store.book import NotWhole

leaving = Blueprint("leaving", __name__)
_NAMED_PROBLEMS = 8
_ALL = 10**9  # more rows than any book holds


def register(app: Flask) -> None:
    """Add the addresses; files brought back may be larger than anything else that is sent."""
    app.register_blueprint(leaving)
    app.before_request_funcs.setdefault(None, []).insert(0, allow_files)


def allow_files() -> None:
    """Let a file brought back be large; it must come before whatever reads the form."""
    if request.endpoint == "leaving.bring":
        request.max_content_length = current_app.config["MOST_IMPORT"]


@leaving.get("/leaving")
def show() -> str:
    """What can be taken, brought and deleted."""
    return _page(BringForm(formdata=None))


@leaving.get("/export/shots.csv")
def shots() -> Response:
    """Every ball as CSV."""
    book = doors.book()
    clubs = {club.id: club for club in reading.clubs(book, retired=True)}
    buckets = {bucket["id"]: bucket for bucket in reading.buckets(book, most=_ALL)}
    text = exporting.shots_csv(reading.shots(book, most=_ALL), clubs, buckets, reader.view()["unit"])
    return _file(text.encode(), "text/csv", "shots.csv")


@leaving.get("/export/book.json")
def whole() -> Response:
    """Every fact as JSON."""
    told = exporting.book_json(doors.book().after(0, _ALL), present.now())
    return _file(json.dumps(told, ensure_ascii=False, indent=1).encode(), "application/json", "book.json")


@leaving.get("/export/book.sqlite")
def file() -> Response:
    """The book's own SQLite file, as of one moment even while others write."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "book.sqlite"
        doors.book().copy_to(copy)
        return _file(copy.read_bytes(), "application/vnd.sqlite3", "book.sqlite")


@leaving.post("/import")
@throttle.limiter.limit(throttle.IMPORTS)
def bring() -> AnyResponse | tuple[str, int]:
    """Bring balls or a whole book back; a file is checked first and taken whole or not at all."""
    quotas.refuse_a_full_book(doors.book(), current_app.config)
    form = BringForm()
    if not form.validate():
        return _page(form), 400
    try:
        came = _take(form.file.data.read().decode("utf-8-sig"))
    except UnicodeDecodeError:
        return _refuse(form, ["The file is not text in UTF-8."])
    except importing.Unreadable as error:
        return _refuse(form, [f"The file is no table of balls: {error}."])
    except NotWhole as error:
        return _refuse(form, [one["message"] for one in error.refused])
    flash(came)
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


def _take(text: str) -> str:
    """Put a file's content into the book, whole or not at all; says what came and what was there already."""
    book, now = doors.book(), present.now()
    if text.lstrip().startswith("{"):
        came, there = bring_back(book, text, now)
        return f"{came} entries came into the book; {there} were there already."
    put = import_balls(book, text, now, whole=True)
    return f"{put.taken} balls came into the book; {put.known} were there already."


def _refuse(form: BringForm, reasons: list[str]) -> tuple[str, int]:
    more = len(reasons) - _NAMED_PROBLEMS
    form.file.errors = [*reasons[:_NAMED_PROBLEMS], *([f"And {more} more like these."] if more > 0 else [])]
    return _page(form), 400


def _page(form: BringForm) -> str:
    doors.device()
    return render_template(
        "leaving.html", form=form, most_mb=current_app.config["MOST_IMPORT"] // 1_000_000, notes=exporting.NOTES
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


def _file(content: bytes, mimetype: str, name: str) -> Response:
    response = Response(content, mimetype=mimetype)
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    response.headers["Cache-Control"] = "no-store"
    return response
