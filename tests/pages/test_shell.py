"""What makes the pages an app on the phone: worker, manifest, static files, headers, health."""

import json
import re

import brotli
import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.factories import NOW, Raw, a_bucket
from webapp.pages.shell import static_files, static_version
from webapp.store.book import Book

from .visitor import page_of, send, words


def test_the_server_says_that_it_is_well(client: FlaskClient) -> None:
    assert client.get("/healthz").get_json() == {"status": "ok"}


def test_the_worker_keeps_every_static_file_under_the_address_that_pages_use(client: FlaskClient) -> None:
    worker = client.get("/sw.js")
    found = re.match(r"const SHELL = (\{.*?\});\n", worker.text)
    assert found
    shell = json.loads(found[1])
    assert shell["version"] == static_version()
    kept = {file.split("/", 3)[3] for file in shell["files"] if file.startswith("/static/")}
    alone = {name for name in static_files() if not name.endswith(".js")}
    assert kept == alone | {"app.js", "later.js", "ui/code.js"}
    for address in shell["files"]:
        with client.get(address) as answer:
            assert answer.status_code == 200
    assert worker.mimetype == "text/javascript"
    assert worker.headers["Cache-Control"] == "no-cache"


def test_the_manifest_names_icons_that_are_there(client: FlaskClient) -> None:
    manifest = client.get("/manifest.webmanifest")
    assert manifest.mimetype == "application/manifest+json"
    told = manifest.get_json()
    assert (told["start_url"], told["scope"], told["display"]) == ("/bucket", "/", "standalone")
    for icon in told["icons"]:
        with client.get(icon["src"]) as answer:
            assert answer.status_code == 200


def test_the_second_file_of_scripts_comes_beside_the_first_unless_a_bucket_waits_for_the_first(
    player: FlaskClient, book: Book, demo_set: list[Raw]
) -> None:
    beside = f'<link rel="modulepreload" href="/static/{static_version()}/later.js">'
    assert beside in player.get("/card").text
    assert beside in player.get("/bucket").text
    assert not book.add([a_bucket()], None, NOW).refused
    assert beside not in player.get("/bucket").text


def test_a_static_file_may_be_kept_for_ever(client: FlaskClient) -> None:
    with client.get(f"/static/{static_version()}/app.js") as answer:
        assert b"serviceWorker" in answer.data
        assert "immutable" in answer.headers["Cache-Control"]
        assert "max-age=31536000" in answer.headers["Cache-Control"]


@pytest.mark.parametrize(("name", "most_bytes"), [("app.js", 27_000), ("later.js", 45_500)])
def test_the_scripts_travel_as_small_as_a_phone_can_read_them(client: FlaskClient, name: str, most_bytes: int) -> None:
    address = f"/static/{static_version()}/{name}"
    plain, small = (client.get(address, headers={"Accept-Encoding": coding}) for coding in ("identity", "gzip, br"))
    assert (plain.content_encoding, small.content_encoding) == (None, "br")
    assert brotli.decompress(small.data) == plain.data
    assert len(small.data) <= most_bytes
    assert "Accept-Encoding" in small.headers["Vary"]
    assert client.get(address, headers={"Accept-Encoding": "gzip, br;q=0"}).content_encoding == "gzip"


def test_an_older_version_of_a_static_file_leads_to_todays(client: FlaskClient) -> None:
    answer = client.get("/static/000000000000/app.js")
    assert answer.headers["Location"] == f"/static/{static_version()}/app.js"


def test_what_is_said_once_is_on_no_page_that_a_phone_keeps(player: FlaskClient, book: Book) -> None:
    asked = {"hand": "right", "unit": "yd", "seen_from": "front", "judged_by": "eye", "ball": "range", "thumb": ""}
    send(player, "/settings", follow=False, **asked)
    said = player.get("/card", headers={"X-Kept-Page": "1"})
    assert "Kept." in words(said)
    assert "X-Book" not in said.headers
    again = player.get("/card", headers={"X-Kept-Page": "1"})
    assert "Kept." not in words(again)
    assert again.headers["X-Book"] == book.id


def test_a_page_names_its_book_for_the_workers_cache(player: FlaskClient, client: FlaskClient, book: Book) -> None:
    assert player.get("/card").headers["X-Book"] == book.id
    assert f'data-book="{book.id}"' in player.get("/card").text
    assert "X-Book" not in client.get("/").headers
    assert "X-Book" not in player.get("/no-such-page").headers


@pytest.mark.parametrize("path", ["/card", "/bag", "/settings", "/bucket"])
def test_a_page_fetched_to_be_kept_holds_no_form_token(player: FlaskClient, path: str) -> None:
    assert "csrf_token" not in page_of(player, path, headers={"X-Kept-Page": "1"}).text


@pytest.mark.parametrize("path", ["/bag", "/settings"])
def test_a_page_without_a_worker_holds_one(player: FlaskClient, path: str) -> None:
    assert "csrf_token" in player.get(path).text


def test_the_start_page_holds_a_token_even_when_the_worker_fetches_it(client: FlaskClient) -> None:
    assert "csrf_token" in client.get("/", headers={"X-Kept-Page": "1"}).text


def test_pages_without_a_book_say_that_none_is_open(app: Flask) -> None:
    for path in ("/card", "/bag", "/settings", "/bucket", "/links", "/phones", "/leaving", "/export/book.json"):
        answer = app.test_client().get(path)
        assert answer.status_code == 401
        assert "This phone has no book open." in answer.text
