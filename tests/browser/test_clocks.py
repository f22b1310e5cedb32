"""A phone whose clock is put right or wrong by years: no ball waits, moves or is asked about because of it.

Source: the project's own design; that clocks of phones are set by hand now and then is common practice, no source.
"""

from datetime import UTC, datetime, timedelta

import pytest
from playwright.sync_api import expect

from .chromium import facts_of
from .player import Player
from .server import Server
from .test_bucket_looks import hold_the_offer
from .waiting import until_all_taken


def test_a_clock_set_back_years_does_not_hold_a_ball_back(player: Player, server: Server) -> None:
    player.open()
    player.start_bucket()
    player.touch(80, "clean")
    player.page.clock.set_system_time("2001-01-01T09:00:00Z")
    expect(player.page.locator("#said")).to_contain_text("saved on this phone")
    player.page.evaluate("dispatchEvent(new Event('online'))")
    until_all_taken(player.page, player.book_id)
    expect(player.page.locator("[data-waiting]")).to_have_text("copied")
    assert len([fact for fact in facts_of(server, player.book_id) if fact["kind"] == "shot"]) == 1


@pytest.fixture
def asked(player: Player) -> Player:
    """A player who is asked about the tenth ball, which is on the server."""
    player.open()
    player.start_bucket()
    for _ in range(10):
        player.tap_patch(0.5, 0.5)
        player.wait_out_fresh()
    hold_the_offer(player)  # the question does not wait for a slow server
    until_all_taken(player.page, player.book_id)
    expect(player.page.locator("#strip")).to_contain_text("that swing:")
    return player


def test_a_clock_set_back_years_keeps_no_question_and_moves_no_ball(asked: Player, server: Server) -> None:
    asked.page.clock.set_system_time("2001-01-01T09:00:00Z")
    asked.wait_out_questions()
    asked.tap_patch(0.5, 0.4)
    expect(asked.page.locator("#count")).to_have_text("11 balls")
    asked.wait_out_fresh()
    asked.tap_patch(0.5, 0.6)
    expect(asked.page.locator("#count")).to_have_text("12 balls")
    asked.wait_out_questions()
    until_all_taken(asked.page, asked.book_id)
    held = [fact for fact in facts_of(server, asked.book_id) if fact["kind"] == "shot"]
    assert len(held) == len({fact["root"] for fact in held}) == 12
    assert asked.faults == []


def test_a_clock_set_back_under_a_fresh_ball_makes_the_next_touch_a_ball_of_its_own(player: Player) -> None:
    player.open()
    player.start_bucket()
    player.tap_patch(0.5, 0.5)
    player.page.clock.set_system_time("2001-01-01T09:00:00Z")
    player.tap_patch(0.5, 0.4)
    expect(player.page.locator("#count")).to_have_text("2 balls")
    first, second = player.shots()
    assert first["carry_m"] < second["carry_m"]


def test_a_clock_put_right_by_years_ends_the_question_and_keeps_every_ball(asked: Player, server: Server) -> None:
    asked.page.clock.set_system_time("2041-01-01T09:00:00Z")
    asked.page.clock.fast_forward(10_100)
    expect(asked.page.locator("#strip")).to_be_hidden()
    assert len(asked.shots()) == 10
    asked.page.reload()
    expect(asked.page.get_by_role("heading", name="Start a bucket")).to_be_visible()
    held = [fact for fact in facts_of(server, asked.book_id) if fact["kind"] == "shot"]
    assert len({fact["root"] for fact in held}) == 10


def test_a_clock_that_is_behind_is_told_of_before_the_next_ball(player: Player) -> None:
    player.page.clock.set_system_time(datetime.now(UTC) - timedelta(days=800))
    player.open()
    said = player.page.get_by_text("balls are filed under what it says. Set it right before the next ball.")
    expect(said).to_contain_text(f"{datetime.now(UTC) - timedelta(days=800):%Y}")
    player.page.clock.set_system_time(datetime.now(UTC))
    player.page.evaluate("dispatchEvent(new Event('online'))")
    expect(said).to_have_count(0)


@pytest.mark.parametrize("off", [timedelta(minutes=-10), timedelta(days=800)], ids=["little behind", "ahead"])
def test_a_clock_that_files_no_ball_wrongly_is_not_spoken_of(player: Player, off: timedelta) -> None:
    player.page.clock.set_system_time(datetime.now(UTC) + off)
    player.open()
    player.start_bucket()
    player.touch(80, "clean")
    player.wait_out_fresh()
    expect(player.page.locator("[data-waiting]")).to_have_text("copied")
    expect(player.page.locator("#notices")).to_be_hidden()
