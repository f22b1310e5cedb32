"""Names of forty letters widen no page, ordinary names of words are read whole, names of two letters in one piece.

Sources: the project's own limits of names (webapp/facts.py); the rest is our choice, no source.
"""

from collections.abc import Callable
from io import BytesIO
from itertools import pairwise, product

import pytest
from playwright.sync_api import expect
from pypdf import PdfReader

from tests.factories import Raw, a_bucket, a_club, a_full_carry, a_setting, a_swing, f1_balls, the_demo_set
from webapp.books.demo import demo_facts
from webapp.moments import moved

from .chromium import PHONE, now
from .conftest import as_before
from .player import Player
from .server import Server
from .test_any_table import LEAST_BETWEEN
from .waiting import look_at_all

LONGEST = 40
PAGES = (
    "/bucket", "/card", "/card/{club}/90", "/bag", "/fits?carry=80", "/trends", "/trends/periods", "/visits",
    "/visits/last", "/practice", "/links", "/print", "/yardage", "/w/{token}", "/w/{token}/homework",
    "/w/{token}/periods",
)  # fmt: skip
WORDS = {"42": "Attack wedge", "46": "Pitching wedge", "51": "Gap wedge", "56": "Sand wedge", "60": "Lob wedge"}
SWINGS = {45.0: "hip high", 90.0: "chest high", 135.0: "three-quarter", 180.0: "all the way"}
BROKEN = """all => all.filter((name) => {
  const lines = name.getBoundingClientRect().height / parseFloat(getComputedStyle(name).fontSize);
  return name.getClientRects().length > 1 || lines > 1.9;
}).map((name) => name.outerHTML)"""


@pytest.fixture
def named(meet: Callable[..., Player], server: Server) -> tuple[Player, dict[str, str]]:
    """A player all of whose names are as long as they may be, and what the addresses of his pages hold."""
    begun = moved(now(), hours=-3)
    clubs = [a_club(letter * LONGEST, loft_deg=46 + 4 * at, made_at=begun) for at, letter in enumerate("Wz")]
    bucket = a_bucket(begun, place="M" * LONGEST)
    balls = [ball for club in clubs for ball in f1_balls(bucket, club, begun)]
    carries = [a_full_carry(club, 110 - 9 * at, begun) for at, club in enumerate(clubs)]
    facts = [*clubs, *carries, bucket, *balls, a_setting("nickname", "N" * LONGEST, begun)]
    player = meet(facts=facts)
    with server.directory() as directory:
        profile = {"shows": "shots", "nickname": True, "days": True}
        token = directory.new_link(player.book_id, "l" * 30, now(), moved(now(), days=9), profile)
    return player, {"club": clubs[0]["id"], "token": token}


def test_the_longest_names_widen_no_page(named: tuple[Player, dict[str, str]]) -> None:
    player, held = named
    for page in PAGES:
        player.page.goto(player.url + page.format(**held))
        player.page.locator("main").wait_for()
        assert player.page.evaluate("document.documentElement.scrollWidth") <= PHONE["viewport"]["width"], page


def test_a_name_of_two_letters_is_never_broken(meet: Callable[..., Player]) -> None:
    player = meet(facts=the_demo_set(now()))
    for page in PAGES[:2] + PAGES[3:12]:
        player.page.goto(player.url + page)
        player.page.locator("main").wait_for()
        player.page.evaluate("document.fonts.ready.then(() => null)")
        for text in ("100%", "200%"):
            player.page.evaluate("(text) => { document.documentElement.style.fontSize = text; }", text)
            assert look_at_all(player.page, "span.tab", BROKEN) == [], (page, text)


def in_words(begun: str, swings: dict[float, str] = SWINGS) -> list[Raw]:
    """Five wedges and four swings with ordinary names of words, and the full carries."""
    clubs = [a_club(name, loft_deg=float(loft), made_at=begun) for loft, name in WORDS.items()]
    carries = [a_full_carry(club, 125 - 13 * at, begun) for at, club in enumerate(clubs)]
    return [*clubs, *carries, *(a_swing(swing_deg, name, begun) for swing_deg, name in swings.items())]


