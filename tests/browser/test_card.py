"""The card in the hand: its words of trust, numbers moving without signal, both hands, units.

Source: the worked examples (invented data).
"""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Browser, expect

from tests.factories import F1, a_setting, the_demo_set
from webapp.books.demo import demo_facts

from .card_pages import choose, in_table, number, open_card
from .chromium import new_phone, now
from .player import Player
from .server import Server
from .waiting import until_all_taken


def test_every_word_of_trust_is_on_the_card(every_trust: Player) -> None:
    page = open_card(every_trust)
    words = {swing: in_table(page, "56", swing).get_attribute("data-trust") for swing in ("7:30", "9:00", "10:30")}
    assert words == {"7:30": "early", "9:00": "settled", "10:30": "old"}
    assert in_table(page, "46", "full").get_attribute("data-trust") == "told"
    assert in_table(page, "46", "9:00").get_attribute("data-trust") == "guess"


def test_touching_a_number_fills_the_strip_that_opens_the_shots_behind_it(every_trust: Player) -> None:
    page = open_card(every_trust)
    answer = page.locator(".answer").filter(visible=True)
    page.locator(".dial a", has=page.locator("[data-trust=early]")).first.tap()
    expect(answer).to_contain_text("42")
    expect(page.locator(".dial .arm.chosen")).to_have_attribute("data-swing", "45")
    page.locator(".dial a", has=page.locator("[data-trust=settled]")).first.tap()
    expect(answer).to_have_count(1)
    expect(answer).to_contain_text("20 balls in 4 visits")
    answer.tap()
    expect(page.get_by_role("heading", name="56 9:00")).to_be_visible()
    expect(page.locator(".big .number")).to_have_text("62")
    expect(page.get_by_text("20 balls in 4 visits").first).to_be_visible()


def test_the_first_card_shows_the_number_that_its_strip_speaks_of(player: Player) -> None:
    page = open_card(player)
    answer, chosen = page.locator(".answer").filter(visible=True), page.locator(".dial .cell.chosen")
    expect(answer).to_contain_text("112")
    boxes = [one.bounding_box() for one in (chosen, answer)]
    assert boxes[0]
    assert boxes[1]
    assert boxes[0]["y"] + boxes[0]["height"] < boxes[1]["y"]


@pytest.mark.parametrize("hand", ["right", "left"])
def test_every_number_of_the_dial_can_be_touched_without_its_neighbour(meet: Callable[..., Player], hand: str) -> None:
    page = open_card(meet(facts=[*the_demo_set(now()), a_setting("hand", hand, now())]))
    spots = page.locator(".dial a .touch").evaluate_all(
        "all => all.map((one) => { const box = one.getBoundingClientRect();"
        " return [box.x + box.width / 2, box.y + box.height / 2, box.width]; })"
    )
    assert len(spots) == 16
    for place, (x, y, width) in enumerate(spots):
        assert width >= 48
        for other_x, other_y, _ in spots[place + 1 :]:
            assert ((x - other_x) ** 2 + (y - other_y) ** 2) ** 0.5 >= width


def test_both_hands_read_the_same_numbers_and_upright_text(meet: Callable[..., Player]) -> None:
    right = meet()
    left = meet(facts=[*the_demo_set(now()), a_setting("hand", "left", now())])
    seen = {}
    for name, player in (("right", right), ("left", left)):
        page = open_card(player)
        seen[name] = [cell.inner_text() for cell in page.locator(".swing-table td [data-part=carry]").all()]
        turned = page.locator(".dial text").evaluate_all("all => all.filter((one) => one.getCTM().a <= 0).length")
        assert turned == 0
    assert seen["left"] == seen["right"]
    expect(left.page.locator(".dial .swing-name", has_text="3:00")).to_be_visible()
    hub = left.page.locator(".dial > circle").bounding_box()
    outermost = left.page.locator(".dial .swing-name", has_text="3:00").bounding_box()
    assert hub
    assert outermost
    assert outermost["x"] > hub["x"]


def test_ten_balls_move_the_card_without_signal(meet_ready: Callable[..., Player]) -> None:
    player = meet_ready()
    player.open()
    player.wait_until_kept()
    before = number(in_table(open_card(player), "56", "9:00"))
    player.open()
    player.context.set_offline(True)
    player.start_bucket()
    player.call("56", "9:00", 54)
    for carry, contact in F1:
        player.touch(carry, contact)
        player.wait_out_fresh()
    page = open_card(player)
    cell = in_table(page, "56", "9:00")
    expect(cell).to_have_attribute("data-trust", "early")
    expect(cell.locator("[data-part=n]")).to_have_text("10")
    expect(cell.locator("[data-part=visits]")).to_have_text("1")
    strip = page.locator(f'.answer[data-cell="{cell.get_attribute("data-cell")}"]')
    expect(strip.locator("[data-part=rests]")).to_have_text("10 balls in 1 visit")
    expect(strip.locator("[data-part=range]")).to_have_attribute("hidden", "")
    expect(page.locator("[data-moved]")).to_contain_text("10 balls since then")
    offline = number(cell)
    assert 53 <= offline < before
    assert page.locator(".dial .cell[data-trust=early] [data-part=carry]").text_content() == str(offline)
    assert in_table(page, "56", "7:30").get_attribute("data-trust") == "guess"


