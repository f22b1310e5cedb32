"""Practice on the phone: the words of a plan, a planned bucket without signal, a stopped plan, the nine kept back.

Source: the acceptance walk of the project's design (step 7, "three visits" 1); invented data.
"""

from collections.abc import Callable
from itertools import pairwise
from zoneinfo import ZoneInfo

from playwright.sync_api import Locator, Page, expect

from tests.factories import Raw, a_bucket, a_setting, a_shot, corrected, the_demo_set
from webapp.moments import moment_of, moved
from webapp.units import YARD_M

from .chromium import facts_of, now
from .player import Player
from .server import Server
from .waiting import until_all_taken, until_idle

SIX = ("46 9:00", "46 full", "51 9:00", "56 9:00", "56 10:30", "60 9:00")


def test_mixed_calls_come_one_after_the_other_and_leave_the_swings_number_alone(
    meet: Callable[..., Player],
) -> None:
    player = meet(facts=by_monitor())
    page = plan_of(player, 12, "its number to hit")
    page.get_by_role("button", name="Start a bucket with this plan").tap()
    expect(player.patch).to_be_visible()
    player.forget_touches()
    called = []
    for ball in range(12):
        called.append(the_call(page))
        touch_the_number(player, lost=ball == 5)
    assert player.touches == 12
    assert len(player.shots()) == 12
    assert all(one != other for one, other in pairwise(called))
    assert {shot["plan_ref"] for shot in player.shots()} == {str(place) for place in range(1, 13)}
    assert sum(shot["carry_m"] is None for shot in player.shots()) == 1
    player.open("/card")
    expect(page.locator("td.cell[data-trust=guess]")).to_have_count(12)


def test_a_planned_bucket_goes_from_start_to_end_without_signal(
    meet_ready: Callable[..., Player], server: Server
) -> None:
    player = meet_ready(facts=by_monitor())
    player.open()
    player.wait_until_kept()
    page = plan_of(player, 5, "its number to hit")
    player.context.set_offline(True)
    page.reload()
    expect(page.locator("body.scripted")).to_be_attached()
    page.get_by_role("button", name="Start a bucket with this plan").tap()
    expect(player.patch).to_be_visible()
    for _ in range(5):
        touch_the_number(player)
    expect(page.locator("[data-waiting]")).to_have_text("saved on this phone 5")
    player.context.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator("[data-waiting]")).to_have_text("copied")
    kept = facts_of(server, player.book_id)
    bucket = next(fact for fact in kept if fact["kind"] == "bucket")
    shots = [fact["body"] for fact in kept if fact["kind"] == "shot"]
    assert [shot["plan_ref"] for shot in shots] == ["1", "2", "3", "4", "5"]
    for shot, word in zip(shots, bucket["body"]["plan"], strict=True):
        assert f"{shot['club_id']}:{shot['swing_deg']:g}:{shot['mode']}:{shot['meant_carry_m']:.2f}:mixed" == word


def test_a_plan_goes_on_at_the_next_ball_after_the_phone_was_put_away(meet: Callable[..., Player]) -> None:
    player = meet(facts=by_monitor())
    page = plan_of(player, 5, "its number to hit")
    page.get_by_role("button", name="Start a bucket with this plan").tap()
    expect(player.patch).to_be_visible()
    for _ in range(2):
        touch_the_number(player)
    third = the_call(page)
    page.reload()
    expect(player.patch).to_be_visible()
    assert the_call(page) == third
    touch_the_number(player)
    assert [shot["plan_ref"] for shot in player.shots()] == ["1", "2", "3"]


def test_a_plan_goes_on_where_it_was_when_the_signal_goes_in_mid_visit(meet_ready: Callable[..., Player]) -> None:
    """The pages kept for it are older than the balls, which the server has already."""
    player = meet_ready(facts=by_monitor())
    player.open()
    player.wait_until_kept()
    page = plan_of(player, 5, "its number to hit")
    page.get_by_role("button", name="Start a bucket with this plan").tap()
    expect(player.patch).to_be_visible()
    until_all_taken(page, player.book_id)
    until_idle(page)
    for _ in range(3):
        touch_the_number(player)
        player.wait_out_fresh()
    until_all_taken(page, player.book_id)
    fourth, struck = the_call(page), player.shots()
    player.context.set_offline(True)
    page.reload()
    expect(player.patch).to_be_visible()
    assert the_call(page) == fourth
    touch_the_number(player)
    player.wait_out_fresh()
    assert [shot["plan_ref"] for shot in player.shots()] == ["1", "2", "3", "4"]
    assert player.shots()[:3] == struck