def hold_at(player: Player, width: int) -> None:
    """The page at this width, once it stands in it."""
    player.page.set_viewport_size({"width": width, "height": 800})
    player.page.wait_for_function("(width) => document.documentElement.clientWidth === width", arg=width)


@pytest.fixture(scope="module")
def phone_in_words(meet_for_all: Callable[..., Player]) -> Player:
    """The phone of every test that only looks at that book."""
    return meet_for_all(facts=in_words(moved(now(), hours=-3)))


@pytest.fixture
def worded(phone_in_words: Player) -> Player:
    return as_before(phone_in_words)


def test_no_chance_of_every_distance_stands_over_its_shot(worded: Player) -> None:
    over = """(all) => all.filter((row) => {
      const [shot, chance] = [row.querySelector(".shot"), row.lastElementChild].map((words) => {
        const text = document.createRange();
        text.selectNodeContents(words);
        return text.getBoundingClientRect();
      });
      return shot.right > chance.left;
    }).map((row) => row.textContent)"""
    for width in (360, 820):
        worded.page.set_viewport_size({"width": width, "height": 800})
        worded.open("/yardage")
        worded.page.evaluate("document.fonts.ready.then(() => null)")
        assert look_at_all(worded.page, ".yardage tbody tr", over) == [], width
        assert worded.page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("named_in_words", [False, True])
def test_every_distance_is_one_page_of_paper(meet: Callable[..., Player], named_in_words: bool) -> None:
    facts = in_words(moved(now(), hours=-3)) if named_in_words else the_demo_set(now())
    player = meet(facts=facts)
    player.page.goto(player.url + "/yardage")
    for paper in ("A4", "Letter"):
        printed = player.page.pdf(prefer_css_page_size=True, format=paper)
        assert len(PdfReader(BytesIO(printed)).pages) == 1, paper


def test_every_distance_is_read_downwards_or_across_but_never_back(worded: Player) -> None:
    for width in (360, 412, 600, 820):
        worded.page.set_viewport_size({"width": width, "height": 800})
        worded.open("/yardage")
        corners = "all => all.map((table) => [table.offsetLeft, table.offsetTop])"
        places = look_at_all(worded.page, ".yardage table", corners)
        assert len({left for left, _ in places}) == 1 or len({top for _, top in places}) == 1, width


LINES = """(all) => all.filter((one) => one.checkVisibility({ contentVisibilityAuto: true })).map((one) => {
  const text = document.createRange();
  text.selectNodeContents(one);
  return new Set([...text.getClientRects()].map(({ top }) => Math.round(top))).size;
})"""
WHOLE_WORDS = r"""(all) => all.flatMap((name) => [...name.textContent.matchAll(/[^\s-]+/g)].filter((word) => {
  const text = document.createRange();
  text.setStart(name.firstChild, word.index);
  text.setEnd(name.firstChild, word.index + word[0].length);
  return new Set([...text.getClientRects()].map(({ top }) => Math.round(top))).size > 1;
}).map((word) => word[0]))"""
UPRIGHT = {45.0: "hip high", 90.0: "chest high", 135.0: "shoulder high", 165.0: "three-quarter", 180.0: "all the way"}


def test_a_swings_words_are_never_broken(meet: Callable[..., Player]) -> None:
    facts = in_words(moved(now(), hours=-3), UPRIGHT)
    facts[0]["body"]["name"] = "Approach wedge"
    player = meet(facts=facts)
    for width in (360, 390, 1280):
        player.page.set_viewport_size({"width": width, "height": 800})
        player.open("/card")
        player.page.get_by_text("Table", exact=True).dispatch_event("click")
        assert look_at_all(player.page, ".swing-table .swing-name", WHOLE_WORDS) == [], width
    player.open()
    player.start_bucket()
    player.button("next call").tap()
    names = """(all) => ALL(all.map((head) => ({ firstChild: head.lastChild, textContent: head.lastChild.data })))"""
    for width in (360, 390, 1280):
        hold_at(player, width)
        assert look_at_all(player.page, "#cells th", names.replace("ALL", f"({WHOLE_WORDS})")) == [], width


