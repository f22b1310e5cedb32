"""A phone that is handed from one test to the next has nothing of the first one's but the worker and the program."""

from playwright.sync_api import expect

from tests.factories import the_demo_set

from .chromium import now, open_book
from .player import Player
from .ready import ReadyPhones
from .server import Server
from .waiting import until_kept, until_worker_stands

HELD = """async () => ({
  caches: (await caches.keys()).map((name) => name.split("-")[0]),
  pages: await Promise.all(["/bucket", "/card", "/fits"].map(async (path) => Boolean(await caches.match(path)))),
  stores: (await indexedDB.databases()).map(({ name }) => name),
  settings: Object.keys(localStorage),
  cookies: document.cookie,
})"""


def test_a_phone_that_was_given_back_holds_nothing_but_the_program(ready_phones: ReadyPhones, server: Server) -> None:
    phone = ready_phones.take()
    player = Player(phone, server.url, open_book(phone, server, the_demo_set(now())))
    player.open()
    player.wait_until_kept()
    until_kept(player.page, "/fits")
    player.page.evaluate("localStorage.somebody = 'was here'")
    phone.grant_permissions(["geolocation"], origin=server.url)
    held = player.page.evaluate(HELD)
    assert held["stores"] == ["clockyard"]
    assert held["pages"] == [True, True, True]
    phone.set_offline(True)
    ready_phones.give_back(phone)
    again = ready_phones.take()
    assert again is phone
    assert (phone.cookies(), phone.pages) == ([], [])
    page = phone.new_page()
    page.goto(f"{server.url}/healthz")
    assert page.evaluate(HELD) == {
        "caches": ["shell"],
        "pages": [False] * 3,
        "stores": [],
        "settings": ["workerMayStand"],
        "cookies": "",
    }
    asked = "async () => (await navigator.permissions.query({ name: 'geolocation' })).state"
    assert page.evaluate(asked) != "granted"
    page.goto(server.url)
    expect(page.get_by_role("button", name="Start my book")).to_be_visible()
    until_worker_stands(page)
    ready_phones.give_back(phone)
