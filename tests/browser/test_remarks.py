"""A coach's remark from the coach's browser to the player's phone."""

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.factories import a_bucket, f1_balls, the_demo_set
from webapp.moments import moved

from .chromium import PHONE, now
from .coach import Coach
from .conftest import expect_axe_finds_nothing
from .player import Player
from .server import Server

WORDS = "Hold the finish till three"


@pytest.fixture
def coach(browser: Browser) -> Iterator[Coach]:
    """A coach with a browser of their own."""
    context = browser.new_context(**PHONE)
    yield Coach(context)
    context.close()


@pytest.fixture
def player(meet: Callable[..., Player]) -> Player:
    """A player who struck ten balls with the 56 at 9:00."""
    facts, bucket = the_demo_set(moved(now(), days=-30)), a_bucket(moved(now(), days=-2))
    return meet(facts=[*facts, bucket, *f1_balls(bucket, facts[2], bucket["made_at"])])


def link_to(server: Server, player: Player) -> str:
    """The address of a coach link for a player's book."""
    with server.directory() as directory:
        return f"{server.url}/w/{directory.new_link(player.book_id, '', now(), moved(now(), days=14), {})}"


def written(page: Page) -> str:
    """The link of a remark that is written on the page that is open."""
    page.get_by_label("What the player should read").fill(WORDS)
    page.get_by_role("button", name="Make the code").tap()
    expect(page.get_by_role("heading", name="The remark as it leaves")).to_be_visible()
    return str(page.locator("a.secret").get_attribute("href"))


def fits_in_large_type(page: Page) -> None:
    """Nothing is wider than a phone of 320 px with type twice as large."""
    page.set_viewport_size({"width": 320, "height": 640})
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    page.evaluate("document.documentElement.style.fontSize = ''")
    page.set_viewport_size(PHONE["viewport"])  # type: ignore[arg-type]


def test_a_remark_on_a_number_is_read_and_kept_by_two_touches_behind_its_link(
    coach: Coach, player: Player, server: Server
) -> None:
    coach.open(link_to(server, player))
    coach.page.get_by_role("link", name="Remark", exact=True).tap()
    address = written(coach.page)
    fits_in_large_type(coach.page)
    expect_axe_finds_nothing(coach.page)
    asked: list[str] = []
    page = player.page
    page.on("request", lambda request: asked.append(request.url))
    page.goto(address)
    expect(page.get_by_label("The link or code from your coach")).to_have_value(address.partition("#")[2])
    assert page.url == f"{server.url}/remarks"  # the code is out of the address
    page.get_by_role("button", name="Read it").tap()
    expect(page.get_by_role("heading", name="From your coach, on 56 9:00")).to_be_visible()
    expect(page.get_by_text(WORDS)).to_be_visible()
    fits_in_large_type(page)
    expect_axe_finds_nothing(page)
    page.get_by_role("button", name="Keep it").tap()
    expect(page.get_by_text("Kept. It stands where it belongs, and here.")).to_be_visible()
    fits_in_large_type(page)
    page.get_by_role("link", name="56 9:00").tap()
    expect(page.get_by_role("heading", name="From your coach")).to_be_visible()
    expect(page.get_by_text(WORDS)).to_be_visible()
    assert not [url for url in asked if address.partition("#")[2] in url]  # no address of the server held the code
    assert player.faults == []


def test_a_remark_on_one_ball_stands_at_that_ball_and_a_dropped_one_nowhere(
    coach: Coach, player: Player, server: Server
) -> None:
    coach.open(link_to(server, player))
    coach.page.get_by_role("link", name="All shots of it").tap()
    coach.page.locator("ol.shots a.shot-link").first.tap()
    expect(coach.page.get_by_role("heading", name="A remark on one ball of 56 9:00")).to_be_visible()
    address = written(coach.page)
    page = player.page
    for button, said in (("Drop it", "Dropped. Nothing was changed."), ("Keep it", "Kept. It stands")):
        page.goto("about:blank")
        page.goto(address)
        page.get_by_role("button", name="Read it").tap()
        expect(page.get_by_role("heading", name="From your coach, on one ball of 56 9:00")).to_be_visible()
        page.locator(".from-coach").get_by_role("button", name=button).tap()
        expect(page.locator(".from-coach")).to_have_count(0)
        expect(page.get_by_text(said)).to_be_visible()
        expect(page.get_by_text(WORDS)).to_have_count(int(button == "Keep it"))
    page.get_by_role("link", name="one ball of 56 9:00").tap()
    expect(page.get_by_text(f"Your coach: {WORDS}")).to_be_visible()
