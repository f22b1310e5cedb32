"""What the phone's code talks to: its session, the facts it sends and those it lacks.

Knows the wire and no field of a fact.
"""

from typing import Any
from uuid import UUID

from flask import Blueprint, Flask, Response, current_app, jsonify, request
from flask_wtf.csrf import generate_csrf

from .. import doors, present, quotas
from ..books import both_said, guarded, same_wedge
from ..doors import Refused
from ..facts import MOST_FACTS_A_BATCH
from ..refusals import answer
from ..store import guardians
from ..store.book import Book

api = Blueprint("api", __name__, url_prefix="/api")
_MOST_FACTS_OUT = 1000


def register(app: Flask) -> None:
    """Add the phone's addresses."""
    app.register_blueprint(api)


@api.get("/token")
def token() -> Response:
    """A fresh token for a form that is about to be sent, for a phone with or without a book.

    A form of a page of another book gets none, so that it stays as it is with all that was typed.
    """
    if doors.is_of_another_book(request.args.get("book", "")):
        message = (
            "Nothing was changed: this page belongs to another book than the one open on this phone now. What you "
            "typed is still here. Open its own book again to keep it there, or load this page anew to write into the "
            "open one."
        )
        raise Refused(409, "other_book", message)
    return jsonify(csrf=generate_csrf())


@api.get("/session")
def session() -> Response | tuple[Response | str, int]:
    """A fresh token for the next writing, which book this phone has open, and the server's time.

    A phone without a book gets the token with its refusal: it needs one to start a book.
    """
    try:
        device = doors.device()
    except Refused as refusal:
        return answer(refusal.status, refusal.code, refusal.message, csrf=generate_csrf())
    book = doors.book()
    told = {
        "cursor": book.cursor,
        "safe_cursor": doors.directory().safe_cursor(book),
        "in_place": _is_in_place(book),
        "now": present.now(),
    }
    return jsonify(csrf=generate_csrf(), book=device.book_id, device=device.id.hex(), **told)


@api.post("/facts")
def take() -> Response:
    """Take a batch of facts; answers what was taken, what was refused and why."""
    device = doors.device()
    told = _told()
    if not isinstance(told.get("facts"), list):
        raise Refused(400, "bad_request", "This is not a batch of facts, so nothing was taken. The phone keeps them.")
    if told.get("book") not in (None, device.book_id):
        raise Refused(409, "other_book", "These belong to another book, so nothing was taken. They stay on the phone.")
    if len(told["facts"]) > MOST_FACTS_A_BATCH:
        message = f"More than {MOST_FACTS_A_BATCH} facts at once, so none was taken. They stay on the phone."
        raise Refused(413, "too_many_facts", message)
    book = doors.book()
    quotas.refuse_a_full_book(book, current_app.config)
    quotas.refuse_a_flood(book, current_app.config, present.now())
    barred = guarded.barring(book, guardians.has_pin(doors.directory(), device.book_id))
    facts, now = told["facts"], present.now()
    made_of = told.get("made_of")  # which a script of before does not say
    made_of = {of: at for of, at in made_of.items() if isinstance(at, str)} if isinstance(made_of, dict) else {}

    def follow() -> list[dict[str, Any]]:
        return [*same_wedge.named_anew(book), *both_said.both_said(book, facts, made_of, device.id, now)]

    answer = book.add(facts, device.id, now, barred, follow)
    return jsonify(taken=answer.taken, refused=answer.refused, cursor=answer.cursor)


@api.get("/facts")
def give() -> Response:
    """The facts that came after the number `after`, oldest first."""
    after = request.args.get("after", 0, type=int)
    limit = min(max(request.args.get("limit", 500, type=int), 1), _MOST_FACTS_OUT)
    book = doors.book()
    found = book.after(min(max(after, 0), 2**62), limit)
    cursor = found[-1]["seq"] if found else book.cursor
    return jsonify(facts=found, cursor=cursor, more=len(found) == limit)


def _is_in_place(book: Book) -> bool:
    """Whether the book holds what the phone fetched last, by its number, and what it sent last.

    Where it does not, an older copy of the book was put back, and the phone may hold more than the book.
    """
    fetched, sent = request.args.get("fetched", ""), request.args.get("sent", "")
    number, _, fact_id = fetched.partition(" ")
    try:
        known = not fetched or book.holds(min(int(number), 2**62), UUID(fact_id).bytes)
        return known and (not sent or book.has(UUID(sent).bytes))
    except ValueError:  # no number and id of a fact
        return False


def _told() -> dict[str, Any]:
    """The object a request's body holds, {} for anything else."""
    try:
        told = request.get_json(silent=True)
    except RecursionError:  # JSON nested too deeply to be read
        return {}
    return told if isinstance(told, dict) else {}
