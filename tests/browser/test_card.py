"""The card in the hand: trust seen without colour, numbers moving without signal, both hands, units, large type.

Sources: the worked examples (invented data) and the trust marks of the project's design.
"""

import re
from collections.abc import Callable, Iterator
from io import BytesIO
from typing import Any

import pytest
from PIL import Image, ImageChops
from playwright.sync_api import Browser, Locator, Page, expect

from tests.factories import F1, Raw, a_bucket, a_setting, a_shot, the_demo_set
from webapp.moments import moved

from .chromium import LARGER_PHONE, PHONE, now
from .conftest import as_before, expect_axe_finds_nothing
from .player import Player
from .server import Server
from .waiting import until_all_taken

WORDS = ("settled", "early", "told", "guess", "old")
VIEWS = ("Dial", "Yard pole", "Table")


def book_of_every_trust() -> list[Raw]:
    """A 56 that is settled at 9:00, early at 7:30 and old at 10:30; the rest are guesses or told."""
    present = now()
    facts = the_demo_set(moved(present, days=-200))
    club = next(fact["root"] for fact in facts if fact["kind"] == "club" and fact["body"]["name"] == "56")
    for visit in range(4):
        bucket = a_bucket(moved(present, days=-3 * (visit + 1)))
        facts.append(bucket)
        facts += [ball(bucket, club, 61 + place % 3, place) for place in range(5)]
    bucket = a_bucket(moved(present, days=-2))
    facts += [bucket, *(ball(bucket, club, 42, place, swing_deg=45.0) for place in range(3))]
    for visit in range(3):
        bucket = a_bucket(moved(present, days=-100 - visit))
        facts.append(bucket)
        facts += [ball(bucket, club, 73, place, swing_deg=135.0) for place in range(4)]
    return facts


@pytest.fixture(scope="module")
def kept_phone(meet_for_all: Callable[..., Player]) -> Player:
    """The phone of every test that only looks at the book of every trust."""
    return meet_for_all(facts=book_of_every_trust())


@pytest.fixture
def every_trust(kept_phone: Player) -> Player:
    """A player with each word of trust on the card."""
    return as_before(kept_phone)


def ball(bucket: Raw, club: str, carry_yd: float, place: int, **more: Any) -> Raw:
    return a_shot(bucket, club, carry_yd, moved(bucket["made_at"], minutes=place), **more)


def open_card(player: Player, path: str = "/card") -> Page:
    player.page.goto(player.url + path)
    expect(player.page.locator("svg.dial").first).to_be_visible()
    return player.page


def choose(page: Page, view: str) -> None:
    """Turn to another view of the card: one of VIEWS."""
    page.get_by_role("radio", name=view).check()


def each_view_unfolded(page: Page, views: tuple[str, ...]) -> Iterator[None]:
    """Stop at each of these views, or at the page itself when it has none, with all that can be seen unfolded."""
    for view in views or (None,):
        if view:
            choose(page, view)
        folded = page.locator("details:not([open]) > summary").filter(visible=True)
        while folded.count():
            folded.first.tap()
        yield


def in_table(page: Page, club: str, swing: str) -> Locator:
    """A cell of the swing table, found as one reads it: its swing's row, its wedge's column."""
    heads = page.locator(".swing-table thead th").all_text_contents()
    column = next(place for place, head in enumerate(heads) if head.split()[0] == club)
    return page.locator(".swing-table tbody tr", has=page.locator("th", has_text=swing)).locator("td").nth(column)


def number(cell: Locator) -> int:
    return int(cell.locator("[data-part=carry]").inner_text())


def test_every_word_of_trust_is_on_the_card(every_trust: Player) -> None:
    page = open_card(every_trust)
    words = {swing: in_table(page, "56", swing).get_attribute("data-trust") for swing in ("7:30", "9:00", "10:30")}
    assert words == {"7:30": "early", "9:00": "settled", "10:30": "old"}
    assert in_table(page, "46", "full").get_attribute("data-trust") == "told"
    assert in_table(page, "46", "9:00").get_attribute("data-trust") == "guess"


def test_the_dial_marks_each_word_of_trust_with_its_own_shape(every_trust: Player) -> None:
    page = open_card(every_trust)
    marks = marks_beside_a_told_one(page)
    assert marks == {
        "settled": (False, False, False, False, True),
        "early": (True, False, False, False, False),
        "told": (False, False, False, True, False),
        "guess": (True, True, False, False, False),
        "old": (True, False, True, False, False),
    }


def marks_beside_a_told_one(page: Page) -> dict[str, tuple[bool, ...]]:
    """The marks of every word once a told number is chosen: a chosen one wears the arm's edge instead."""
    page.locator(".dial a", has=page.locator("[data-trust=told]")).first.tap()
    expect(page.locator(".dial .cell.chosen[data-trust=told]")).to_have_count(1)
    return {word: marks_of(page, word) for word in WORDS}


