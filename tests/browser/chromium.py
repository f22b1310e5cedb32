"""What tests with a browser share: one server and one browser for all, and books to open in it.

Knows how browsers are started and what a phone in them is; what a player does is in player.py.
"""

import os
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Playwright, expect, sync_playwright

from tests.factories import Raw
from webapp.moments import text_of

from .server import ROOT, Server, free_port
from .waiting import LONGEST_MS

ARGUMENTS = [
    "--disable-gpu",
    "--in-process-gpu",
    # One process draws a phone's pages: otherwise its first page begins a second, since the program cuts it off.
    "--renderer-process-limit=1",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    *(["--no-sandbox"] if os.geteuid() == 0 else []),
]
# A point of the screen is one pixel: only a picture for people shows more, and to draw more takes time in every test.
PHONE = {"viewport": {"width": 360, "height": 640}, "has_touch": True, "is_mobile": True, "device_scale_factor": 1}
LARGER_PHONE = {**PHONE, "viewport": {"width": 390, "height": 844}}


# Where deploy/test unpacks Debian's headless shell: Chromium without its windows, for three quarters of the work.
SHELL = ROOT / ".venv" / "headless-shell" / "usr" / "lib" / "chromium" / "chromium-headless-shell"
_WITHOUT_WORKER = """
try { if (!localStorage.workerMayStand) delete Navigator.prototype.serviceWorker; } catch { /* no page of an origin */ }
"""

expect.set_options(timeout=LONGEST_MS)  # a busy machine is slow, not wrong
# Writes until the browser takes not another byte.
FILL = """async () => {
  const { remember } = await (await import(document.querySelector("script[type=module]").src)).take("db.js");
  for (let size = 2 ** 20, piece = 0; size > 16; piece += 1) {
    try {
      await remember(`filler ${piece}`, crypto.getRandomValues(new Uint8Array(Math.min(size, 65536))));
      if (size > 65536) await remember(`wide ${piece}`, new Uint8Array(size).fill(piece));
    } catch {
      size /= 2;
    }
  }
}"""
# Another page of this phone writes and does not end.
HOLD_STORE = """() => new Promise((resolve) => {
  const request = indexedDB.open("clockyard");
  request.onsuccess = () => {
    const store = request.result.transaction(["facts", "meta"], "readwrite").objectStore("meta");
    const hold = () => { if (!globalThis.free) store.get(1).onsuccess = hold; resolve(); };
    hold();
  };
})"""


def chromium_options() -> dict[str, Any]:
    """The whole Chromium: the machine's own where there is one, else the one Playwright brings."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    return {"args": ARGUMENTS, **({"executable_path": found} if found else {"channel": "chromium"})}


def shell_options() -> dict[str, Any]:
    """The headless shell, which cannot install an app: the unpacked one, else Playwright's, else the whole Chromium."""
    if SHELL.exists():
        return {"args": ARGUMENTS, "executable_path": SHELL}
    whole = chromium_options()
    return whole if "executable_path" in whole else {"args": ARGUMENTS}


def new_phone(browser: Browser, **options: Any) -> BrowserContext:
    """A small phone of its own; no worker stands on it until a test waits for one (waiting.py), since that costs time.

    The app does without a worker as it does in browsers that have none.
    """
    context = browser.new_context(**{**PHONE, **options})
    context.set_default_timeout(LONGEST_MS)
    context.add_init_script(_WITHOUT_WORKER)
    return context


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """The driver of browsers."""
    with sync_playwright() as driver:
        yield driver


@pytest.fixture(scope="session")
def whole_browser(playwright: Playwright) -> Iterator[Browser]:
    """The whole Chromium, for what a headless shell cannot show."""
    opened = playwright.chromium.launch(**chromium_options())
    yield opened
    opened.close()


@pytest.fixture(scope="session")
def browser(playwright: Playwright, request: pytest.FixtureRequest) -> Iterator[Browser]:
    """One browser for all tests; each has its own profile in it."""
    if request.config.getoption("--all"):
        yield request.getfixturevalue("whole_browser")
        return
    opened = playwright.chromium.launch(**shell_options())
    yield opened
    opened.close()


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory, log_of_servers: str) -> Iterator[Server]:
    """The server that tests share as long as they leave it running."""
    started = Server(tmp_path_factory.mktemp("shared")).start()
    yield started
    started.stop()


@pytest.fixture(scope="session")
def own_port() -> int:
    """Where every server of a test's own listens, so that a phone may stand ready for the next one (ready.py)."""
    return free_port()


@pytest.fixture
def own_server(tmp_path: Path, own_port: int, log_of_servers: str) -> Iterator[Server]:
    """A server that a test may stop and start."""
    started = Server(tmp_path / "data", port=own_port).start()
    yield started
    started.stop()


def now() -> str:
    """The present as facts write it."""
    return text_of(datetime.now(UTC))


def open_book(context: BrowserContext, server: Server, facts: list[Raw]) -> str:
    """Make a book of these facts and give the browser the cookie that opens it; the book's id."""
    with server.directory() as directory:
        book_id = directory.new_book(now())
        token = directory.new_device(book_id, "phone", now())
        with directory.open_book(book_id) as book:
            answer = book.add(facts, None, now())
    assert not answer.refused
    _have(context, server, token)
    return book_id


def open_too(context: BrowserContext, server: Server, book_id: str) -> None:
    """Give another browser a cookie that opens a book."""
    with server.directory() as directory:
        _have(context, server, directory.new_device(book_id, "another phone", now()))


def _have(context: BrowserContext, server: Server, token: str) -> None:
    context.add_cookies([{"name": "book", "value": token, "url": server.url, "httpOnly": True, "sameSite": "Lax",
                          "expires": datetime.now(UTC).timestamp() + 86_400}])  # fmt: skip


def facts_of(server: Server, book_id: str) -> list[Raw]:
    """Every fact the server holds of a book."""
    with server.directory() as directory, directory.open_book(book_id) as book:
        return book.after(0, 10_000)
