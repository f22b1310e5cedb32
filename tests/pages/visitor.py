"""How a test's browser sends a form and reads a page: with a token fetched as the app's own script does it.

Knows the shape of a form and of a refusal, and no page.
"""

import re
from html import unescape
from typing import Any

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

_TAGS = re.compile(r"<script.*?</script>|<[^>]*>", re.DOTALL)


def token(client: FlaskClient) -> str:
    """A fresh form token; a browser without a book gets one too, with the refusal."""
    told = client.get("/api/session").get_json()
    return str(told["csrf"] if "csrf" in told else told["error"]["csrf"])


def send(client: FlaskClient, path: str, follow: bool = True, **fields: Any) -> TestResponse:
    """Send a form as a page of ours would; a list is a field sent more than once."""
    return client.post(path, data={**fields, "csrf_token": token(client)}, follow_redirects=follow)


def send_facts(client: FlaskClient, facts: Any, book: str | None = None, **more: Any) -> TestResponse:
    """Send facts as the phone's code does."""
    body = {"facts": facts, **({"book": book} if book else {}), **more}
    return client.post("/api/facts", json=body, headers={"X-CSRFToken": token(client)})


def page_of(client: FlaskClient, path: str, **more: Any) -> TestResponse:
    """The page at an address that has one: a refusal lacks whatever a page must not hold."""
    page = client.get(path, **more)
    assert page.status_code == 200, (path, page.status_code)
    return page


def words(response: TestResponse) -> str:
    """What a reader sees of a page: its text, spaces folded."""
    return " ".join(unescape(_TAGS.sub(" ", response.text)).split())
