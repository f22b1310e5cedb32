"""The coach's walk, steps 1, 3 and 6, and the player's first two: start, read a cold card, show it, end the link."""

from collections.abc import Callable, Iterator
from io import BytesIO
from itertools import pairwise

import pytest
from playwright.sync_api import Browser, Page, expect
from pypdf import PdfReader

from tests.factories import raw
from webapp.books.demo import demo_facts
from webapp.moments import moved

from .chromium import PHONE, facts_of, new_phone, now
from .coach import Coach
from .conftest import expect_axe_finds_nothing
from .player import Player
from .server import Server

FULL_YD = {"46": "112", "51": "99", "56": "85", "60": "72"}


@pytest.fixture
def coach(browser: Browser) -> Iterator[Coach]:
    """A coach with a browser of their own."""
    context = browser.new_context(**PHONE)
    yield Coach(context)
    context.close()


def link_of(player: Player) -> str:
    """Make a coach link and read its address."""
    player.open("/links")
    player.page.get_by_role("button", name="Make a coach link").tap()
    return player.page.locator("a.secret").inner_text()


def test_a_book_starts_without_a_name_and_has_a_cold_card_at_once(browser: Browser, server: Server) -> None:
    context = new_phone(browser)
    page = context.new_page()
    faults: list[str] = []
    page.on("console", lambda line: faults.append(line.text) if line.type == "error" else None)
    page.goto(server.url)
    assert not page.get_by_label("e-mail").count() + page.get_by_label("nickname").count()
    for place, loft in enumerate(FULL_YD, start=1):
        page.locator(f"#loft_{place}").fill(loft)
    page.get_by_label("loft of the wedge whose carry I know").fill("56")
    page.get_by_label("its full carry").fill("85")
    page.get_by_role("button", name="Start my book").tap()
    expect(page.get_by_role("heading", name="Card", exact=True)).to_be_visible()
    assert faults == []
    assert told(page) == 1
    guesses = {name: number(page, f"9:00 swing, {name} wedge") for name in FULL_YD}
    assert abs(guesses["56"] - 60) <= 2
    page.goto(server.url + "/bag")
    for name, carry in FULL_YD.items():
        page.get_by_role("listitem").filter(has=page.get_by_role("heading", name=name)).get_by_label("full carry").fill(
            carry
        )
    page.get_by_role("button", name="Keep changes").tap()
    expect(page.locator("table.figures tbody tr td:nth-child(3)")).to_have_text(["13", "14", "13"])
    page.goto(server.url + "/card")
    assert told(page) == 4
    assert abs(number(page, "7:30 swing, 56 wedge") - 42) <= 2
    assert abs(number(page, "10:30 swing, 56 wedge") - 72) <= 2
    context.close()


def test_a_coach_reads_card_gaps_and_trust_and_finds_nothing_to_write_with(
    meet: Callable[..., Player], coach: Coach, server: Server
) -> None:
    heron = meet()
    link = link_of(heron)
    assert coach.open(link) == 200
    expect(coach.page.get_by_role("heading", name="A player’s card")).to_be_visible()
    expect(coach.page.get_by_role("heading", name="Gaps between full swings")).to_be_visible()
    expect(coach.page.locator("td.cell[data-trust=told]")).to_have_count(4)
    assert coach.controls() == 0
    pages = [answer.text() for answer in coach.seen if "text/html" in answer.headers["content-type"]]
    assert pages
    assert not any(word in page for page in pages for word in ("Pellow", "Heron"))
    before = len(facts_of(server, heron.book_id))
    for address in {answer.url for answer in coach.seen if "/w/" in answer.url}:
        for method in ("POST", "PUT", "DELETE", "PATCH"):
            assert 400 <= coach.context.request.fetch(address, method=method, data="{}").status < 500
    assert len(facts_of(server, heron.book_id)) == before


def test_a_link_that_was_ended_is_closed_at_once_and_another_goes_on(
    meet: Callable[..., Player], browser: Browser
) -> None:
    heron = meet()
    first, second = link_of(heron), link_of(heron)
    contexts = [browser.new_context(**PHONE) for _ in range(2)]
    one, other = (Coach(context) for context in contexts)
    assert [one.open(second), other.open(first)] == [200, 200]
    heron.open("/links")
    heron.page.get_by_role("button", name="End it now").first.tap()
    expect(heron.page.get_by_role("button", name="End it now")).to_have_count(1)
    assert one.open_again() == 410
    expect(one.page.get_by_text("This link is closed")).to_be_visible()
    assert "112" not in one.page.inner_text("body")
    assert other.open_again() == 200
    for context in contexts:
        context.close()


@pytest.fixture(scope="module")
def link_to_the_demo(phone_of_the_demo: Player) -> str:
    """A link to the demo book, for every test in which a coach only reads."""
    return link_of(phone_of_the_demo)


WIDE = {"viewport": {"width": 1280, "height": 800}}


@pytest.fixture
def wide(browser: Browser) -> Iterator[Coach]:
    """A coach at a desk."""
    context = browser.new_context(**WIDE)
    yield Coach(context)
    context.close()


