"""All kept pages in one answer, and the card's page that is not made again while it is the same."""

import json
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.factories import NOW, Raw, a_bucket, a_setting, a_shot, f1_balls, the_demo_set
from tests.pages.visitor import send, words
from webapp.moments import moment_of, moved
from webapp.phone_pages import KEPT, SHUT_BY_CARD_ONLY
from webapp.store.book import Book
from webapp.store.directory import Directory

AS_KEPT = {"X-Kept-Page": "1"}
ADD = """
import json, sys
from pathlib import Path
from webapp.store.book import Book
path, ball = json.loads(sys.argv[1])
with Book(Path(path)) as book:
    assert not book.add([ball], None, ball["made_at"]).refused
"""


@pytest.fixture
def clock(app: Flask) -> dict[str, str]:
    """The app's clock, which stands still."""
    told = {"now": NOW}
    app.config["NOW"] = lambda: moment_of(told["now"])
    return told


@pytest.fixture
def facts(clock: dict[str, str], book: Book) -> list[Raw]:
    """A set of wedges and two visits, the second of which is not over."""
    clubs, first, today = the_demo_set(moved(NOW, days=-9)), a_bucket(moved(NOW, days=-3)), a_bucket(NOW)
    balls = [*f1_balls(first, clubs[2], moved(NOW, days=-3)), a_shot(today, clubs[1], 61, NOW)]
    assert not book.add([*clubs, first, today, *balls], None, NOW).refused
    clock["now"] = moved(NOW, minutes=1)
    return [*clubs, first, today]


def together(client: FlaskClient, addresses: tuple[str, ...] = KEPT) -> dict[str, Any]:
    answer = client.get(f"/api/pages?{urlencode([('of', one) for one in addresses])}")
    assert answer.status_code == 200
    told: dict[str, Any] = answer.get_json()
    return told


def prefer(client: FlaskClient, **told: Any) -> None:
    client.set_cookie("phone", quote(json.dumps(told), safe=""))


@pytest.mark.parametrize("unit", ["yd", "m"])
def test_each_page_is_what_its_own_address_answers(
    player: FlaskClient, book: Book, facts: list[Raw], unit: str
) -> None:
    prefer(player, unit=unit)
    told = together(player)
    assert told["book"] == book.id
    assert [page["address"] for page in told["pages"]] == list(KEPT)
    for page in told["pages"]:
        alone = player.get(page["address"], headers=AS_KEPT)
        assert (page["html"], page["own"]) == (alone.text, alone.headers.get("Content-Location"))
        assert page["tag"] == alone.headers.get("ETag")
        assert "csrf_token" not in page["html"]


def test_only_pages_that_are_kept_come_and_each_once(player: FlaskClient, facts: list[Raw]) -> None:
    told = together(player, ("/card", "/leaving", "/export/book.json", "/w/x", "//card", "/more", "/card", ""))
    assert [page["address"] for page in told["pages"]] == ["/card", "/more"]


def test_card_only_shuts_the_same_pages_as_by_themselves(player: FlaskClient, facts: list[Raw]) -> None:
    prefer(player, card_only=True, card_since=NOW)
    told = together(player)
    assert sorted(told["shut"]) == sorted(SHUT_BY_CARD_ONLY)
    assert [page["address"] for page in told["pages"]] == [one for one in KEPT if one not in SHUT_BY_CARD_ONLY]
    assert all(f'href="{one}"' not in page["html"] for page in told["pages"] for one in SHUT_BY_CARD_ONLY)


def test_a_phone_without_a_book_or_cut_off_gets_none(
    app: Flask, client: FlaskClient, player: FlaskClient, book: Book, directory: Directory
) -> None:
    assert client.get("/api/pages?of=/card").status_code == 401
    directory.cut_off(book.id, directory.devices(book.id)[0].id, NOW)
    assert player.get("/api/pages?of=/card").status_code == 403
    other = app.test_client()
    other.set_cookie("book", directory.new_device(book.id, "Other", NOW))
    directory.delete_book(book.id, NOW)
    assert other.get("/api/pages?of=/card").status_code == 410


def test_a_card_that_is_kept_is_not_shown_once_its_book_is_deleted(
    player: FlaskClient, book: Book, directory: Directory, facts: list[Raw]
) -> None:
    _, tag = tagged(player)
    directory.delete_book(book.id, NOW)
    assert player.get("/card", headers={**AS_KEPT, "If-None-Match": tag}).status_code == 410


@pytest.mark.files_only
def test_two_processes_on_one_folder_answer_alike(player: FlaskClient, book: Book, facts: list[Raw]) -> None:
    """The other process is another program that adds a ball by itself."""
    before = together(player)
    ball = a_shot(facts[-1], facts[0], 70, NOW)
    told = json.dumps([str(book.path), ball])
    subprocess.run([sys.executable, "-c", ADD, told], check=True)
    after = together(player)
    assert before["pages"][1]["html"] != after["pages"][1]["html"]


def test_a_notice_is_left_for_the_page_that_says_it(player: FlaskClient, facts: list[Raw]) -> None:
    send(player, "/card/shown", follow=False)
    assert all("Kept." not in page["html"] for page in together(player)["pages"])
    assert "Kept." in words(player.get("/card"))


