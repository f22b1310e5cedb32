"""Phones on which the worker stands already, handed from test to test: putting one up costs more than most tests do.

In between a phone loses all but the worker and the program that it keeps: its book, pages, facts, settings and tabs.
"""

from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager

import pytest
from playwright.sync_api import Browser, BrowserContext

from tests.factories import Raw, the_demo_set

from .chromium import new_phone, now, open_book
from .player import Player
from .server import Server
from .waiting import let_worker_stand, until_worker_stands

_FORGET_PAGES = """async () => {
  for (const name of await caches.keys()) if (!name.startsWith("shell-")) await caches.delete(name);
}"""


class ReadyPhones:
    """Phones of one browser that have the program from one origin and no book."""

    def __init__(self, browser: Browser, url: str) -> None:
        self._browser, self.url = browser, url
        self._free: list[BrowserContext] = []

    def take(self) -> BrowserContext:
        """A phone that nobody has; `give_back` it."""
        return self._free.pop() if self._free else self._new()

    def give_back(self, phone: BrowserContext) -> None:
        """Clear a phone's pages, cookies, signal and storage, so that the next test can take it."""
        for page in phone.pages:
            page.close()
        phone.set_offline(False)
        phone.clear_cookies()
        phone.clear_permissions()
        page = phone.new_page()
        devtools = phone.new_cdp_session(page)
        devtools.send("ServiceWorker.enable")
        devtools.send("ServiceWorker.stopAllWorkers")  # a page that is still on its way to the worker is not kept
        page.goto(f"{self.url}/healthz")
        page.evaluate(_FORGET_PAGES)
        kinds = "indexeddb,local_storage"
        devtools.send("Storage.clearDataForOrigin", {"origin": self.url, "storageTypes": kinds})
        let_worker_stand(page)
        page.close()
        self._free.append(phone)

    def close(self) -> None:
        """Let the phones go that were given back."""
        for phone in self._free:
            phone.close()

    def _new(self) -> BrowserContext:
        phone = new_phone(self._browser)
        page = phone.new_page()
        page.goto(self.url)
        until_worker_stands(page)
        page.close()
        return phone


@pytest.fixture(scope="session")
def ready_phones(browser: Browser, server: Server) -> Iterator[ReadyPhones]:
    """The phones on which the worker stands already."""
    with closing(ReadyPhones(browser, server.url)) as phones:
        yield phones


@pytest.fixture(scope="session")
def phones_of_own(browser: Browser, own_port: int) -> Iterator[ReadyPhones]:
    """The phones on which the worker of `own_server` stands already, whichever of these servers runs just then."""
    with closing(ReadyPhones(browser, f"http://127.0.0.1:{own_port}")) as phones:
        yield phones


@pytest.fixture
def meet_ready(ready_phones: ReadyPhones, server: Server) -> Iterator[Callable[..., Player]]:
    """Make a player for one test as `meet` does, whose phone has had the app for days: the worker stands on it."""
    with players(ready_phones, server) as make:
        yield make


@pytest.fixture
def meet_at_own(phones_of_own: ReadyPhones, own_server: Server) -> Iterator[Callable[..., Player]]:
    """Make a player as `meet_ready` does, of the server that the test may stop and start."""
    with players(phones_of_own, own_server) as make:
        yield make


@contextmanager
def players(phones: ReadyPhones, server: Server) -> Iterator[Callable[..., Player]]:
    """Makes players of a server with phones that go back at the end."""
    taken: list[BrowserContext] = []

    def make(facts: list[Raw] | None = None) -> Player:
        context = phones.take()
        taken.append(context)
        book_id = open_book(context, server, the_demo_set(now()) if facts is None else facts)
        return Player(context, phones.url, book_id)

    yield make
    if taken and server.process is None:
        server.start()  # a phone is cleared on a page of its server
    for context in taken:
        phones.give_back(context)
