"""A coach's list of players: kept, read, printed and forgotten in the coach's browser alone.

A4 is ISO 216, from memory.
"""

from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect
from pypdf import PdfReader

from tests.factories import Raw, a_bucket, a_setting, f1_balls, the_demo_set
from webapp.books.demo import demo_facts
from webapp.moments import moved

from .chromium import new_phone, now
from .conftest import expect_axe_finds_nothing
from .server import Server

MM_A_POINT = 25.4 / 72
TOPS = """() => [...document.querySelectorAll("main :is(a, button, summary)")]
  .filter((one) => one.checkVisibility({ contentVisibilityAuto: true }))
  .map((one) => [one.textContent, one.getBoundingClientRect().top])"""
PUT = """async (links) => {
  const { remember } = await (await import(document.querySelector("script[type=module]").src)).take("db.js");
  await remember("players", links.map((link) => ({ ...link, seen_at: "" })));
}"""
SQUAD = ("Avocet", "Dunlin", "Heron", "Kite", "Knot", "Lark", "Martin", "Merlin", "Plover", "Rail", "Ruff", "Snipe",
         "Swift", "Teal", "Wren")  # fmt: skip


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """A coach's browser, which never saw the app."""
    opened = new_phone(browser)
    yield opened
    opened.close()


@pytest.fixture
def page(context: BrowserContext) -> Page:
    """The coach's page."""
    return context.new_page()


def practised(nickname: str) -> list[Raw]:
    """The demo set and ten balls of two days ago."""
    clubs, bucket = the_demo_set(moved(now(), days=-30)), a_bucket(moved(now(), days=-2))
    return [*clubs, a_setting("nickname", nickname, now()), bucket, *f1_balls(bucket, clubs[2], bucket["made_at"])]


def link_to(server: Server, nickname: str = "Heron", facts: Callable[[str], list[Raw]] = practised) -> str:
    """The address of a coach link to a new book."""
    with server.directory() as directory:
        book_id = directory.new_book(now())
        with directory.open_book(book_id) as book:
            assert not book.add(facts(nickname), None, now()).refused
        return f"{server.url}/w/{directory.new_link(book_id, '', now(), moved(now(), days=14), {'nickname': True})}"


def end(server: Server, link: str) -> None:
    """The player ends a link."""
    with server.directory() as directory:
        opened = directory.link(link.rpartition("/")[2])
        assert opened
        assert directory.end_link(opened.book_id, opened.id, now())


def open_list(page: Page, server: Server) -> None:
    """Open the list and wait until it is drawn: what comes above a key moves it."""
    page.goto(f"{server.url}/players")
    expect(page.locator("#none:visible, #players li").first).to_be_visible()


def keep(page: Page, server: Server, link: str, name: str) -> None:
    """Keep a link by pasting it."""
    if not page.url.endswith("/players"):
        open_list(page, server)
    page.get_by_text("Paste a link", exact=True).tap()
    page.get_by_label("A player’s link").fill(link)
    page.get_by_role("button", name="Read it").tap()
    page.get_by_label("Your name for the player").fill(name)
    page.get_by_role("button", name="Keep", exact=True).tap()
    expect(page.get_by_role("heading", name=name)).to_be_visible()


def keep_all(page: Page, links: dict[str, str]) -> None:
    """Have each link in the list under its name, as if they had been pasted one after the other, and draw the list."""
    root = "{0.scheme}://{0.netloc}".format(urlsplit(next(iter(links.values()))))
    page.goto(f"{root}/players")
    expect(page.locator("#none:visible")).to_be_visible()
    page.evaluate(PUT, [{"token": link.rpartition("/")[2], "name": name} for name, link in links.items()])
    page.reload()
    expect(page.locator("#players li")).to_have_count(len(links))


def stored(page: Page) -> str:
    """Everything this browser keeps of the app, as text."""
    return str(page.context.storage_state(indexed_db=True))


def files_of(server: Server) -> bytes:
    """Everything the server keeps."""
    return b"".join(path.read_bytes() for path in Path(server.data).rglob("*") if path.is_file())


