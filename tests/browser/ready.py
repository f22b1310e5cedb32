"""Phones on which the worker stands already, handed from test to test: putting one up costs more than most tests do.

In between a phone loses all but the worker and the program that it keeps: its book, pages, facts, settings and tabs.
"""

from playwright.sync_api import Browser, BrowserContext

from .chromium import new_phone
from .waiting import let_worker_stand, until_worker_stands

_FORGET_PAGES = """async () => {
  for (const name of await caches.keys()) if (!name.startsWith("shell-")) await caches.delete(name);
}"""


class ReadyPhones:
    """Phones of one browser that have the program from one origin and no book."""

    def __init__(self, browser: Browser, url: str) -> None:
        self._browser, self._url = browser, url
        self._free: list[BrowserContext] = []

    def take(self) -> BrowserContext:
        """A phone that nobody has; `give_back` it."""
        return self._free.pop() if self._free else self._new()

    def give_back(self, phone: BrowserContext) -> None:
        """Make a phone anybody's, whatever a test did with its pages, its signal and what it keeps."""
        for page in phone.pages:
            page.close()
        phone.set_offline(False)
        phone.clear_cookies()
        phone.clear_permissions()
        page = phone.new_page()
        devtools = phone.new_cdp_session(page)
        devtools.send("ServiceWorker.enable")
        devtools.send("ServiceWorker.stopAllWorkers")  # a page that is still on its way to the worker is not kept
        page.goto(f"{self._url}/healthz")
        page.evaluate(_FORGET_PAGES)
        kinds = "indexeddb,local_storage"
        devtools.send("Storage.clearDataForOrigin", {"origin": self._url, "storageTypes": kinds})
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
        page.goto(self._url)
        until_worker_stands(page)
        page.close()
        return phone
