"""Taking a book away, bringing one back, and deleting it.

Knows files and answers; what stands in the files is exporting.py's and importing.py's.
"""

import json
import tempfile
from pathlib import Path

from flask import Blueprint, Flask, Response, current_app, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from .. import access, exporting, importing, putting_in, throttle
from ..forms import BringForm, DeleteForm
from ..store import reading
from ..store.book import NotWhole

leaving = Blueprint("leaving", __name__)
_NAMED_PROBLEMS = 8


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
    book = access.book()
    clubs = {club.id: club for club in reading.clubs(book, retired=True)}
    text = exporting.shots_csv(reading.shots(book, most=10**9), clubs, access.view()["unit"])
    return _file(text.encode(), "text/csv", "shots.csv")


@leaving.get("/export/book.json")
def whole() -> Response:
    """Every fact as JSON."""
    told = exporting.book_json(access.book().after(0, 10**9), access.now())
    return _file(json.dumps(told, ensure_ascii=False, indent=1).encode(), "application/json", "book.json")


@leaving.get("/export/book.sqlite")
def file() -> Response:
    """The book's own SQLite file, as of one moment even while others write."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "book.sqlite"
        access.book().copy_to(copy)
        return _file(copy.read_bytes(), "application/vnd.sqlite3", "book.sqlite")


@leaving.post("/import")
@throttle.limiter.limit(throttle.IMPORTS)
def bring() -> AnyResponse | tuple[str, int]:
    """Bring balls or a whole book back; a file is checked first and taken whole or not at all."""
    access.device()
    form = BringForm()
    if not form.validate():
        return _page(form), 400
    try:
        text = form.file.data.read().decode("utf-8-sig")
        taken, known = _take(text)
    except UnicodeDecodeError:
        return _refuse(form, ["The file is not UTF-8 text."])
    except (ValueError, RecursionError) as error:
        return _refuse(form, [str(error) or "The file could not be read."])
    except NotWhole as error:
        return _refuse(form, [one["message"] for one in error.refused])
    flash(f"{taken} came into the book; {known} were there already.")
    return redirect(url_for("leaving.show"))


@leaving.get("/delete")
def ask() -> str:
    """Name one by one what would be deleted."""
    return _ask(DeleteForm(formdata=None))


@leaving.post("/delete")
def delete() -> AnyResponse | tuple[str, int]:
    """Delete the book after a last yes: the server's file, every phone's access, every link and code."""
    book_id = access.device().book_id
    form = DeleteForm()
    if not form.validate():
        return _ask(form), 400
    access.close()
    access.directory().delete_book(book_id, access.now())
    response = redirect(url_for("leaving.deleted"))
    response.delete_cookie(access.device_cookie(), path="/")
    response.delete_cookie(access.PHONE_COOKIE)
    response.headers["Clear-Site-Data"] = '"cache", "cookies", "storage"'
    return response


@leaving.get("/deleted")
def deleted() -> str:
    """Say that nothing is left here, and what may be left elsewhere."""
    return render_template("deleted.html")


def _take(text: str) -> tuple[str, str]:
    """Put a file's content into the book; gives what came and what was known, in words."""
    book, now = access.book(), access.now()
    if text.lstrip().startswith("{"):
        told = json.loads(text)
        facts = told.get("facts") if isinstance(told, dict) else None
        if not isinstance(facts, list):
            raise ValueError("The file is JSON, but not a book of ours.")
        before = book.cursor
        answer = book.add(facts, access.device().id, now, whole=True)
        return f"{answer.cursor - before} entries", f"{len(facts) - answer.cursor + before}"
    table = importing.read_csv(text, putting_in.known_of(book))
    if table.refused:
        raise NotWhole([{"message": f"Line {row.line}: {row.reason}."} for row in table.refused])
    put = putting_in.put_in(book, text, now)
    return f"{put.taken} balls", str(put.known)


def _refuse(form: BringForm, reasons: list[str]) -> tuple[str, int]:
    more = len(reasons) - _NAMED_PROBLEMS
    form.file.errors = [*reasons[:_NAMED_PROBLEMS], *([f"And {more} more like these."] if more > 0 else [])]
    return _page(form), 400


def _page(form: BringForm) -> str:
    access.device()
    return render_template("leaving.html", form=form, most_mb=current_app.config["MOST_IMPORT"] // 1_000_000)


def _ask(form: DeleteForm) -> str:
    directory, own = access.directory(), access.device()
    return render_template(
        "delete.html",
        form=form,
        n_shots=len(reading.shots(access.book(), most=10**9)),
        n_phones=len(directory.devices(own.book_id)),
        n_links=sum(link.is_open(access.now()) for link in directory.links(own.book_id)),
        has_recovery=directory.has_recovery(own.book_id),
    )


def _file(content: bytes, mimetype: str, name: str) -> Response:
    response = Response(content, mimetype=mimetype)
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    response.headers["Cache-Control"] = "no-store"
    return response
