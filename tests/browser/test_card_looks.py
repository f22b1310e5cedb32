"""How the card looks: trust seen without colour, in large type, on wide screens, in forced colours and on paper.

Source: the trust marks of the project's design.
"""

from collections.abc import Callable
from io import BytesIO
from typing import Any

import pytest
from PIL import Image, ImageChops
from playwright.sync_api import Locator, Page, expect

from .card_pages import VIEWS, WORDS, book_of_every_trust, choose, each_view_unfolded, in_table, open_card
from .chromium import LARGER_PHONE
from .conftest import expect_axe_finds_nothing
from .player import Player


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
    tabs = page.locator(".tabs").bounding_box()
    assert tabs
    assert tabs["y"] + tabs["height"] <= foot["y"]


def test_the_arm_turns_for_a_touch_and_not_as_the_page_opens(meet: Callable[..., Player]) -> None:
    player = meet(facts=book_of_every_trust())
    player.page.add_init_script("addEventListener('transitionrun', () => { globalThis.turned = true; })")
    page = open_card(player)
    expect(page.locator(".dial .arm.chosen")).to_have_count(1)
    # A frame after the style in which the arm was chosen, and one more: what turns has begun to.
    page.evaluate("() => new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)))")
    assert not page.evaluate("globalThis.turned")
    page.locator(".dial a", has=page.locator("[data-trust=early]")).first.tap()
    page.wait_for_function("globalThis.turned")


@pytest.mark.parametrize("width", [360, 390, 1280])
def test_the_dial_stands_still_when_the_script_starts(every_trust: Player, width: int) -> None:
    every_trust.page.set_viewport_size({"width": width, "height": 640})
    page = open_card(every_trust)
    top = "() => document.querySelector('.dial').getBoundingClientRect().top"
    with_script = page.evaluate(top)
    as_the_server_wrote = "document.querySelector('[data-as-of]').textContent = 'as of 26 Sept 2026'"
    page.evaluate(as_the_server_wrote)
    assert page.evaluate(top) == with_script


def test_the_strip_leaves_the_dial_alone_at_twice_the_type(every_trust: Player) -> None:
    page = open_card(every_trust)
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    dial = page.locator(".dial").first.bounding_box()
    strip = page.locator(".answer").filter(visible=True).bounding_box()
    assert dial
    assert strip
    assert strip["y"] >= dial["y"] + dial["height"]


def test_a_wide_screen_shows_dial_table_and_pole_side_by_side(meet: Callable[..., Player]) -> None:
    page = open_card(meet(viewport={"width": 1280, "height": 800}, is_mobile=False))
    places = [page.locator(drawing).first.bounding_box() for drawing in (".dial", ".swing-table", ".yard-pole")]
    assert all(places)
    lefts = [box["x"] for box in places if box]
    assert lefts == sorted(lefts)
    assert all(box["y"] + box["height"] <= 800 for box in places if box)
    foot = page.get_by_role("navigation", name="pages").bounding_box()
    sentences = page.locator(".sentences li").all()
    assert sentences
    for sentence in sentences:
        box = sentence.bounding_box()
        assert box
        assert foot
        assert box["y"] + box["height"] <= foot["y"]


def test_nothing_is_wider_than_a_larger_phone_either(meet: Callable[..., Player]) -> None:
    page = open_card(meet(**LARGER_PHONE))
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


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
