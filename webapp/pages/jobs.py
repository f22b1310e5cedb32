"""How far a long import or export is, what became of it, and the file it made; the page needs no script.

Knows a book's job; working.py does it.
"""

from flask import Blueprint, Flask, current_app, make_response, redirect, render_template, send_file
from werkzeug.wrappers import Response as AnyResponse

from .. import doors, working
from ..books.make_file import KINDS
from ..store.jobs import BACK, LOOK, PREVIEW, TAKE, Jobs

jobs = Blueprint("jobs", __name__)
_LOOK_AGAIN_S = 3
# What each step of a table does to it, and the page that goes on from there.
_DOES = {LOOK: "looked through", PREVIEW: "looked over", TAKE: "taken in", BACK: "taken back"}
_GOES_ON = {LOOK: "/table/columns", PREVIEW: "/table/preview"}


def register(app: Flask) -> None:
    """Add the addresses."""
    app.register_blueprint(jobs)


@jobs.get("/job")
def show() -> AnyResponse:
    """The book's job: how far it is, or what became of it. Until it is over the browser asks again by itself."""
    there = _jobs()
    job = there.of(doors.device().book_id)
    if job and job.state == "done" and job.what in _GOES_ON:
        return redirect(_GOES_ON[job.what])
    working.see_to(current_app.config["DATA"], current_app.config["STORE_URL"])
    before = [one.book_id for one in there.unfinished()]
    response = make_response(
        render_template(
            "job.html",
            job=job,
            before=before.index(job.book_id) if job and job.book_id in before else 0,
            does=_DOES.get(job.what, "") if job else "",
        )
    )
    if job and not job.is_over:
        response.headers["Refresh"] = str(_LOOK_AGAIN_S)
    return response


@jobs.get("/job/file")
def file() -> AnyResponse:
    """The file that a job made."""
    there, book_id = _jobs(), doors.device().book_id
    job = there.of(book_id)
    if not job or job.state != "done" or job.what not in KINDS:
        raise doors.Refused(404, "not_found", "No file is ready here. Your book is as it was.")
    response = send_file(
        there.file(book_id), mimetype=KINDS[job.what], as_attachment=True, download_name=job.what, etag=False
    )
    response.headers["Cache-Control"] = "no-store"
    return response


def _jobs() -> Jobs:
    return Jobs(current_app.config["DATA"])