def marks_of(page: Page, word: str) -> tuple[bool, ...]:
    """Box, dashes, corner, underline and bold digits of the first number with this trust that is not chosen."""
    found: dict[str, bool] = page.locator(f".dial .cell[data-trust={word}]:not(.chosen)").first.evaluate(
        """(cell) => {
          const look = (selector) => getComputedStyle(cell.querySelector(selector));
          return {
            box: look(".box").stroke !== "none",
            dashes: look(".box").strokeDasharray !== "none",
            corner: look(".corner").display !== "none",
            underline: look(".underline").display !== "none",
            bold: Number(look(".number").fontWeight) >= 600,
          };
        }"""
    )
    return tuple(found.values())


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_greyscale_picture_loses_no_word_of_trust(every_trust: Player, scheme: Any) -> None:
    every_trust.page.emulate_media(color_scheme=scheme)
    page = open_card(every_trust)
    page.get_by_text("What the marks mean").tap()
    pictures = {word: picture(page.locator(f".legend [data-trust={word}] .number")) for word in WORDS}
    # The legend shows the same digits with each mark, so any two pictures differ by the mark alone.
    for place, word in enumerate(WORDS):
        for other in WORDS[place + 1 :]:
            assert differing_pixels(pictures[word], pictures[other]) > 30, (word, other)


def picture(what: Locator) -> Image.Image:
    return Image.open(BytesIO(what.screenshot())).convert("L")


def differing_pixels(one: Image.Image, other: Image.Image) -> int:
    """How many pixels differ by more than a third of the range from black to white."""
    size = (max(one.width, other.width), max(one.height, other.height))
    canvases = [Image.new("L", size, picture.getpixel((0, 0))) for picture in (one, other)]
    for canvas, drawn in zip(canvases, (one, other), strict=True):
        canvas.paste(drawn)
    return sum(count for value, count in enumerate(ImageChops.difference(*canvases).histogram()) if value > 85)


@pytest.mark.parametrize("path", ["/card", "/print", "behind"])
def test_axe_finds_nothing(every_trust: Player, path: str) -> None:
    page = open_card(every_trust)
    if path == "behind":
        choose(page, "Table")
        in_table(page, "56", "9:00").get_by_role("link").tap()
        expect(page.get_by_role("heading", name="56 9:00")).to_be_visible()
    elif path != "/card":
        page.goto(every_trust.url + path)
    for _ in each_view_unfolded(page, VIEWS if path == "/card" else ()):
        expect_axe_finds_nothing(page)


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


def test_ten_balls_move_the_card_without_signal(player: Player) -> None:
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
    expect(page.locator("[data-moved]")).to_contain_text("10 balls since then")
    offline = number(cell)
    assert 53 <= offline < before
    assert page.locator(".dial .cell[data-trust=early] [data-part=carry]").text_content() == str(offline)
    assert in_table(page, "56", "7:30").get_attribute("data-trust") == "guess"


def test_a_ball_set_aside_without_signal_gives_the_number_back(player: Player) -> None:
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


def test_the_server_and_the_phone_agree_on_the_number(player: Player) -> None:
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


def test_large_type_on_a_narrow_screen_loses_nothing(every_trust: Player) -> None:
    every_trust.page.set_viewport_size({"width": 320, "height": 640})
    page = open_card(every_trust)
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    choose(page, "Table")
    for cell in page.locator(".swing-table td.cell").all():
        inside = cell.locator("[data-part=carry]").bounding_box()
        assert inside
        assert inside["x"] >= 0
        assert inside["x"] + inside["width"] <= 320
        expect(cell.locator(".club-name")).to_be_visible()


@pytest.mark.parametrize("path", ["/card", "9:00", "7:30"])
def test_no_page_of_the_card_grows_wider_than_the_phone_at_twice_the_type(every_trust: Player, path: str) -> None:
    every_trust.page.set_viewport_size({"width": 320, "height": 640})
    page = open_card(every_trust)
    if path != "/card":  # the shots behind a settled number, and behind one of three balls, whose figures say "rough"
        choose(page, "Table")
        in_table(page, "56", path).get_by_role("link").tap()
        expect(page.get_by_role("heading", name=f"56 {path}")).to_be_visible()
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    for _ in each_view_unfolded(page, VIEWS if path == "/card" else ()):
        assert page.evaluate("document.documentElement.scrollWidth") <= 320


def test_the_card_is_one_screen_and_a_third_at_most(every_trust: Player) -> None:
    every_trust.page.set_viewport_size(LARGER_PHONE["viewport"])
    page = open_card(every_trust)
    assert page.evaluate("document.documentElement.scrollHeight") <= 1.3 * 844
    strip = page.locator(".answer").filter(visible=True).bounding_box()
    foot = page.get_by_role("navigation", name="pages").bounding_box()
    assert strip
    assert foot
    assert strip["y"] + strip["height"] <= foot["y"]  # in the thumb's reach without scrolling


def test_a_wide_screen_shows_dial_table_and_pole_side_by_side(meet: Callable[..., Player]) -> None:
    page = open_card(meet(viewport={"width": 1280, "height": 800}, is_mobile=False))
    places = [page.locator(drawing).first.bounding_box() for drawing in (".dial", ".swing-table", ".yard-pole")]
    assert all(places)
    lefts = [box["x"] for box in places if box]
    assert lefts == sorted(lefts)
    assert all(box["y"] + box["height"] <= 800 for box in places if box)


