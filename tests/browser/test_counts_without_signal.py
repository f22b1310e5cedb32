"""Without signal only balls that the server would count move a number of the card; the bucket's end says which moved.

Source: rules of the project's own design; which balls count is asked with shared cases in tests/vectors/counts.
"""

from playwright.sync_api import Page, expect

from .card_pages import in_table, open_card
from .player import Player
from .waiting import until_kept


def kept_and_offline(player: Player) -> dict[str, str]:
    """Let the phone keep its pages, go out of signal, and say what the card says of the 56."""
    player.open()
    player.wait_until_kept()
    until_kept(player.page, "/round")
    before = the_56(open_card(player))
    player.open()
    player.context.set_offline(True)
    return before


def the_56(page: Page) -> dict[str, str]:
    return {swing: in_table(page, "56", swing).inner_text() for swing in ("7:30", "9:00", "10:30", "full")}


def test_balls_hit_to_a_number_move_nothing_and_say_nothing(player: Player) -> None:
    before = kept_and_offline(player)
    player.start_bucket()
    player.call("56", "9:00", 54)
    player.page.locator("#truth").tap()
    expect(player.page.locator("#truth")).to_have_text("skill only, not the card")
    for _ in range(2):
        player.tap_patch(0.5, 0.3)
        player.wait_out_fresh()
    page = open_card(player)
    expect(page.locator("[data-moved]")).to_be_hidden()
    assert the_56(page) == before


def test_under_card_only_nothing_moves_at_all(player: Player) -> None:
    before = kept_and_offline(player)
    player.open("/round")
    player.page.get_by_role("button", name="Card only", exact=True).tap()
    player.open()
    player.start_bucket()
    player.call("56", "9:00", 54)
    expect(player.page.locator("#truth")).to_have_text("course note – not counted")
    for _ in range(3):
        player.tap_patch(0.5, 0.3)
        player.wait_out_fresh()
    page = open_card(player)
    expect(page.locator("[data-moved]")).to_be_hidden()
    assert the_56(page) == before
    player.open()
    player.button("More").tap()
    player.button("End the bucket").tap()
    expect(player.page.locator("#end-words")).to_contain_text("none counts for the card")
    expect(player.page.locator("#end-words")).not_to_contain_text("is now")


def test_the_end_names_a_number_that_moved_as_the_card_shows_it(player: Player) -> None:
    kept_and_offline(player)
    player.start_bucket()
    player.call("56", "9:00", 54)
    for carry in (52, 55, 49, 54):
        player.touch(carry, "clean")
        player.wait_out_fresh()
    now = in_table(open_card(player), "56", "9:00").locator("[data-part=carry]").inner_text()
    player.open()
    player.button("More").tap()
    player.button("End the bucket").tap()
    expect(player.page.locator("#end-words p").last).to_contain_text(f"56 9:00 is now {now}, early (it was ")