def test_the_rest_of_a_stopped_plan_opens_the_next_visit(meet: Callable[..., Player]) -> None:
    facts = the_demo_set(moved(now(), days=-9))
    plan = [f"{fact['root']}:90:swing" for fact in facts[:4]]
    bucket = a_bucket(moved(now(), days=-2), plan=plan)
    struck = a_shot(bucket, facts[0], 80, moved(bucket["made_at"], minutes=1), plan_ref="1")
    ended = corrected(bucket, moved(bucket["made_at"], minutes=9), ended_at=moved(bucket["made_at"], minutes=9))
    player = meet(facts=[*facts, bucket, struck, ended])
    page = open_practice(player)
    expect(page.get_by_text("3 of 4 balls are left")).to_be_visible()
    page.get_by_role("button", name="Go on with the 3").tap()
    expect(player.patch).to_be_visible()
    assert the_call(page).startswith("51 9:00")


def test_the_nine_are_refused_on_the_day_of_practice_though_the_server_has_not_heard_of_it(
    meet_ready: Callable[..., Player],
) -> None:
    player = offline_after_practice(meet_ready)
    page = player.page
    player.open()
    player.start_bucket()
    player.touch(54, "clean")
    player.wait_out_fresh()
    open_practice(player)
    expect(page.locator("#nine-refused")).to_contain_text("less than twelve hours ago")
    key = page.get_by_role("button", name="Start the next-visit nine from ")
    expect(key).to_be_disabled()
    player.page.clock.fast_forward(12 * 60 * 60 * 1000)
    expect(key).to_have_count(0)
    expect(page.get_by_role("button", name="Start the next-visit nine", exact=True)).to_be_enabled()
    expect(page.locator("#nine-refused")).to_be_hidden()


def test_the_rest_of_a_nine_begins_no_bucket_on_the_day_of_its_balls(meet: Callable[..., Player]) -> None:
    facts = the_demo_set(moved(now(), days=-9))
    bucket = a_bucket(moved(now(), hours=-2), plan=[f"{facts[0]['root']}:90:distance:60.00:nine"] * 2)
    struck = a_shot(bucket, facts[0], 80, moved(bucket["made_at"], minutes=1), plan_ref="1")
    ended = corrected(bucket, moved(bucket["made_at"], minutes=9), ended_at=moved(bucket["made_at"], minutes=9))
    player = meet(facts=[*facts, bucket, struck, ended])
    page = open_practice(player)
    page.get_by_role("button", name="Go on with the 1").tap()
    expect(page.locator("#said")).to_contain_text("less than twelve hours ago")
    assert page.url.endswith("/practice")


def test_the_page_says_in_the_players_own_hours_when_the_nine_open(meet: Callable[..., Player]) -> None:
    away = ZoneInfo("Asia/Kolkata")  # no whole hours from UTC
    player = meet(facts=practised(days=0), timezone_id=away.key, locale="en-GB")
    page = open_practice(player)
    line = page.locator("#nine-refused")
    expect(line).to_contain_text("less than twelve hours ago")
    expect(line).not_to_contain_text("UTC")
    struck_at = page.evaluate("JSON.parse(document.getElementById('page-data').textContent).last_struck_at")
    opens = moment_of(moved(struck_at, hours=12)).astimezone(away)
    expect(line).to_contain_text(f"{opens:%H:%M}")


def test_the_nine_open_by_the_servers_clock_where_the_phones_ran_a_day_ahead(meet: Callable[..., Player]) -> None:
    player = meet(facts=practised(days=2), timezone_id="Europe/Lisbon", locale="en-GB")
    player.page.clock.set_system_time(moved(now(), days=1))
    player.open()
    player.start_bucket()
    player.touch(54, "clean")
    player.wait_out_fresh()
    until_all_taken(player.page, player.book_id)
    until_idle(player.page)  # the phone has heard which of its balls a page knows
    player.page.clock.set_system_time(moved(now(), hours=3))
    page = open_practice(player)
    struck_at = page.evaluate("JSON.parse(document.getElementById('page-data').textContent).last_struck_at")
    opens = moment_of(moved(struck_at, hours=12)).astimezone(ZoneInfo("Europe/Lisbon"))
    expect(page.locator("#nine-refused")).to_contain_text(f"{opens:%a} {opens:%H:%M}")


def test_a_ball_that_a_fast_clock_noted_without_signal_counts_as_struck_by_now(
    meet_ready: Callable[..., Player],
) -> None:
    player = offline_after_practice(meet_ready)
    page = player.page
    page.clock.set_system_time(moved(now(), days=1))
    player.open()
    player.start_bucket()
    player.touch(54, "clean")
    player.wait_out_fresh()
    looked_at = now()
    page.clock.set_system_time(looked_at)
    open_practice(player)
    expect(page.locator("#nine-refused")).to_contain_text("less than twelve hours ago")
    zone = ZoneInfo(page.evaluate("Intl.DateTimeFormat().resolvedOptions().timeZone"))
    opens = [moment_of(moved(at, hours=12)).astimezone(zone) for at in (looked_at, now())]
    shown = page.locator("#nine-refused").inner_text()
    assert any(f"{at:%a} {at:%H:%M}" in shown or f"{at:%a}, {at:%H:%M}" in shown for at in opens), shown


