"""The eye check on the phone with and without signal: pairs are saved, told in a sentence, and copied once."""

from collections.abc import Callable

import pytest
from playwright.sync_api import expect

from webapp.units import YARD_M

from .chromium import facts_of
from .player import Player
from .server import Server
from .test_signal import cut_by_a_stopped_server, cut_by_the_switch
from .waiting import until_all_taken, until_kept, until_kept_with, until_worker_stands

SAID = (55, 62, 40, 71, 48, 80, 53, 66, 45, 58)
MEASURED = (52, 58, 38, 67, 45, 75, 50, 62, 42, 55)


def check_ten(player: Player, left_out: int = 0) -> None:
    """Say ten distances, measure them but for the last few, and keep the pairs."""
    page = player.page
    for at, yards in enumerate(SAID, 1):
        page.locator(f"#said_{at}").fill(str(yards))
    page.get_by_role("button", name="Now measure them").tap()
    for at, yards in enumerate(MEASURED[: len(MEASURED) - left_out], 1):
        page.get_by_label(f"ball {at}, said {SAID[at - 1]}: measured").fill(str(yards))
    page.get_by_role("button", name="Keep these pairs").tap()


@pytest.mark.parametrize("cut", [cut_by_the_switch, cut_by_a_stopped_server])
def test_ten_balls_are_checked_without_signal_and_copied_once(
    meet: Callable[..., Player], own_server: Server, cut: Callable[[Player, Server], None]
) -> None:
    player = meet(at=own_server)
    player.open("/eye-check")
    until_worker_stands(player.page)
    player.page.reload()
    until_kept(player.page, "/eye-check")
    cut(player, own_server)
    player.open("/eye-check")
    check_ten(player)
    expect(player.page.locator("#said")).to_have_text("10 of 10 saved on this phone.")
    finding = player.page.locator("#finding")
    expect(finding).to_have_text("You see 57 where it is 53, give or take 1 (10 balls).")
    player.page.reload()
    expect(finding).to_have_text("You see 57 where it is 53, give or take 1 (10 balls).")

    if own_server.process is None:
        own_server.start()
    player.context.set_offline(False)
    player.page.reload()
    until_all_taken(player.page, player.book_id)
    pairs = [fact["body"] for fact in facts_of(own_server, player.book_id) if fact["kind"] == "eye_check"]
    assert [(round(pair["said_m"] / YARD_M), round(pair["measured_m"] / YARD_M)) for pair in pairs] == list(
        zip(SAID, MEASURED, strict=True)
    )
    player.page.reload()  # a server that is silent for a while leaves the page of before on show
    until_kept_with(player.page, "/eye-check", "Checked so far")
    player.page.reload()
    expect(player.page.get_by_role("heading", name="Checked so far 10")).to_be_visible()
    expect(finding).to_have_text("You see 57 where it is 53, give or take 1 (10 balls).")
    assert player.faults == []


def test_what_was_not_measured_or_is_no_distance_is_said_and_nothing_is_lost(meet: Callable[..., Player]) -> None:
    player = meet()
    player.open("/eye-check")
    player.page.get_by_role("button", name="Now measure them").tap()
    expect(player.page.locator("#said")).to_have_text("Say at least one distance first. Nothing was kept.")
    player.page.locator("#said_1").fill("900")
    player.page.get_by_role("button", name="Now measure them").tap()
    expect(player.page.locator("#said")).to_have_text("A distance must be from 2 to 400 yards. Nothing was kept.")
    expect(player.page.locator("#said_1")).to_have_value("900")
    check_ten(player, left_out=6)
    expect(player.page.locator("#said")).to_have_text("4 of 10 saved on this phone; the others were not measured.")
    assert player.faults == []


def test_paces_are_as_long_as_was_stated(meet: Callable[..., Player], server: Server) -> None:
    player = meet()
    player.open("/eye-check")
    player.page.locator("#said_1").fill("55")
    player.page.get_by_role("button", name="Now measure them").tap()
    player.page.locator("#far_1").fill("60")
    player.page.get_by_role("radio", name="by paces").tap()
    player.page.locator("#pace").fill("9")
    player.page.get_by_role("button", name="Keep these pairs").tap()
    expect(player.page.locator("#said")).to_have_text("A pace is a number from 0.4 to 1.6. Nothing was kept.")
    player.page.locator("#pace").fill("0.9")
    player.page.get_by_role("button", name="Keep these pairs").tap()
    expect(player.page.locator("#said")).to_have_text("1 of 1 saved on this phone.")
    until_all_taken(player.page, player.book_id)
    (pair,) = (fact["body"] for fact in facts_of(server, player.book_id) if fact["kind"] == "eye_check")
    assert (round(pair["measured_m"] / YARD_M, 6), pair["by"]) == (54, "paces")
    assert player.faults == []


def test_a_player_who_judges_by_eye_finds_the_check_in_the_bucket(meet: Callable[..., Player]) -> None:
    player = meet()
    player.open()
    player.start_bucket(judged_by="by eye")
    until_all_taken(player.page, player.book_id)
    player.page.reload()
    player.button("More").tap()
    player.page.get_by_role("link", name="Check your eye").tap()
    expect(player.page.get_by_role("heading", name="Check your eye")).to_be_visible()
    assert player.faults == []