def test_a_ball_set_aside_without_signal_gives_the_number_back(meet_ready: Callable[..., Player]) -> None:
    player = meet_ready()
    player.open()
    player.wait_until_kept()
    before = number(in_table(open_card(player), "56", "9:00"))
    player.open()
    player.context.set_offline(True)
    player.start_bucket()
    player.call("56", "9:00", 54)
    player.touch(44, "clean")
    player.wait_out_fresh()
    cell = in_table(open_card(player), "56", "9:00")
    expect(cell).to_have_attribute("data-trust", "early")
    assert number(cell) < before
    player.open()
    player.ball().tap()
    player.button("set aside").tap()
    player.settled()
    cell = in_table(open_card(player), "56", "9:00")
    expect(cell).to_have_attribute("data-trust", "guess")
    expect(cell.locator("[data-part=carry]")).to_have_text(str(before))


def test_the_server_and_the_phone_agree_on_the_number(meet_ready: Callable[..., Player]) -> None:
    player = meet_ready()
    player.open()
    player.wait_until_kept()
    open_card(player)
    player.open()
    player.context.set_offline(True)
    player.start_bucket()
    player.call("56", "9:00", 54)
    for carry, contact in F1[:3]:
        player.touch(carry, contact)
        player.wait_out_fresh()
    cell = in_table(open_card(player), "56", "9:00")
    expect(cell).to_have_attribute("data-trust", "early")
    offline = number(cell)
    player.context.set_offline(False)
    player.open()
    until_all_taken(player.page, player.book_id)
    # Asked past the worker, so that this is the server's own page and not one kept on the phone.
    answer = player.context.request.get(f"{player.url}/card").text()
    (online,) = re.findall(r'<td class="cell"[^>]*:90" data-trust="early">.*?data-m="[^"]+">(\d+)<', answer, re.DOTALL)
    # The design allows the one-cell rule 1 yd in nine cases of ten.
    assert abs(int(online) - offline) <= 1


def test_metres_change_numbers_and_ticks_at_once(player: Player) -> None:
    page = open_card(player)
    player.context.set_offline(True)
    page.get_by_text("What the marks mean").tap()
    page.get_by_role("radio", name="metres").check()
    expect(in_table(page, "46", "full").locator("[data-part=carry]")).to_have_text("102")
    assert "metres · range balls" in page.locator("svg.dial").first.text_content()  # what is read with the numbers
    choose(page, "Yard pole")
    ticks = page.locator(".yard-pole").first.locator("[data-ticks]")
    assert [ticks.nth(place).is_visible() for place in range(2)] == [False, True]


def test_the_aim_is_told_with_its_unit_whatever_it_is(meet: Callable[..., Player]) -> None:
    page = open_card(meet(facts=demo_facts(now())))
    aim = page.locator(".sentences a", has_text="Aim:")
    expect(aim).to_have_text(re.compile(r"^Aim: (short|long) by \d+ yd from"))
    page.get_by_text("What the marks mean").tap()
    page.get_by_role("radio", name="metres").check()
    expect(aim).to_have_text(re.compile(r"^Aim: (short|long) by \d+ m from"))


def test_a_new_book_leads_from_its_first_card_to_the_first_bucket(meet: Callable[..., Player]) -> None:
    page = open_card(meet())
    expect(page.get_by_text("No ball yet: dashed numbers are guesses.")).to_be_visible()
    page.get_by_role("link", name="Start a bucket").tap()
    expect(page.get_by_role("heading", name="Start a bucket")).to_be_visible()


def test_a_card_with_balls_no_longer_leads_to_the_first_one(every_trust: Player) -> None:
    expect(open_card(every_trust).get_by_text("No ball yet: dashed")).to_have_count(0)


def test_the_first_page_names_the_unit_of_the_carry_it_asks_for(browser: Browser, server: Server) -> None:
    context = new_phone(browser)
    page = context.new_page()
    page.goto(server.url)
    beside = page.locator("#unit-name")
    expect(beside).to_have_text("yards")
    page.get_by_role("radio", name="metres").check()
    expect(beside).to_have_text("metres")
    context.close()


def test_what_waits_stands_beside_its_button_above_the_card(meet_ready: Callable[..., Player]) -> None:
    player = meet_ready()
    player.open()
    player.wait_until_kept()
    player.context.set_offline(True)
    player.start_bucket()
    player.tap_patch(0.5, 0.5)
    page = open_card(player)
    notices = page.locator("#notices")
    words, button = notices.get_by_text("1 waiting").bounding_box(), notices.get_by_role("button").bounding_box()
    assert words
    assert button
    assert button["x"] >= words["x"] + words["width"]
    assert abs(button["y"] + button["height"] / 2 - words["y"] - words["height"] / 2) < 2
