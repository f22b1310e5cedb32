"""Asks for a long job for a page and leads to where it says how far it is.

Knows what is said when it cannot be had; working.py does it.
"""

from collections.abc import Callable
from pathlib import Path

from flask import current_app, flash, redirect, url_for
from werkzeug.wrappers import Response

from . import doors, working
from .store.jobs import Crowded, Job, StillAtIt


def ask(job: Job, fill: Callable[[Path], object] | None = None) -> Response:
    """Have a job done, its file written by `fill`; Refused where as many wait as the server works on."""
    try:
        working.ask(current_app.config["DATA"], job, fill, current_app.config["STORE_URL"])
    except StillAtIt:
        flash("One file at a time: the one before is not done yet, so nothing new was begun.")
    except Crowded as error:
        message = "As many files wait here as this server works on. Nothing was begun; try again in some minutes."
        raise doors.Refused(503, "crowded", message) from error
    return redirect(url_for("jobs.show"), 303)
