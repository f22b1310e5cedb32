"""Sheets over the ground open at their top, where their question and the names of the wedges stand.

Source: the touch rules of the project's design: the screen says what a touch does.
"""

from collections.abc import Callable

import pytest
from playwright.sync_api import Locator, expect

from .player import Player


def next_call(hitting: Player) -> Locator:
    """The swing table, for the next ball."""
    hitting.button("next call").tap()
    expect(hitting.page.get_by_role("heading", name="Next call")).to_be_visible()
    return hitting.page.locator("#swings")


def wrong_call(hitting: Player) -> Locator:
    """The swing table, for balls that were noted under the wrong call."""
    hitting.page.get_by_role("button", name="the call, ").tap()
    expect(hitting.page.get_by_role("heading", name="Which was it really?")).to_be_visible()
    return hitting.page.locator("#swings")


def more(hitting: Player) -> Locator:
    """What holds for the bucket."""
    hitting.button("More").tap()
    return hitting.page.locator("#more")


@pytest.mark.parametrize("opened", [next_call, wrong_call, more])
def test_a_sheet_that_was_scrolled_opens_at_its_top_again(hitting: Player, opened: Callable[[Player], Locator]) -> None:
    sheet = opened(hitting)
    assert sheet.evaluate("(sheet) => { sheet.scrollTop = 9999; return sheet.scrollTop; }") > 0
    hitting.page.keyboard.press("Escape")
    expect(sheet).to_be_hidden()
    opened(hitting)
    assert sheet.evaluate("(sheet) => sheet.scrollTop") == 0