APART_IN_THE_CALL = """() => {
  const head = document.querySelector("#call").getBoundingClientRect();
  const parts = [".club-name", ".arm-place", ".swing-name", ".meant-number"].map((selector) => {
    const words = document.createRange();
    words.selectNodeContents(document.querySelector(selector));
    return words.getBoundingClientRect();
  });
  const ends = parts.map((part, at) => (parts[at + 1]?.left ?? head.right) - part.right);
  // Letters leave the head and the foot of a line empty.
  const feet = parts.map((part) => 6 + Math.min(part.top - head.top, head.bottom - part.bottom));
  return [...ends, ...feet].filter((gap) => gap < 0);
}"""
FINISHES = {45.0: "hip high", 90.0: "chest high", 135.0: "three-quarter", 180.0: "full finish"}


def test_a_call_in_words_is_read_from_where_a_player_stands(meet: Callable[..., Player]) -> None:
    player = meet(facts=in_words(moved(now(), hours=-3), FINISHES))
    player.open()
    player.start_bucket()
    player.page.evaluate("document.fonts.ready.then(() => null)")
    for club, swing in (("Pitching wedge", "full finish"), ("Gap wedge", "three-quarter")):
        player.call(club, swing)
        for mode, least in (("make the swing", 0.06), ("hit the number", 0.05)):
            expect(player.page.locator("#called")).to_contain_text(mode)
            for width, text in product((320, 360, 390), ("100%", "200%")):
                player.hold_at(width, 640, text)
                which = (club, mode, width, text)
                sizes = "all => all.map((name) => parseFloat(getComputedStyle(name).fontSize))"
                assert min(look_at_all(player.page, "#call :is(.club-name, .swing-name)", sizes)) >= least * width, (
                    which
                )
                assert look_at_all(player.page, "#call :is(.club-name, .swing-name)", WHOLE_WORDS) == [], which
                assert player.page.evaluate(APART_IN_THE_CALL) == [], which
            player.hold_at(360, 640)
            player.page.locator("#truth").tap()


def test_no_letters_feet_are_cut_off_the_call(meet: Callable[..., Player]) -> None:
    player = meet(facts=in_words(moved(now(), hours=-3)))
    player.page.set_viewport_size({"width": 820, "height": 800})
    player.open()
    player.start_bucket()
    player.call("Sand wedge", "chest high")
    player.page.evaluate("document.fonts.ready.then(() => null)")
    for width in (820, 1280):
        player.hold_at(width, 800)
        ends = player.page.locator("#call .swing-name").evaluate("""(name) => {
          const { font, lineHeight } = getComputedStyle(name);
          const pen = Object.assign(document.createElement("canvas").getContext("2d"), { font });
          const letters = pen.measureText(name.textContent);
          const { fontBoundingBoxAscent: above, fontBoundingBoxDescent: below } = letters;
          const line = name.getBoundingClientRect().top + (parseFloat(lineHeight) - above - below) / 2 + above;
          const head = name.closest("#call").getBoundingClientRect();
          const { actualBoundingBoxAscent: top, actualBoundingBoxDescent: feet } = letters;
          return [line - top - head.top, head.bottom - line - feet];
        }""")
        assert min(ends) >= 0, width


def test_the_wedges_of_the_cards_table_stand_apart(worded: Player) -> None:
    worded.open("/card")
    worded.page.get_by_role("radio", name="Table").check()
    places = look_at_all(
        worded.page,
        ".swing-table .tab",
        "all => all.map((tab) => tab.getBoundingClientRect()).map(({ left, right, top }) => ({ left, right, top }))",
    )
    for one, other in pairwise(places):
        assert other["left"] - one["right"] >= 2 or other["top"] > one["top"] + 50