def test_a_coach_drives_the_first_screen_without_scrolling(
    meet: Callable[..., Player], wide: Coach, server: Server
) -> None:
    facts = demo_facts(now())
    lesson = raw("mark", {"what": "lesson", "on": f"{moved(now(), days=-30)[:10]}T00:00:00.000Z"}, now())
    link, page = link_of(meet(facts=[*facts, lesson])), wide.page
    assert wide.open(link) == 200
    expect(page.get_by_role("link", name="Since the lesson")).to_be_in_viewport()
    for part in (".know", ".coach-dial", ".evidence-sheet", ".lands"):
        box = page.locator(part).bounding_box()
        assert box
        assert box["y"] + box["height"] <= 800, part
    sheet = page.locator("#evidence")
    for place in (5, 0, 10):  # a number of the dial, then a bar of the ground: each drives sheet, dial and ground
        chosen = page.locator(".coach-dial a .cell").nth(place)
        key, digits = chosen.get_attribute("data-cell"), chosen.locator(".number").text_content() or ""
        page.locator(".coach-dial a").nth(place).click()
        expect(sheet).to_have_attribute("data-cell", key or "")
        expect(sheet.locator("[data-m]").first).to_have_text(digits)
        expect(page.locator(".coach-dial .cell.chosen")).to_have_attribute("data-cell", key or "")
        expect(page.locator(".lands .chosen")).to_have_count(1)
        assert page.evaluate("scrollY") <= 8
    page.locator(".lands a").last.click()
    expect(page.locator(".lands .chosen")).to_have_count(1)
    assert page.evaluate("scrollY") <= 8
    assert wide.controls() == 0
    page.locator(".sentences a").nth(1).click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("since the lesson")


def test_the_dial_can_be_read_on_every_tablet_and_desk(link_to_the_demo: str, wide: Coach) -> None:
    wide.open(link_to_the_demo)
    wide.page.evaluate("document.fonts.ready.then(() => null)")
    for width, height in ((600, 960), (900, 1200), (1024, 768), (1180, 820), (1239, 800), (1240, 800), (1920, 1080)):
        wide.page.set_viewport_size({"width": width, "height": height})
        digits = wide.page.locator(".coach-dial .cell .number").evaluate_all(
            "(numbers) => numbers.map((number) => number.getBoundingClientRect().height)"
        )
        assert min(digits) >= 14, (width, height)  # px; smaller figures are hard to read: our choice
        sheet = wide.page.locator("#evidence").bounding_box()
        assert sheet
        assert sheet["y"] + 150 <= height or width < 900, (width, height)  # what a chosen number rests on is in sight


@pytest.mark.parametrize("path", ["", "/periods", "/periods/balls?part=counted", "/year"])
def test_a_coachs_pages_can_be_read_by_ear(link_to_the_demo: str, coach: Coach, path: str) -> None:
    assert coach.open(link_to_the_demo + path) == 200
    for details in coach.page.locator("details").all():
        details.evaluate("(details) => { details.open = true; }")
    expect_axe_finds_nothing(coach.page)
    coach.page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert coach.page.evaluate("document.documentElement.scrollWidth") <= 360


@pytest.mark.parametrize("text", ["100%", "200%"])
def test_no_number_of_a_scale_lies_on_another(link_to_the_demo: str, coach: Coach, text: str) -> None:
    coach.open(link_to_the_demo)
    coach.page.evaluate("(text) => { document.documentElement.style.fontSize = text; }", text)
    scales = coach.page.locator(".rows svg:has(text)").evaluate_all(
        """(scales) => scales.map((scale) => [...scale.querySelectorAll("text")]
          .map((text) => text.getBoundingClientRect()).filter(({ width }) => width)
          .map(({ left, right }) => [left, right]))"""
    )
    assert len(scales) == 2
    for numbers in scales:
        assert len(numbers) >= 3
        assert all(right <= left for (_, right), (left, _) in pairwise(numbers))


def test_a_coachs_page_prints_on_two_sheets_without_a_place(link_to_the_demo: str, wide: Coach) -> None:
    wide.open(link_to_the_demo)
    sheets = PdfReader(BytesIO(wide.page.pdf(format="A4", prefer_css_page_size=True))).pages
    texts = [sheet.extract_text() for sheet in sheets]
    assert len(texts) <= 2
    assert min(map(len, texts)) > 300  # no sheet is nearly empty
    assert not any(word in text for text in texts for word in ("Pellow", "Heron", "Two periods side by side"))


def test_the_phone_that_made_a_link_copies_it_again(meet: Callable[..., Player], server: Server) -> None:
    heron = meet()
    heron.page.context.grant_permissions(["clipboard-read", "clipboard-write"], origin=server.url)
    link = link_of(heron)
    made = heron.page.get_by_role("region", name="Your new link")
    expect(made.get_by_role("button", name="Copy")).to_be_visible()  # by then the phone has kept the address
    expect(heron.page.get_by_role("button", name="Copy")).to_have_count(1)
    heron.open("/links")
    assert link not in heron.page.content()
    heron.page.get_by_role("button", name="Copy").tap()
    expect(heron.page.get_by_text("copied", exact=True)).to_be_visible()
    assert heron.page.evaluate("navigator.clipboard.readText()") == link
    heron.page.get_by_role("button", name="End it now").tap()
    expect(heron.page.get_by_text("closed", exact=False).first).to_be_visible()
    expect(heron.page.get_by_role("button", name="Copy")).to_have_count(0)


def told(page: Page) -> int:
    """How many numbers of the swing table are the player's own words."""
    return page.locator("td.cell[data-trust=told]").count()


def number(page: Page, words: str) -> int:
    """A number of the swing table by how it is read out."""
    cell = page.locator("td.cell").filter(has_text=words)
    return int(cell.locator("[data-part=carry]").inner_text())
