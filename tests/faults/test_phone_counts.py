"""Nothing a phone calls saved is lost when its store is full or another page holds it; at length: phone_counts.py."""

from playwright.sync_api import Browser

from tests.browser.server import Server

from .phone_counts import WAITING, Count, count
from .proxy import lose_the_answer


def test_a_full_or_held_store_and_a_lost_answer_lose_and_double_nothing(browser: Browser, server: Server) -> None:
    assert list(count(browser, server, 1, (lose_the_answer,))) == [
        Count("line: lose_the_answer", 1, 1, 0, 0),
        Count("store: held by another page", 1, 1, 0, 0),
        Count("store: full", 1, WAITING, 0, 0),
    ]
