"""What fault tests share: the browser and servers of the browser tests, and a phone behind a bad line.

Knows no fault; those are in proxy.py.
"""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from tests.browser.chromium import new_phone, now, open_book
from tests.browser.server import Server
from tests.factories import the_demo_set

from .phone import Phone
from .proxy import Proxy


@pytest.fixture(scope="session")
def proxy(server: Server) -> Iterator[Proxy]:
    """The bad line to the shared server."""
    opened = Proxy(server.port)
    yield opened
    opened.close()


@pytest.fixture(scope="module")
def phone(browser: Browser, server: Server, proxy: Proxy) -> Iterator[Phone]:
    """A phone with the demo set whose every request goes over the bad line."""
    context = new_phone(browser)
    book_id = open_book(context, server, the_demo_set(now()))  # cookies know no port
    yield Phone(context, proxy.url, book_id)
    context.close()
