"""What every answer carries, what cookies allow, and what the log keeps to itself."""

import logging
import re
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from tests.conftest import SECRET
from tests.factories import NOW, a_club
from tests.pages.visitor import send, token
from webapp import create_app
from webapp.moments import moment_of
from webapp.store.directory import Directory

from .conftest import Owner, rules
from .pages import looked_at

POLICY = {
    "default-src": "'self'",
    "img-src": "'self' data:",
    "object-src": "'none'",
    "base-uri": "'none'",
    "form-action": "'self'",
    "frame-ancestors": "'none'",
}


def policy_of(answer: Any) -> dict[str, str]:
    """The content policy of an answer by directive."""
    parts = (part.strip().partition(" ") for part in answer.headers["Content-Security-Policy"].split(";"))
    return {name: value for name, _, value in parts}


def test_every_answer_carries_the_headers_that_keep_others_out(app: Flask, owner: Owner) -> None:
    for rule in [*rules(app, "GET"), None]:
        answer = owner.phone.get(owner.address(rule) if rule else "/no-such-page")
        headers = answer.headers
        assert policy_of(answer) == POLICY, rule
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Cross-Origin-Opener-Policy"] == "same-origin"
        assert headers["Permissions-Policy"] == "camera=(), geolocation=(), microphone=()"
        secret = rule is not None and "token" in rule.arguments
        assert headers["Referrer-Policy"] == ("no-referrer" if secret else "same-origin")
        assert "Server" not in headers
        assert not [name for name, _ in headers if name.startswith("Access-Control-")]
        if answer.mimetype in ("text/html", "application/json") and rule and rule.rule not in ("/healthz",):
            assert headers["Cache-Control"] == "no-store", rule


def test_no_page_holds_inline_code_or_an_address_elsewhere(app: Flask, owner: Owner) -> None:
    for rule in rules(app, "GET"):
        answer = owner.phone.get(owner.address(rule))
        if answer.mimetype == "text/html":
            seen = looked_at(answer.text)
            assert seen.inline == [], rule
            assert seen.elsewhere == [], rule


def test_refusals_carry_the_same_headers(app: Flask, owner: Owner) -> None:
    stranger = app.test_client()
    answers = [stranger.get("/card"), stranger.post("/settings"), stranger.put("/api/facts"), stranger.get("/w/x")]
    assert [answer.status_code for answer in answers] == [401, 400, 405, 410]
    for answer in answers:
        assert policy_of(answer) == POLICY
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Cache-Control"] == "no-store"


@pytest.fixture
def secure(data: Path) -> Flask:
    """The app as phones reach it over HTTPS."""
    served = create_app({"DATA": data, "SECRET": SECRET, "HTTPS": True, "RATELIMIT_ENABLED": False})
    served.config["NOW"] = lambda: moment_of(NOW)
    return served


def cookies_of(answer: Any) -> dict[str, list[str]]:
    """The flags of each cookie an answer sets."""
    told = (cookie.split("; ") for cookie in answer.headers.getlist("Set-Cookie"))
    return {first.partition("=")[0]: flags for first, *flags in told}


def over_https(app: Flask, path: str, **fields: str) -> Any:
    """A new phone sends a form over HTTPS."""
    client = app.test_client()
    base = "https://localhost"
    csrf = client.get("/api/session", base_url=base).get_json()["error"]["csrf"]
    answer = client.post(path, base_url=base, data={**fields, "csrf_token": csrf}, headers={"Referer": f"{base}/"})
    return client, answer


def test_over_https_cookies_hold_to_our_host_and_to_https(secure: Flask) -> None:
    client, answer = over_https(secure, "/start", hand="right", unit="yd", loft_1="56")
    flags = cookies_of(answer)["__Host-book"]
    assert {"Secure", "HttpOnly", "Path=/", "SameSite=Lax"} <= set(flags)
    assert not [flag for flag in flags if flag.startswith("Domain")]
    assert f"Max-Age={400 * 86_400}" in flags
    session = cookies_of(secure.test_client().get("/api/session", base_url="https://localhost"))
    assert {"Secure", "HttpOnly", "Path=/", "SameSite=Lax"} <= set(session["__Host-session"])
    assert client.get("/card", base_url="https://localhost").status_code == 200


def test_a_deleted_books_cookie_is_taken_back_in_a_way_the_browser_obeys(secure: Flask, directory: Directory) -> None:
    client, _ = over_https(secure, "/start", hand="right", unit="yd", loft_1="56")
    base = "https://localhost"
    csrf = client.get("/api/session", base_url=base).get_json()["csrf"]
    gone = client.post(
        "/delete", base_url=base, data={"yes": "y", "csrf_token": csrf}, headers={"Referer": f"{base}/delete"}
    )
    flags = cookies_of(gone)["__Host-book"]
    assert {"Secure", "Path=/", "Max-Age=0"} <= set(flags)
    assert cookies_of(gone)["phone"]
    assert directory.books() == []


def test_over_https_browsers_are_told_to_stay_there(secure: Flask, app: Flask) -> None:
    assert secure.test_client().get("/").headers["Strict-Transport-Security"] == "max-age=31536000"
    assert "Strict-Transport-Security" not in app.test_client().get("/").headers


def test_a_form_from_another_site_is_refused_over_https(secure: Flask, directory: Directory) -> None:
    client, base = secure.test_client(), "https://localhost"
    csrf = client.get("/api/session", base_url=base).get_json()["error"]["csrf"]
    for headers in ({"Referer": "https://elsewhere.example/"}, {}):
        answer = client.post(
            "/start",
            base_url=base,
            data={"hand": "right", "unit": "yd", "loft_1": "56", "csrf_token": csrf},
            headers=headers,
        )
        assert answer.status_code == 400
    assert directory.books() == []


def test_the_log_keeps_to_itself_who_played_and_every_secret(
    app: Flask, owner: Owner, caplog: pytest.LogCaptureFixture, directory: Directory
) -> None:
    with caplog.at_level(logging.DEBUG):
        page = send(owner.phone, "/recovery").text
        code = re.search(r'<p class="code">([A-Z2-7 ]+)</p>', page)
        assert code
        send(app.test_client(), "/open", code=code[1])
        send(owner.phone, "/settings", hand="right", unit="yd", nickname="Merlin")
        owner.phone.post(
            "/api/facts",
            json={"facts": [a_club("Secret wedge", 56), {"id": "Secret wedge"}]},
            headers={"X-CSRFToken": token(owner.phone)},
        )
        for path in (f"/w/{owner.link}", f"/w/{owner.link}/x", "/card", "/bag", "/no-such-page?name=Merlin"):
            owner.phone.get(path)
        app.test_client().get("/card", headers={"Cookie": f"book={owner.secret}x"})
        owner.phone.post("/settings", data={"nickname": "Merlin"})
        app.logger.debug("the log was listening")
    assert "the log was listening" in caplog.text
    for private in (owner.secret, owner.link, code[1], code[1].replace(" ", ""), "Merlin", "Secret wedge", "Kestrel"):
        assert private not in caplog.text
