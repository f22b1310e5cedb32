"""Every refusal and fault in one shape: JSON for the phone's code, a plain page for people.

Knows no feature; the sentences come from whoever refuses.
"""

import traceback
from sqlite3 import OperationalError

from flask import Flask, Response, make_response, request
from flask_wtf.csrf import CSRFError, generate_csrf
from werkzeug.exceptions import HTTPException, MethodNotAllowed

from ..access import Refused
from ..refusals import answer
from ..store.connect import DamagedFile, StoreFull

_PLAIN = {
    400: ("bad_request", "This could not be read, so nothing was changed."),
    404: ("not_found", "There is nothing at this address. Your book is as it was."),
    405: ("not_allowed", "This address cannot be written to. Nothing was changed."),
    413: ("too_large", "This is too much at once. Nothing was taken; what the phone holds stays on it."),
    429: ("too_many", "Too many tries from here. Nothing was changed; wait a while and try again."),
}
_FAULT = (
    "fault",
    "Something went wrong on the server. What was saved before is safe; what the phone holds stays on it.",
)


def register(app: Flask) -> None:
    """Answer every error of the application."""

    @app.errorhandler(Refused)
    def refused(error: Refused) -> tuple[Response | str, int]:
        return answer(error.status, error.code, error.message)

    @app.errorhandler(CSRFError)
    def forged(_: CSRFError) -> tuple[Response | str, int]:
        message = "This form was too old or not from this page, so nothing was changed. Go back and send it again."
        return answer(400, "csrf", message, csrf=generate_csrf())

    @app.errorhandler(StoreFull)
    def full(_: StoreFull) -> tuple[Response | str, int]:
        message = "The server's disk is full. Nothing of this was taken; what the phone holds stays on it."
        return answer(507, "disk_full", message)

    @app.errorhandler(DamagedFile)
    def damaged(_: DamagedFile) -> tuple[Response | str, int]:
        message = (
            "This book's file is damaged. It was left untouched, and no other book is harmed. "
            "What the phone holds stays on it; whoever runs this server can restore the last copy."
        )
        return answer(503, "damaged_book", message)

    @app.errorhandler(OperationalError)
    def busy(error: OperationalError) -> tuple[Response | str, int]:
        app.logger.error("store busy at %s: %s", request.endpoint, error.sqlite_errorname)
        return answer(503, "busy", "The server could not reach the book just now. The phone keeps all and tries again.")

    @app.errorhandler(HTTPException)
    def plain(error: HTTPException) -> Response:
        status = error.code or 500
        code, message = _PLAIN.get(status) or (_PLAIN[400] if status < 500 else _FAULT)
        response = make_response(answer(status, code, message))
        if isinstance(error, MethodNotAllowed) and error.valid_methods:
            response.allow.update(error.valid_methods)  # RFC 9110, 15.5.6: a 405 says what would be taken
        return response

    @app.errorhandler(Exception)
    def fault(error: Exception) -> tuple[Response | str, int]:
        # An error's own text may quote what a player typed, so only its kind and the lines of our code are written.
        where = "".join(traceback.format_tb(error.__traceback__))
        app.logger.error("%s at %s\n%s", type(error).__name__, request.endpoint, where)
        return answer(500, *_FAULT)
