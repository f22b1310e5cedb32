"""Nothing a phone calls saved is lost when its store fails or the program is updated; at length: phone_counts.py."""

from pathlib import Path

from playwright.sync_api import Browser

from tests.browser.server import Server

from .phone_counts import WAITING, Count, count
from .proxy import lose_the_answer


def test_no_fault_of_the_store_nor_an_update_loses_or_doubles_a_fact(
    browser: Browser, own_server: Server, tmp_path: Path
) -> None:
    assert list(count(browser, own_server, 1, tmp_path / "program", (lose_the_answer,))) == [
        Count("line: lose_the_answer", 1, 1, 0, 0),
        Count("store: held by another page", 1, 1, 0, 0),
        Count("store: closed by the browser", 1, 1, 0, 0),
        Count("store: full", 1, WAITING, 0, 0),
        Count("program: a newer one with facts waiting", 1, 1, 0, 0),
    ]