def test_a_link_is_kept_under_the_coachs_own_name_and_the_server_never_hears_it(page: Page, own_server: Server) -> None:
    link = link_to(own_server)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(f"{request.url} {request.post_data}"))
    page.goto(link)
    page.get_by_role("link", name="Keep it in a list of players").tap()
    expect(page.get_by_label("Your name for the player")).to_have_value("Heron")
    assert page.url == f"{own_server.url}/players"  # the secret is out of the address, and of the history
    page.get_by_label("Your name for the player").fill("The tall Kite")
    page.get_by_role("button", name="Keep", exact=True).tap()
    line = page.locator("#players li")
    expect(line).to_contain_text("On the last visit: 10 balls")
    expect(line).to_contain_text("Last visit week")
    expect(line).to_contain_text("not opened from here yet")
    assert "The tall Kite" in stored(page)
    assert not [request for request in asked if "Kite" in request or "/players/" in request]
    own_server.stop()
    assert b"The tall Kite" not in files_of(own_server)


def test_the_longest_unseen_stands_first_and_a_card_opened_from_here_goes_last(page: Page, server: Server) -> None:
    for name in ("Avocet", "Kite"):
        keep(page, server, link_to(server, name), name)
    expect(page.locator("#players h2")).to_have_text(["Avocet", "Kite"])
    page.get_by_role("link", name="Avocet").tap()
    expect(page.get_by_role("heading", name="Avocet’s card")).to_be_visible()
    page.goto(f"{server.url}/players")
    expect(page.locator("#players h2")).to_have_text(["Kite", "Avocet"])
    expect(page.locator("#players li").last).to_contain_text("opened from here on")


def test_a_link_that_was_ended_says_so_and_shows_nothing_of_the_player(page: Page, server: Server) -> None:
    link = link_to(server)
    keep(page, server, link, "Heron")
    expect(page.locator("#players li")).to_contain_text("10 balls")
    end(server, link)
    page.get_by_role("button", name="Ask again").tap()
    line = page.locator("#players li")
    expect(line).to_contain_text("This link is closed. Ask the player for a new one.")
    expect(line).not_to_contain_text("ball")
    page.get_by_role("link", name="Heron").tap()
    page.wait_for_url(link)
    expect(page.get_by_text("This link is closed.")).to_be_visible()
    page.goto(f"{server.url}/players#{link.rpartition('/')[2]}")
    expect(page.locator("#said")).to_have_text("This link is closed. Ask the player for a new one. Nothing was kept.")


def test_one_player_and_all_players_are_forgotten_here_alone(page: Page, server: Server) -> None:
    links = {name: link_to(server, name) for name in ("Avocet", "Kite", "Wren")}
    keep_all(page, links)
    page.get_by_role("button", name="forget Kite").tap()
    expect(page.locator("#players h2")).to_have_text(["Avocet", "Wren"])
    page.get_by_role("button", name="Put Kite back").tap()
    expect(page.locator("#players h2")).to_have_text(["Avocet", "Kite", "Wren"])
    expect(page.get_by_role("link", name="Kite")).to_have_attribute("href", urlsplit(links["Kite"]).path)
    page.get_by_role("button", name="forget Kite").tap()
    page.get_by_text("Forget all players").tap()
    page.get_by_role("button", name="Forget all").tap()
    expect(page.locator("#said")).to_have_text("All forgotten. This browser keeps no player any more.")
    expect(page.locator("#players li")).to_have_count(0)
    expect(page.get_by_role("button", name="Put Kite back")).to_have_count(0)
    assert not [link for link in links.values() if link.rpartition("/")[2] in stored(page)]
    assert page.goto(links["Wren"]).status == 200  # type: ignore[union-attr]


def test_each_of_several_forgotten_players_can_be_put_back(page: Page, server: Server) -> None:
    names = ("Avocet", "Kite", "Wren")
    links = {name: link_to(server, name) for name in names}
    keep_all(page, links)
    for name in names:
        page.get_by_role("button", name=f"forget {name}").tap()
        expect(page.locator("#said")).to_contain_text(f"{name} is forgotten here.")
    keys = page.get_by_role("group", name="players forgotten here").get_by_role("button")
    expect(keys).to_have_text([f"Put {name} back" for name in names])
    page.get_by_text("Paste a link", exact=True).tap()
    page.get_by_label("A player’s link").fill("no link")
    page.get_by_role("button", name="Read it").tap()
    expect(page.locator("#said")).to_contain_text("Nothing was kept.")
    page.get_by_label("A player’s link").fill(links["Avocet"])
    page.get_by_role("button", name="Read it").tap()
    expect(keys).to_have_text([f"Put {name} back" for name in names])  # while another one is asked about
    page.get_by_label("Your name for the player").fill("Avocet")
    page.get_by_role("button", name="Keep", exact=True).tap()
    expect(keys).to_have_text(["Put Kite back", "Put Wren back"])
    for name in ("Kite", "Wren"):
        page.get_by_role("button", name=f"Put {name} back").tap()
        expect(page.locator("#said")).to_contain_text(f"{name} is in the list again.")
    expect(keys).to_have_count(0)
    for name, link in links.items():
        expect(page.get_by_role("link", name=name)).to_have_attribute("href", urlsplit(link).path)


