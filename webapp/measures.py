"""What a server counts of its own work for whoever runs it: times, refusals, room, the age of the last copy.

Counts for one process; knows no player, no book's id and no address of anybody.
"""

import importlib.metadata
import shutil
import sqlite3
import time
from dataclasses import asdict
from pathlib import Path
from typing import Any

from flask import Flask, Response, current_app, g, request
from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram, Info, generate_latest

from .books import read_card
from .moments import moment_of
from .store.faults import StoreFault
from .store.jobs import Jobs
from .store.log.numbers import numbers as log_numbers
from .store.looking_over import Numbers, numbers_of

_NAME = "clockyard-measures"
_OF_A_LOG = "Since the start: facts appended and followed, batches beaten, copies healed, times it was away."
# Seconds; from a bare answer to a page that draws plots on a small machine.
_STEPS_S = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0)


class Measures:
    """The numbers of one application, each told by its name."""

    def __init__(self, has_log: bool) -> None:
        """Begin at nothing."""
        self.registry = CollectorRegistry()
        told: Any = {"registry": self.registry}
        self.seconds = Histogram(
            "clockyard_request_seconds", "How long an answer took.", ("method", "page"), buckets=_STEPS_S, **told
        )
        self.answers = Counter("clockyard_answers", "Answers by status.", ("status",), **told)
        self.refusals = Counter("clockyard_refusals", "Refusals and faults by code.", ("code",), **told)
        self.books = Gauge("clockyard_open_books", "Books that were not deleted.", **told)
        self.jobs = Gauge("clockyard_unfinished_jobs", "Imports and exports that wait or run.", **told)
        self.free = Gauge("clockyard_free_bytes", "Room on the disk of the data folder.", **told)
        self.age = Gauge("clockyard_backup_age_seconds", "Age of the last verified copy; NaN before any.", **told)
        self.failed = Gauge("clockyard_backup_failed", "1 when the last backup that was tried failed.", **told)
        self.usable = Gauge("clockyard_directory_usable", "0 when the directory of the books cannot be used.", **told)
        self.estimates = Gauge("clockyard_estimates", "Estimates since the start, by how they came.", ("how",), **told)
        self.log = Gauge("clockyard_log", _OF_A_LOG, ("what",), **told) if has_log else None
        Info("clockyard_versions", "Versions of the program and its parts.", **told).info(
            {
                "clockyard": importlib.metadata.version("clockyard"),
                "flask": importlib.metadata.version("flask"),
                "sqlite": sqlite3.sqlite_version,
            }
        )


def register(app: Flask) -> None:
    """Count every answer of an application."""
    app.extensions[_NAME] = Measures(bool(app.config["STORE_URL"]))
    app.before_request_funcs.setdefault(None, []).insert(0, _begin)
    app.after_request(_count)


def as_text(now: str) -> bytes:
    """Every number in the text form that Prometheus reads."""
    measures: Measures = current_app.extensions[_NAME]
    measures.estimates.labels("made").set(read_card.estimates.made)
    measures.estimates.labels("kept").set(read_card.estimates.kept)
    if measures.log:
        for what, count in asdict(log_numbers).items():
            measures.log.labels(what).set(count)
    _look(measures, Path(current_app.config["DATA"]), current_app.config["STORE_URL"], now)
    return generate_latest(measures.registry)


def _look(measures: Measures, data: Path, store_url: str, now: str) -> None:
    try:
        measures.free.set(shutil.disk_usage(data).free)
        measures.jobs.set(len(Jobs(data).unfinished()))
        found = _numbers(data, store_url)
    except (StoreFault, OSError):
        measures.usable.set(0)
        return
    measures.usable.set(1)
    measures.books.set(found.books)
    last = found.last_backup
    measures.failed.set(bool(last and last.problem))
    whole_at = last.whole_at if last else ""
    age_s = (moment_of(now) - moment_of(whole_at)).total_seconds() if whole_at else float("nan")
    measures.age.set(age_s)


def _numbers(data: Path, store_url: str) -> Numbers:
    if not store_url:
        return numbers_of(data)
    from .store.log.looking import numbers_of as numbers_of_log

    return numbers_of_log(store_url)


def _begin() -> None:
    g.begun_s = time.perf_counter()


def _count(response: Response) -> Response:
    measures: Measures = current_app.extensions[_NAME]
    measures.answers.labels(str(response.status_code)).inc()
    if code := g.get("refused_with"):
        measures.refusals.labels(code).inc()
    if request.endpoint:  # by route, not by address: addresses hold ids
        measures.seconds.labels(request.method, request.endpoint).observe(time.perf_counter() - g.begun_s)
    return response
