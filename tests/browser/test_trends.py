"""Trends, visits and practice as they are read: both schemes, small screens, large type, by ear.

Source: the look of the project's design (plots in the page's inks, readable at 360 px, text to 200% at 320 px).
"""

from collections.abc import Callable
from typing import Literal

import pytest
from playwright.sync_api import expect

from webapp.books.demo import demo_facts
from webapp.store import reading

from .chromium import now
from .conftest import as_before, expect_axe_finds_nothing
from .player import Player
from .server import Server
from .waiting import look_at_all, until_kept

PAGES = ("/trends", "/trends/periods", "/visits", "/practice")
PLOTS = 5
QUESTIONS = ("number", "strike", "aim", "coverage", "marks")


def ask(player: Player, question: str) -> None:
    """Turn to one question of "What changed"."""
    player.page.evaluate("(question) => { location.hash = question; }", question)
    expect(player.page.locator(f"#{question}")).to_be_visible()


@pytest.fixture
def heron(phone_of_the_demo: Player) -> Player:
    """A player with the demo book's eight visits."""
    return as_before(phone_of_the_demo)


def test_every_plot_is_drawn_in_the_inks_of_the_scheme(heron: Player) -> None:
    inks = {}
    heron.open("/trends")
    plots = heron.page.locator("svg.chart")
    expect(plots).to_have_count(PLOTS)
    schemes: tuple[Literal["light", "dark"], ...] = ("light", "dark")
    for scheme in schemes:
        heron.page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
        inks[scheme], drawn = plots.evaluate_all(
            """(all) => {
              const probe = document.body.appendChild(document.createElement("i"));
              const inks = ["ink", "soft", "arm"].map((name) => {
                probe.style.color = `var(--${name})`;
                return getComputedStyle(probe).color;
              });
              const fills = (plot) => [...plot.querySelectorAll("text")].map((text) => getComputedStyle(text).fill);
              return [inks, all.map((plot) => [...new Set(fills(plot))])];
            }"""
        )
        for colours in drawn:
            assert inks[scheme][0] in colours
            assert set(colours) <= set(inks[scheme])
    assert inks["light"] != inks["dark"]


def test_every_day_of_a_period_can_be_read_in_its_box(heron: Player) -> None:
    heron.open("/trends/periods")
    for width in (320, 360, 390, 1280):
        heron.page.set_viewport_size({"width": width, "height": 640})
        heron.page.wait_for_function("(width) => document.documentElement.clientWidth === width", arg=width)
        cut_off = heron.page.locator("[type=date]").evaluate_all(
            """(boxes) => boxes.filter((box) => {
              const free = document.body.appendChild(box.cloneNode());
              free.style.width = "auto";
              const room = free.offsetWidth - 24; // without Chromium's own free space before the calendar's sign
              free.remove();
              return box.offsetWidth < room;
            }).map((box) => box.id)"""
        )
        assert cut_off == [], width


def test_every_plot_fits_the_phone_with_figures_that_can_be_read(heron: Player) -> None:
    player = heron
    player.open("/trends")
    seen = 0
    for question in QUESTIONS:
        ask(player, question)
        for plot in player.page.locator("svg.chart").filter(visible=True).all():
            seen += 1
            box = plot.bounding_box()
            assert box
            assert box["x"] >= 0
            assert box["x"] + box["width"] <= 360
            sizes = plot.locator("text").evaluate_all(
                "(all) => all.filter((text) => text.textContent).map((text) => text.getBoundingClientRect().height)"
            )
            assert min(sizes) >= 10
            spills = plot.evaluate(
                """(plot) => [...plot.querySelectorAll("text")].filter((text) => {
                  const outer = plot.getBoundingClientRect(), inner = text.getBoundingClientRect();
                  return inner.left < outer.left - 1 || inner.right > outer.right + 1;
                }).map((text) => text.textContent)"""
            )
            assert spills == []
    assert seen == PLOTS


@pytest.mark.parametrize("path", PAGES)
def test_nothing_is_lost_at_twice_the_type_on_a_narrow_screen(heron: Player, path: str) -> None:
    heron.page.set_viewport_size({"width": 320, "height": 640})
    heron.open(path)
    heron.page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert heron.page.evaluate("document.documentElement.scrollWidth") <= 320


def test_a_plots_figures_grow_with_the_type(heron: Player) -> None:
    player = heron
    player.open("/trends")
    heights = """() => [...document.querySelectorAll("svg.chart text")]
      .filter((text) => text.textContent && text.checkVisibility())
      .map((text) => text.getBoundingClientRect().height)"""
    at_once = min(player.page.evaluate(heights))
    player.page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert min(player.page.evaluate(heights)) >= 1.6 * at_once
    assert player.page.evaluate("document.documentElement.scrollWidth") <= 360


@pytest.mark.parametrize("path", [*PAGES, "a visit"])
def test_the_pages_can_be_read_by_ear_and_with_low_vision(heron: Player, server: Server, path: str) -> None:
    player = heron
    if path == "a visit":
        with server.directory() as directory, directory.open_book(player.book_id) as book:
            path = f"/visits/{reading.buckets(book)[1]['id']}"
    player.open(path)
    for details in player.page.locator("details").all():
        details.evaluate("(details) => { details.open = true; }")
    for question in QUESTIONS if path == "/trends" else ("",):
        if question:
            ask(player, question)
        expect_axe_finds_nothing(player.page)


def test_what_the_last_visit_says_can_be_read_without_signal(meet_ready: Callable[..., Player], server: Server) -> None:
    player = meet_ready(facts=demo_facts(now()))
    with server.directory() as directory, directory.open_book(player.book_id) as book:
        last, earlier = [f"/visits/{visit['id']}" for visit in reading.buckets(book)[:2]]
    player.open()
    player.wait_until_kept()
    until_kept(player.page, last)
    player.context.set_offline(True)
    player.open(last)
    expect(player.page.locator(".sentences li").first).to_be_visible()
    for path in (earlier, "/trends"):
        player.open(path)
        expect(player.page.get_by_role("heading", name="No signal")).to_be_visible()
        expect(player.page.get_by_text("Every ball noted here is safe on this phone.")).to_be_visible()
    player.page.get_by_role("link", name="Card").tap()
    expect(player.page.get_by_role("heading", name="Card", exact=True)).to_be_visible()
    player.context.set_offline(False)
    player.open("/trends")
    expect(player.page.locator("svg.chart")).to_have_count(PLOTS)


def test_another_number_is_two_touches_away(heron: Player) -> None:
    player = heron
    player.open("/trends")
    player.page.get_by_text("Another number").tap()
    player.page.get_by_role("link", name="46 full").tap()
    expect(player.page.locator(".verdict")).to_contain_text("46 full")
    expect(player.page.locator("svg.chart title").first).to_contain_text("46 full over")


def test_days_of_one_and_of_two_figures_begin_below_one_another(heron: Player) -> None:
    heron.open("/trends")
    for details in heron.page.locator("details").all():
        details.evaluate("(details) => { details.open = true; }")
    lefts = """(all) => all.map((link) => {
      const words = document.createRange();
      words.selectNodeContents(link);
      return Math.round(words.getBoundingClientRect().left);
    })"""
    begins = look_at_all(heron.page, "[aria-labelledby=number] tbody th a", lefts)
    assert len(begins) > 5
    assert len(set(begins)) == 1