def test_nothing_is_wider_than_a_larger_phone_either(meet: Callable[..., Player]) -> None:
    page = open_card(meet(**LARGER_PHONE))
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_metres_change_numbers_and_ticks_at_once(player: Player) -> None:
    page = open_card(player)
    page.wait_for_load_state("networkidle")
    player.context.set_offline(True)
    page.get_by_text("What the marks mean").tap()
    page.get_by_role("radio", name="metres").check()
    expect(in_table(page, "46", "full").locator("[data-part=carry]")).to_have_text("102")
    assert "metres · range balls" in page.locator("svg.dial").first.text_content()  # what is read with the numbers
    choose(page, "Yard pole")
    ticks = page.locator(".yard-pole").first.locator("[data-ticks]")
    assert [ticks.nth(place).is_visible() for place in range(2)] == [False, True]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_high_contrast_theme_keeps_the_marks_of_the_drawings(every_trust: Player, scheme: Any) -> None:
    page = open_card(every_trust)
    usual = marks_beside_a_told_one(page)
    every_trust.page.emulate_media(forced_colors="active", color_scheme=scheme)
    page = open_card(every_trust)
    assert marks_beside_a_told_one(page) == usual
    ground = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    for drawing, view in ((".dial", "Dial"), (".yard-pole", "Yard pole")):
        choose(page, view)
        for word in WORDS:
            cell = page.locator(f"{drawing} .cell[data-trust={word}]").first
            look = cell.evaluate(
                "(one) => [getComputedStyle(one.querySelector('.number')).fill, getComputedStyle(one).color]"
            )
            assert look[0] == look[1] != ground
        pictures = {word: picture(page.locator(f"{drawing} .cell[data-trust={word}] .number").first) for word in WORDS}
        assert all(one.getextrema()[1] - one.getextrema()[0] > 128 for one in pictures.values())


def test_a_high_contrast_theme_keeps_the_marks_apart(every_trust: Player) -> None:
    every_trust.page.emulate_media(forced_colors="active")
    page = open_card(every_trust)
    boxes = {
        word: page.locator(f".swing-table [data-trust={word}] .number").first.evaluate(
            "(one) => [getComputedStyle(one).borderTopWidth !== '0px', getComputedStyle(one).borderTopStyle]"
        )
        for word in WORDS
    }
    assert [word for word, (boxed, _) in boxes.items() if boxed] == ["early", "guess", "old"]
    assert boxes["guess"][1] == "dashed"


@pytest.mark.parametrize("forced", ["none", "active"])
def test_the_sheet_to_print_is_black_on_white_on_every_screen(every_trust: Player, forced: Any) -> None:
    every_trust.page.emulate_media(color_scheme="dark", forced_colors=forced)
    page = open_card(every_trust, "/print")
    sheet = page.locator(".sheet-of-paper").evaluate("(one) => getComputedStyle(one).backgroundColor")
    inks = {
        getter: page.locator(f".sheet-of-paper svg {getter}").first.evaluate("(one) => getComputedStyle(one).fill")
        for getter in (".number", ".swing-name", ".tab rect", ".tab text")
    }
    black, white = "rgb(0, 0, 0)", "rgb(255, 255, 255)"
    assert sheet == white
    assert inks == {".number": black, ".swing-name": black, ".tab rect": black, ".tab text": white}


@pytest.mark.parametrize("path", ["/card", "/print"])
def test_the_row_of_pages_covers_nothing_at_twice_the_type(meet: Callable[..., Player], path: str) -> None:
    player = meet(facts=book_of_every_trust())
    page = open_card(player)
    expect(page.locator("[data-install]")).to_be_visible()  # said once, and late enough to push a scrolled page down
    page.goto(player.url + path)
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    page.evaluate("scrollTo(0, document.documentElement.scrollHeight)")
    foot = page.get_by_role("navigation", name="pages").bounding_box()
    last = page.locator("main > :last-child").bounding_box()
    assert foot
    assert last
    assert last["y"] + last["height"] <= foot["y"]


def test_a_new_book_leads_from_its_first_card_to_the_first_bucket(meet: Callable[..., Player]) -> None:
    page = open_card(meet())
    expect(page.get_by_text("No ball yet: dashed numbers are guesses.")).to_be_visible()
    page.get_by_role("link", name="Start a bucket").tap()
    expect(page.get_by_role("heading", name="Start a bucket")).to_be_visible()


def test_a_card_with_balls_no_longer_leads_to_the_first_one(every_trust: Player) -> None:
    expect(open_card(every_trust).get_by_text("No ball yet: dashed")).to_have_count(0)


def test_the_first_page_names_the_unit_of_the_carry_it_asks_for(browser: Browser, server: Server) -> None:
    context = browser.new_context(**PHONE)
    page = context.new_page()
    page.goto(server.url)
    beside = page.locator("#unit-name")
    expect(beside).to_have_text("yards")
    page.get_by_role("radio", name="metres").check()
    expect(beside).to_have_text("metres")
    context.close()


def test_what_waits_stands_beside_its_button_above_the_card(player: Player) -> None:
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
