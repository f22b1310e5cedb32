"""All pages that a phone keeps for the day without signal in one answer, each with its address.

Knows how one request answers for others, and nothing of what a page shows; static/keeping.js takes the answer apart.
"""

from collections.abc import Iterator
from typing import Any

from flask import Blueprint, Flask, Response, current_app, jsonify, request
from werkzeug.exceptions import HTTPException

from .. import doors, reader
from ..phone_pages import KEPT, SHUT_BY_CARD_ONLY
from ..store.faults import StoreFault

kept_pages = Blueprint("kept_pages", __name__)


def register(app: Flask) -> None:
    """Add the address."""
    app.register_blueprint(kept_pages)


@kept_pages.get("/api/pages")
def give() -> Response:
    """The pages whose addresses are named (`of`), as of one moment, each as its own address would answer.

    A page that cannot be shown now is left out: the phone keeps what it has and asks for it again.
    """
    book, locked = doors.book(), reader.view()["card_only"]
    wanted = [address for address in dict.fromkeys(request.args.getlist("of")) if address in KEPT]
    shut = [address for address in wanted if locked and address in SHUT_BY_CARD_ONLY]
    with book.as_of_one_moment():
        pages = [page for address in wanted if address not in shut for page in _page(address)]
    return jsonify(book=book.id, shut=shut, pages=pages)


def _page(address: str) -> Iterator[dict[str, Any]]:
    """What a phone is to keep of an address; nothing where it is refused."""
    with current_app.request_context(_asked(address)):
        try:
            response = current_app.make_response(current_app.dispatch_request())
        except (doors.Refused, HTTPException):
            return
        except StoreFault:
            raise  # no page can be shown from a book that cannot be read
        except Exception:
            current_app.logger.exception("The page %s could not be shown, so a phone keeps its old one.", address)
            return
        if response.status_code == 200:
            told = {"address": address, "own": response.content_location, "tag": response.headers.get("ETag")}
            yield {**told, "html": response.get_data(as_text=True)}


def _asked(address: str) -> dict[str, Any]:
    """This request turned to another address, to be kept; without the form session, so that it uses up no notice."""
    own = (doors.device_cookie(), reader.PHONE_COOKIE)
    cookies = "; ".join(f"{name}={request.cookies[name]}" for name in own if name in request.cookies)
    asked = {name: value for name, value in request.environ.items() if not name.startswith("werkzeug.")}
    return {**asked, "PATH_INFO": address, "QUERY_STRING": "", "HTTP_COOKIE": cookies, "HTTP_X_KEPT_PAGE": "1"}