def test_the_same_link_again_takes_the_new_name(page: Page, server: Server) -> None:
    link = link_to(server)
    keep(page, server, link, "Heron")
    keep(page, server, link, "Heron the elder")
    expect(page.locator("#players h2")).to_have_text(["Heron the elder"])


def test_what_is_no_link_of_this_server_is_said_and_not_asked_for(page: Page, server: Server) -> None:
    elsewhere = "http://example.invalid/w/" + "a" * 32
    homework = f"{server.url}/homework#" + "a" * 32
    open_list(page, server)
    page.get_by_text("Paste a link", exact=True).tap()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    said = page.locator("#said")
    for typed in ("hello", "a" * 31, "a" * 33, elsewhere, homework, f"{server.url}/w/..", "<b>" * 2000):
        said.evaluate("(said) => said.replaceChildren()")
        page.get_by_label("A player’s link").fill(typed)
        page.get_by_role("button", name="Read it").tap()
        expect(said, typed[:60]).to_contain_text("This is no player’s link of this server")
        assert [url for url in asked if "/w/" in url] == [], typed[:60]


def test_a_server_that_is_away_loses_no_player(page: Page, own_server: Server) -> None:
    keep(page, own_server, link_to(own_server), "Heron")
    own_server.stop()
    page.get_by_role("button", name="Ask again").tap()
    expect(page.locator("#players li")).to_contain_text("No answer from the server just now.")
    expect(page.get_by_role("heading", name="Heron")).to_be_visible()


def test_what_a_link_tells_late_moves_nothing_that_can_be_touched(page: Page, server: Server) -> None:
    keep_all(page, {name: link_to(server, name, lambda _: demo_facts(now())) for name in ("Avocet", "Kite")})
    held: list[Route] = []
    page.route("**/line", lambda route: held.append(route))
    with page.expect_request("**/line"):
        open_list(page, server)
    expect(page.get_by_text("asking …")).to_have_count(2)
    before = page.evaluate(TOPS)
    page.route("**/line", lambda route: route.continue_())
    held[0].continue_()
    expect(page.get_by_text("asking …")).to_have_count(0)
    assert page.evaluate(TOPS) == before


def test_two_players_stand_side_by_side_on_a_tablet(page: Page, server: Server) -> None:
    page.set_viewport_size({"width": 820, "height": 1180})
    keep_all(page, {name: link_to(server, name) for name in ("Avocet", "Kite")})
    assert len({top for words, top in page.evaluate(TOPS) if words in ("Avocet", "Kite")}) == 1


def test_names_and_lines_are_text_and_no_markup(page: Page, server: Server) -> None:
    keep(page, server, link_to(server), "<img src=x>")
    expect(page.locator("#players img")).to_have_count(0)


def test_a_squad_of_fifteen_prints_on_one_page_of_a4_without_keys(page: Page, server: Server) -> None:
    keep_all(page, {name: link_to(server, name) for name in SQUAD})
    expect(page.get_by_text("asking …")).to_have_count(0)
    pdf = PdfReader(BytesIO(page.pdf(prefer_css_page_size=True)))
    assert len(pdf.pages) == 1
    size = [float(side) * MM_A_POINT for side in (pdf.pages[0].mediabox.width, pdf.pages[0].mediabox.height)]
    assert size == pytest.approx([210, 297], abs=0.5)
    text = pdf.pages[0].extract_text().replace("ﬀ", "ff")
    assert [name for name in SQUAD if name not in text] == []
    assert text.count("10 balls") == len(SQUAD)
    assert [key for key in ("forget", "Ask again", "Print", "Paste") if key in text] == []
    assert str(now()[:4]) in text  # the day it was printed on


def test_the_list_can_be_read_by_everybody(page: Page, server: Server) -> None:
    keep_all(page, {name: link_to(server, name) for name in ("Heron", "W" * 40)})
    expect(page.get_by_text("asking …")).to_have_count(0)
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    page.set_viewport_size({"width": 320, "height": 640})
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    page.evaluate("document.documentElement.style.fontSize = ''")
    expect_axe_finds_nothing(page)


def test_without_scripts_the_page_says_what_it_needs(browser: Browser, server: Server) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{server.url}/players")
    expect(page.get_by_text("keep the links as bookmarks")).to_be_visible()
    expect(page.get_by_text("Paste a link", exact=True)).to_be_hidden()
    context.close()
