"""A phone whose clock is put right or wrong by years: no ball waits, moves or is asked about because of it. And one far
from UTC: today is the day that it shows.

Source: the project's own design; that clocks of phones are set by hand now and then is common practice, no source.
"""

import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from urllib.parse import unquote
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import expect

from webapp.days import day

from .chromium import facts_of
from .player import Player
from .server import Server
from .test_bucket_looks import hold_the_offer
from .waiting import until_all_taken, until_kept_with


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


_COUNT_WRITES = """
const { get, set } = Object.getOwnPropertyDescriptor(Document.prototype, "cookie");
Object.defineProperty(document, "cookie", { get, set(text) {
  if (text.startsWith("phone=")) sessionStorage.writes = Number(sessionStorage.writes ?? 0) + 1;
  set.call(document, text);
} });
"""


def noon_and_another_day(at: datetime) -> tuple[ZoneInfo, ZoneInfo]:
    """A zone where it is noon at a moment of UTC, and one 14 hours off, of another day: midnight is near in neither."""
    noon = 12 - at.hour
    away = noon + 14 if noon <= 0 else noon - 14
    return ZoneInfo(f"Etc/GMT{-noon:+d}"), ZoneInfo(f"Etc/GMT{-away:+d}")  # their names count to the west


def day_in(zone: ZoneInfo, at: datetime) -> str:
    return day(at.astimezone(zone).date().isoformat())


def told(player: Player) -> dict[str, object]:
    """What the phone's own cookie tells the server."""
    (cookie,) = (cookie for cookie in player.context.cookies() if cookie["name"] == "phone")
    return dict(json.loads(unquote(cookie["value"])))


def test_pages_of_the_server_tell_the_day_that_the_phone_shows(meet: Callable[..., Player]) -> None:
    at = datetime.now(UTC)
    noon, away = noon_and_another_day(at)
    player = meet(timezone_id=away.key)
    player.page.add_init_script(_COUNT_WRITES)
    player.open()
    there, here = day_in(away, at), day_in(noon, at)
    for path in ("/print", "/trends/year"):
        player.open(path)
        assert there in player.page.content()
        assert here not in player.page.content()
    assert player.page.evaluate("sessionStorage.writes") == "1"


def test_a_phone_on_a_trip_keeps_its_pages_anew_and_all_it_prefers(meet_ready: Callable[..., Player]) -> None:
    player, at = meet_ready(), datetime.now(UTC)
    noon, away = noon_and_another_day(at)
    session = player.context.new_cdp_session(player.page)
    session.send("Emulation.setTimezoneOverride", {"timezoneId": noon.key})
    player.open("/settings")
    player.page.evaluate("""async () => {
      const base = document.querySelector("script[type=module]").src;
      await (await (await import(base)).take("ui/preferences.js")).prefer({ unit: "m" });
    }""")
    player.open()
    until_kept_with(player.page, "/yardage", day_in(noon, at))
    session.send("Emulation.setTimezoneOverride", {"timezoneId": away.key})
    player.open()
    until_kept_with(player.page, "/yardage", day_in(away, at))
    ahead = at.astimezone(away).utcoffset()
    assert ahead is not None
    assert told(player) == {"unit": "m", "ahead_min": ahead / timedelta(minutes=1)}