def test_a_page_that_fails_is_left_out_and_the_others_come(
    app: Flask, player: FlaskClient, facts: list[Raw], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(app.view_functions, "bag.show", lambda: 1 / 0)
    found = [page["address"] for page in together(player)["pages"]]
    assert found == [one for one in KEPT if one != "/bag"]


def test_the_answer_bears_the_headers_that_a_page_is_kept_with(player: FlaskClient, facts: list[Raw]) -> None:
    alone, every = player.get("/card", headers=AS_KEPT), player.get("/api/pages?of=/card")
    for name in ("Content-Security-Policy", "X-Content-Type-Options", "Referrer-Policy", "Permissions-Policy"):
        assert every.headers[name] == alone.headers[name]
    assert every.headers["Cache-Control"] == "no-store"


def tagged(client: FlaskClient, tag: str | None = None, address: str = "/card") -> tuple[int, str]:
    answer = client.get(address, headers={**AS_KEPT, **({"If-None-Match": tag} if tag else {})})
    assert (answer.status_code == 304) == (not answer.data)
    return answer.status_code, answer.headers.get("ETag", "")


def test_the_card_is_not_made_again_while_it_is_the_same(
    player: FlaskClient, clock: dict[str, str], facts: list[Raw]
) -> None:
    _, tag = tagged(player)
    clock["now"] = moved(NOW, minutes=50)
    assert tagged(player, tag) == (304, tag)
    assert tagged(player, '"another"') == (200, tag)


def a_ball(book: Book, facts: list[Raw], clock: dict[str, str]) -> None:
    assert not book.add([a_shot(facts[-1], facts[0], 70, clock["now"])], None, clock["now"]).refused


def a_setting_said(book: Book, facts: list[Raw], clock: dict[str, str]) -> None:
    assert not book.add([a_setting("unit", "m", clock["now"])], None, clock["now"]).refused


def midnight(book: Book, facts: list[Raw], clock: dict[str, str]) -> None:
    clock["now"] = moved(NOW, hours=15)


def the_end_of_the_visit(book: Book, facts: list[Raw], clock: dict[str, str]) -> None:
    clock["now"] = moved(NOW, hours=6, minutes=1)


def a_clock_set_back(book: Book, facts: list[Raw], clock: dict[str, str]) -> None:
    clock["now"] = moved(NOW, minutes=-1)


@pytest.mark.parametrize("change", [a_ball, a_setting_said, midnight, the_end_of_the_visit, a_clock_set_back])
def test_the_card_is_made_again_after(
    player: FlaskClient, book: Book, facts: list[Raw], clock: dict[str, str], change: Callable[..., None]
) -> None:
    _, tag = tagged(player)
    change(book, facts, clock)
    status, new = tagged(player, tag)
    assert (status, new != tag) == (200, True)


def test_another_phone_wish_address_or_book_has_another_tag(
    player: FlaskClient, directory: Directory, facts: list[Raw]
) -> None:
    _, tag = tagged(player)
    assert tagged(player, tag, "/card?ball=own")[0] == 200
    prefer(player, unit="m")
    assert tagged(player, tag)[0] == 200
    prefer(player)
    player.set_cookie("book", directory.new_device(directory.new_book(NOW), "Phone", NOW))
    assert tagged(player, tag)[0] == 200


def test_a_page_with_a_form_token_or_a_notice_bears_no_tag(player: FlaskClient, facts: list[Raw]) -> None:
    _, tag = tagged(player)
    assert "ETag" not in player.get("/card", headers={"If-None-Match": tag}).headers
    send(player, "/card/shown", follow=False)
    answer = player.get("/card", headers={**AS_KEPT, "If-None-Match": tag})
    assert (answer.status_code, "ETag" in answer.headers) == (200, False)
    assert "Kept." in words(answer)


@pytest.mark.files_only
def test_an_older_file_put_back_under_the_same_number_is_noticed(
    player: FlaskClient, data: Path, book: Book, facts: list[Raw], clock: dict[str, str]
) -> None:
    """The same newest fact, and an earlier one is another: what phones sent again after an older copy came back."""
    last = a_shot(facts[-1], facts[0], 70, moved(NOW, seconds=30))
    copy = data / "older.sqlite"
    book.copy_to(copy)
    book.add([a_shot(facts[-1], facts[0], 62, moved(NOW, seconds=20)), last], None, clock["now"])
    before, tag, plots = together(player), tagged(player)[1], plots_of(player)
    with Book(copy) as older:
        older.add([a_shot(facts[-1], facts[0], 99, moved(NOW, seconds=20)), last], None, clock["now"])
        assert older.newest() == book.newest()
    book.close()
    copy.replace(book.path)
    after = together(player)
    assert before["pages"][1]["html"] != after["pages"][1]["html"]
    assert tagged(player, tag)[0] == 200
    assert plots_of(player) != plots


def plots_of(player: FlaskClient) -> list[str]:
    """The drawings of /trends, which a process keeps apart from the page."""
    return re.findall(r'<svg class="chart".*?</svg>', player.get("/trends").text, re.DOTALL)