def test_the_wedges_words_are_whole_in_the_cards_table(played: Player) -> None:
    played.open("/card")
    played.page.get_by_role("radio", name="Table").check()
    played.page.evaluate("document.fonts.ready.then(() => null)")
    assert look_at_all(played.page, ".swing-table .tab", WHOLE_WORDS) == []


def test_the_strip_below_the_dial_is_no_higher_for_names_in_words(played: Player) -> None:
    played.open("/card")
    played.page.evaluate("document.fonts.ready.then(() => null)")
    (high,) = look_at_all(played.page, ".answer:not([hidden])", "all => all.map((one) => one.offsetHeight)")
    assert high <= 96


def test_a_coach_reads_two_periods_as_the_player_does(played: Player, server: Server) -> None:
    with server.directory() as directory:
        token = directory.new_link(played.book_id, "a coach", now(), moved(now(), days=9), {"shows": "shots"})
    played.page.goto(f"{played.url}/w/{token}/periods?what=three")
    hidden = look_at_all(played.page, ".scroll", "all => all.map((one) => one.scrollWidth - one.clientWidth)")
    assert max(hidden) == 0
    assert set(look_at_all(played.page, "[aria-labelledby=cells] td.said a", LINES)) == {1}


@pytest.mark.parametrize("page", ["/trends/year", "/trends/periods?what=three"])
def test_a_number_of_figures_stands_in_one_line(phone_of_the_demo: Player, page: str) -> None:
    player = as_before(phone_of_the_demo)
    player.open(page)
    assert set(look_at_all(player.page, "th.cell-name", LINES)) == {1}


@pytest.fixture(scope="module")
def phone_of_words(meet_for_all: Callable[..., Player]) -> Player:
    """The phone of every test that only looks at the demo book's balls under names of words."""
    begun = moved(now(), hours=-3)
    facts = demo_facts(now())
    for club in (fact for fact in facts if fact["kind"] == "club"):
        club["body"]["name"] = WORDS[club["body"]["name"]]
    return meet_for_all(facts=[*facts, *(a_swing(swing_deg, name, begun) for swing_deg, name in SWINGS.items())])


@pytest.fixture
def played(phone_of_words: Player) -> Player:
    return as_before(phone_of_words)


@pytest.mark.parametrize("page", ["/trends/year", "/trends/periods?what=three"])
def test_every_verdict_is_in_sight(played: Player, page: str) -> None:
    played.open(page)
    played.page.evaluate("document.fonts.ready.then(() => null)")
    for width in (360, 390):
        hold_at(played, width)
        hidden = look_at_all(played.page, ".scroll", "all => all.map((one) => one.scrollWidth - one.clientWidth)")
        assert max(hidden) == 0, width


def test_a_coach_picks_among_four_wedges_without_scrolling_aside(played: Player, server: Server) -> None:
    with server.directory() as directory:
        token = directory.new_link(played.book_id, "a coach", now(), moved(now(), days=9), {})
    played.page.goto(f"{played.url}/w/{token}/homework")
    played.page.evaluate("document.fonts.ready.then(() => null)")
    hidden = look_at_all(played.page, ".pick", "all => all.map((one) => one.scrollWidth - one.clientWidth)")
    assert hidden == [0]
    assert look_at_all(played.page, ".pick .tab", WHOLE_WORDS) == []


def test_a_wedges_name_is_read_whole_in_the_bag(worded: Player) -> None:
    worded.open("/bag")
    for width in (360, 390):
        hold_at(worded, width)
        hidden = look_at_all(worded.page, "[name$=name]", "all => all.map((box) => box.scrollWidth - box.clientWidth)")
        assert max(hidden) == 0, width


def test_what_two_periods_say_of_a_number_stands_apart_on_a_phone(played: Player) -> None:
    played.open("/trends/periods?what=three")
    played.page.evaluate("document.fonts.ready.then(() => null)")
    for width, least in ((360, 4), (390, 8)):
        hold_at(played, width)
        assert look_at_all(played.page, "[aria-labelledby=cells] > .scroll tbody tr", LEAST_BETWEEN) >= least, width
