"""The player's whole walk by keys alone, and a focus that is seen on every page and lost on none."""

import pytest
from playwright.sync_api import Page, expect

from .conftest import as_before
from .keys import Keys
from .player import Player
from .server import Server
from .waiting import until_stands

PAGES = ("/bag", "/bucket", "/card", "/fits", "/fits/leave", "/practice", "/trends", "/trends/periods", "/trends/year",
         "/visits", "/visits/last", "/conditions", "/eye-check", "/round", "/links", "/phones", "/players", "/remarks",
         "/homework", "/settings", "/more", "/leaving", "/table", "/print", "/refused")  # fmt: skip


@pytest.fixture
def heron(phone_of_the_demo: Player) -> Player:
    """A player who only walks through the demo book."""
    return as_before(phone_of_the_demo)


@pytest.mark.parametrize("path", PAGES)
def test_whatever_tab_reaches_is_seen_in_focus(heron: Player, path: str) -> None:
    heron.open(path)
    names = Keys(heron.page).round()
    assert names[0] == "to the content"
    assert "More pages" in names


def test_what_a_key_unfolds_is_there_before_the_next_key(heron: Player) -> None:
    """Else it comes above what the next Tab has reached, and moves that out of sight."""
    heron.open("/fits")
    page = heron.page
    page.get_by_role("button", name="1 longer").click()  # from here on the phone draws the answers
    expect(page.locator("#said details > ol")).to_have_count(0)
    folded = page.locator("summary").filter(has_text="All ")
    shown = "summary => { summary.click(); return summary.parentElement.querySelectorAll('.fit').length; }"
    assert folded.evaluate(shown) > 4


def test_the_whole_walk_is_walked_by_keys_alone(page: Page, server: Server) -> None:
    keys = Keys(page)
    page.goto(server.url)
    keys.to("right-handed")
    keys.press("ArrowRight", "ArrowLeft")
    keys.to("its full carry")
    page.keyboard.type("85")
    keys.follow("Start my book", "/card")
    choose_a_view_and_a_number(keys)
    fill_the_bag(keys)
    note_a_ball(keys)
    ask_what_fits(keys)
    put_a_plan_into_a_bucket(keys)
    look_back_and_show_it(keys)


def choose_a_view_and_a_number(keys: Keys) -> None:
    keys.to("Dial")
    keys.press("ArrowRight", "ArrowRight")
    assert keys.focus() == "Table"
    expect(keys.page.locator("[data-view=table]")).to_be_visible()
    keys.to("full swing, 56 wedge, 85 yards", key="Shift+Tab")
    keys.press("Enter")
    keys.page.wait_for_url("**/card/*/180")
    keys.follow("Back to the card", "/card")


def fill_the_bag(keys: Keys) -> None:
    keys.follow("More pages", "/more")
    keys.follow("Bag", "/bag")
    keys.to("full carry")
    keys.press("ControlOrMeta+A")
    keys.page.keyboard.type("112")
    keys.to("Keep changes")
    with keys.page.expect_navigation():  # the boxes hold what was typed before and after it
        keys.press("Enter")
    expect(keys.page.get_by_label("full carry").first).to_have_value("112")


def note_a_ball(keys: Keys) -> None:
    page = keys.page
    keys.follow("Bucket", "/bucket")
    until_stands(page)
    keys.to("Start with the first task")
    keys.press("Enter")
    expect(page.locator("#patch")).to_be_focused()
    keys.press("Enter")  # shows where the keys start, as an arrow does
    expect(page.locator("#readout")).to_be_visible()
    keys.press("ArrowUp", "ArrowRight", "Enter")
    expect(page.locator(".ball")).to_have_count(1)
    assert keys.focus().startswith("landing patch")
    for opened, heading in (("next call", "Next call"), ("More", "This bucket")):
        keys.to(opened)
        keys.press("Enter")
        assert keys.focus() == heading
        keys.press("Escape")
        assert keys.focus().startswith("landing patch")
    keys.to("next call")
    keys.press("Enter")
    keys.to("56 9:00")
    keys.press("Enter")
    expect(page.locator("#call")).to_contain_text("56")
    assert keys.focus().startswith("landing patch")
    keys.to("More")
    keys.press("Enter")
    keys.to("End the bucket")
    keys.press("Enter")
    expect(page.locator("#ended")).to_be_focused()
    keys.follow("See the card", "/card")


def ask_what_fits(keys: Keys) -> None:
    keys.follow("What fits", "/fits")
    flag = keys.page.get_by_label("How far", exact=False).first
    before = int(flag.input_value())
    keys.to("1 longer")
    keys.press("Enter", "Space")
    expect(flag).to_have_value(str(before + 2))
    keys.to("trouble in front to")
    keys.page.keyboard.type("40")
    keys.to("must carry")
    keys.press("Space")
    expect(keys.page.get_by_label("must carry the trouble in front")).to_be_checked()
    keys.to("All ")
    keys.press("Enter")
    assert keys.focus().startswith("All ")


def put_a_plan_into_a_bucket(keys: Keys) -> None:
    keys.follow("Practice", "/practice")
    keys.to("40")
    keys.press("ArrowRight")
    assert keys.focus() == "50"
    keys.follow("Start a bucket with this plan", "/bucket")
    expect(keys.page.locator("#patch, #warm").filter(visible=True)).to_be_visible()


def look_back_and_show_it(keys: Keys) -> None:
    page = keys.page
    page.goto(page.url.replace("/bucket", "/trends"))
    keys.to("Strike")
    keys.press("Enter")
    expect(page.locator("#strike")).to_be_visible()
    keys.follow("More pages", "/more")
    keys.follow("Coach links", "/links")
    keys.to("for whom")
    page.keyboard.type("a coach")
    keys.to("Make a coach link")
    keys.press("Enter")
    expect(page.locator("a.secret")).to_be_visible()
    keys.follow("More pages", "/more")
    keys.follow("Settings", "/settings")
    keys.to("right-handed")
    keys.press("ArrowRight")
    keys.to("Keep these")
    keys.press("Enter")
    expect(page.get_by_role("radio", name="left-handed")).to_be_checked()
