"""Behind Caddy and nginx as deploy/ sets them up: forms, the worker, addresses, logs and compression."""

import http.client
import re
import time
from datetime import UTC, datetime

from playwright.sync_api import Browser, expect

from tests.browser.chromium import PHONE, now
from tests.browser.waiting import until_worker_stands
from webapp.link_profile import CODE
from webapp.moments import moved
from webapp.throttle import LINKS

from .conftest import Proxy

LINKS_A_MINUTE = int(LINKS.partition(" ")[0])


def test_a_book_is_started_and_the_worker_stands(proxy: Proxy, trusting: Browser) -> None:
    context = trusting.new_context(**PHONE)
    page = context.new_page()
    page.goto(proxy.url)
    page.get_by_role("button", name=re.compile("^Start")).tap()
    expect(page.get_by_role("heading", name="Card", exact=True)).to_be_visible()
    until_worker_stands(page)
    (cookie,) = [one for one in context.cookies() if one["name"].endswith("book")]
    assert (cookie["name"], cookie["secure"], cookie["httpOnly"]) == ("__Host-book", True, True)
    assert cookie["expires"] > datetime.now(UTC).timestamp() + 300 * 86_400
    context.close()


def test_each_address_has_its_own_limit_and_cannot_say_it_is_another(proxy: Proxy) -> None:
    answers = [
        proxy.ask(f"/w/{at:032d}", source="127.0.0.2", X_Forwarded_For=f"198.51.100.{at}")[0]
        for at in range(LINKS_A_MINUTE + 1)
    ]
    assert 429 not in answers[:-1]
    assert answers[-1] == 429
    assert proxy.ask(f"/w/{0:032d}", source="127.0.0.3")[0] != 429


def test_the_log_names_no_person_no_link_and_no_query(proxy: Proxy) -> None:
    with proxy.server.directory() as directory:
        book_id = directory.new_book(now())
        token = directory.new_link(book_id, "coach", now(), moved(now(), days=14), {})
        code = directory.new_link(book_id, "a tablet's code", now(), moved(now(), minutes=10), CODE)
    assert proxy.ask(f"/w/{token}", source="127.0.0.4")[0] == 200
    assert proxy.ask(f"/tablet/{code}", source="127.0.0.4")[0] == 200
    assert proxy.ask("/static/nothing-of-this-name?secret=q1w2e3", source="127.0.0.4", Cookie="book=r4t5")[0] == 404
    gives_up = time.monotonic() + 30
    while "/static/nothing-of-this-name" not in (written := proxy.log.read_text()):
        assert time.monotonic() < gives_up
    assert not [word for word in (token, code, "/w/", "/tablet/", "127.0.0.4", "q1w2e3", "r4t5") if word in written]


def test_what_is_text_comes_compressed_and_the_headers_come_through(proxy: Proxy) -> None:
    status, headers, body = proxy.ask("/", Accept_Encoding="gzip")
    assert (status, headers["content-encoding"]) == (200, "gzip")
    assert body[:2] == b"\x1f\x8b"
    assert "default-src" in headers["content-security-policy"]
    assert "max-age" in headers["strict-transport-security"]


def test_a_name_that_is_not_ours_is_refused_and_never_said_back(proxy: Proxy) -> None:
    try:
        status, headers, body = proxy.ask("/", Host="elsewhere.example")
    except http.client.HTTPException:
        return  # the line was closed without a word
    assert b"Clockyard" not in body
    assert "content-security-policy" not in headers, "the app itself answered"
    assert not [value for value in (*headers.values(), body.decode()) if "elsewhere.example" in value], status
