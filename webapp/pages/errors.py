"""Every refusal and fault in one shape: JSON for the phone's code, a plain page for people.

Knows no feature; the code that refuses gives the sentence, fault_words.py those of the store's faults.
"""

import sqlite3
import traceback

from flask import Flask, Response, current_app, g, make_response, request
from flask_wtf.csrf import CSRFError, generate_csrf
from werkzeug.exceptions import HTTPException, MethodNotAllowed

from .. import doors, reader
from ..doors import Refused
from ..fault_words import words_of
from ..refusals import answer
from ..store.book import Book
from ..store.connect import doubt
from ..store.faults import BusyFile, DamagedFile, StoreFault, fault_of

_PLAIN = {
    400: ("bad_request", "This could not be read, so nothing was changed."),
    404: ("not_found", "There is nothing at this address. Your book is as it was."),
    405: ("not_allowed", "This address cannot be written to. Nothing was changed."),
    413: ("too_large", "This is too much at once. Nothing was taken{most}; what the phone holds stays on it."),
    429: ("too_many", "Too many tries from here. Nothing was changed; wait a while and try again."),
}
_TAKES_FORMS = "This address only takes what a form sends. Nothing was changed."  # to whoever only looks
_FAULT = (
    "fault",
    "Something went wrong on the server. What was saved before is safe; what the phone holds stays on it.",
)


def register(app: Flask) -> None:
    """Answer every error of the application."""
    app.register_error_handler(Refused, _refused)
    app.register_error_handler(CSRFError, _forged)
    app.register_error_handler(StoreFault, _of_the_store)
    app.register_error_handler(sqlite3.Error, _met_while_reading)
    app.register_error_handler(HTTPException, _of_http)
    app.register_error_handler(Exception, _unforeseen)


def _refused(error: Refused) -> Response:
    response = make_response(answer(error.status, error.code, error.message))
    if error.code == "book_deleted" and not request.path.startswith("/api/"):
        doors.forget_device(response)  # only a page takes the cookie: /api/ has to tell the phone's script too
        reader.forget(response)
    return response


def _forged(_: CSRFError) -> tuple[Response | str, int]:
    message = "This form was too old or not from this page, so nothing was changed. Go back and send it again."
    return answer(400, "csrf", message, csrf=generate_csrf())


def _of_the_store(fault: StoreFault) -> tuple[Response | str, int]:
    current_app.logger.error("%s at %s", words_of(fault).code, request.endpoint)
    words = words_of(fault)
    return answer(words.status, words.code, words.message)


def _met_while_reading(error: sqlite3.Error) -> Response | tuple[Response | str, int]:
    """Damage that arose since a file was opened; from now on it is looked over again before anything is written.

    A file that only copies a log is thrown away, and whoever reads is answered from a new one.
    """
    opened = g.get("coach_book") or g.get("book") or g.get("directory")
    found = fault_of(error, opened.path) if opened is not None else None
    if found is None:
        return _unforeseen(error)
    if isinstance(found, DamagedFile):
        doubt(opened.path)
        if isinstance(opened, Book) and opened.throw_away():
            if request.method in ("GET", "HEAD") and doors.begin_again():
                return current_app.make_response(current_app.dispatch_request())
            return _of_the_store(BusyFile(str(found)))
    return _of_the_store(found)


def _of_http(error: HTTPException) -> Response:
    status = error.code or 500
    code, message = _PLAIN.get(status) or (_PLAIN[400] if status < 500 else _FAULT)
    if status == 413:
        message = message.format(most=_most_words())
    if status == 405 and request.method in ("GET", "HEAD"):
        message = _TAKES_FORMS
    response = make_response(answer(status, code, message))
    if isinstance(error, MethodNotAllowed) and error.valid_methods:
        response.allow.update(error.valid_methods)  # RFC 9110, 15.5.6: a 405 says what would be taken
    return response


def _unforeseen(error: Exception) -> tuple[Response | str, int]:
    # An error's own text may quote what a player typed, so only its kind and the lines of our code are written.
    where = "".join(traceback.format_tb(error.__traceback__))
    current_app.logger.error("%s at %s\n%s", type(error).__name__, request.endpoint, where)
    return answer(500, *_FAULT)


def _most_words() -> str:
    """How much this address takes at once, where a request says itself that it holds more."""
    most = request.max_content_length
    is_more = most is not None and (request.content_length or 0) > most
    return f": at most {most / 1_000_000:g} MB go in at once" if most is not None and is_more else ""