def test_the_wait_for_the_nine_is_no_longer_than_a_timer_can_be(meet: Callable[..., Player]) -> None:
    """A timer of more than 2**31 - 1 ms ends at once: in the HTML Standard its delay is a long."""
    player = meet(facts=practised(days=0))
    player.page.clock.set_system_time(moved(now(), days=-40))
    player.page.add_init_script(
        """const begin = setTimeout;
        globalThis.longest = 0;
        globalThis.setTimeout = (what, ms = 0, ...told) => {
          globalThis.longest = Math.max(globalThis.longest, ms);
          return begin(what, ms, ...told);
        };"""
    )
    player.open("/practice")
    expect(player.page.locator("#nine-refused")).to_contain_text("less than twelve hours ago")
    assert player.page.evaluate("longest") == 2**31 - 1


def test_the_nine_open_a_later_visit(meet: Callable[..., Player]) -> None:
    player = meet(facts=practised(days=2))
    page = open_practice(player)
    page.get_by_role("button", name="Start the next-visit nine").tap()
    expect(player.patch).to_be_visible()
    expect(page.locator("#why .mode")).to_contain_text("hit the number")


def test_the_plan_for_another_number_of_balls_shows_without_the_server(player: Player) -> None:
    page = open_practice(player)
    player.context.set_offline(True)
    page.get_by_role("radio", name="60", exact=True).check()
    expect(page.get_by_role("region", name="the plan for 60 balls")).to_be_visible()
    expect(page.get_by_role("region", name="the plan for 40 balls")).to_be_hidden()


def by_monitor() -> list[Raw]:
    """The demo set of a player whose carries are usually judged to the yard."""
    return [*the_demo_set(now()), a_setting("judged_by", "monitor", now())]


def practised(days: float) -> list[Raw]:
    """A book with one visit of three balls, the last of them struck so long ago."""
    facts = the_demo_set(moved(now(), days=-days - 1))
    bucket = a_bucket(moved(now(), days=-days, minutes=-2))
    return [*facts, bucket, *(a_shot(bucket, facts[2], 60, moved(bucket["made_at"], minutes=at)) for at in range(3))]


def offline_after_practice(meet_ready: Callable[..., Player]) -> Player:
    """A player who practised two days ago, on the practice page of a phone that lost its signal."""
    player = meet_ready(facts=practised(days=2))
    player.open()
    player.wait_until_kept()
    open_practice(player)
    player.context.set_offline(True)
    return player


def open_practice(player: Player, query: str = "") -> Page:
    player.open(f"/practice{query}")
    return player.page


def plan_of(player: Player, balls: int, kind: str) -> Page:
    """Ask for mixed balls alone, from six cells, called in one way."""
    page = open_practice(player)
    page.get_by_text("Choose what is mixed, and how many").tap()
    form = page.locator("form[method=get]")
    form.get_by_label("balls", exact=True).fill(str(balls))
    for box in form.locator("[name=cell]").all():
        box.set_checked(name_of(box) in SIX)
    for box in form.locator("[name=kind]").all():
        box.set_checked(name_of(box) == kind)
    form.get_by_text("mixed calls only").tap()
    form.get_by_role("button", name="Make this plan").tap()
    expect(page.get_by_role("region", name=f"the plan for {balls} balls")).to_be_visible()
    expect(page.locator("body.scripted")).to_be_attached()
    return page


def name_of(box: Locator) -> str:
    return str(box.evaluate("(input) => input.closest('label').innerText.trim()"))


def the_call(page: Page) -> str:
    """The call as it stands at the top: "56 9:00 54"."""
    parts = (page.locator(f"#call {part}").text_content() for part in (".club-name", ".swing-name", ".meant-number"))
    return " ".join(part or "" for part in parts)


def touch_the_number(player: Player, lost: bool = False) -> None:
    """Note a ball where it was meant to land, and wait until the next call may be moved on to."""
    if lost:
        player.button("lost sight").tap()
        player.settled()
    else:
        player.touch(int(the_call(player.page).split()[-1]), "clean")
    player.wait_out_fresh()
    shot = player.shots()[-1]
    assert shot["carry_m"] is None or abs(shot["carry_m"] - shot["meant_carry_m"]) < YARD_M
