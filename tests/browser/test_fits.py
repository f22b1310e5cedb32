"""Choosing a shot on the phone: the same answer as the server's without signal, card only, and notes after the round.

Sources: the worked examples and the acceptance walk (step 11, "three visits" 4 to 6) of the project's design.
Whether the phone ranks and words as the server does is asked in tests/browser/test_rules.py.
"""

import re
from collections.abc import Callable, Iterator
from typing import Literal

import pytest
from playwright.sync_api import Browser, Page, expect

from webapp.books.demo import demo_facts

from .chromium import FILL, facts_of, now
from .conftest import as_before, expect_axe_finds_nothing
from .player import Player
from .server import Server
from .waiting import look_at_all, until_forgotten, until_kept

F4 = "/fits?flag=66&front=58&back=70"
# Every row of the tables of all distances comes once more, one after the other: where it stood then and in the end.
PLACES_AS_THEY_ARRIVE = """() => {
  const corner = (cell) => { const box = cell.getBoundingClientRect(); return [box.x, box.y]; };
  const place = (row) => JSON.stringify([...row.cells].map(corner));
  const whole = document.querySelector(".yardage");
  const rows = [...whole.querySelectorAll("tr")].map((row) => [row.closest("table"), row.parentElement, row]);
  for (const [table, , row] of rows) { row.remove(); table.remove(); }
  const places = rows.map(([table, part, row]) => {
    whole.append(table);
    part.append(row);
    return { row, first: place(row) };
  });
  return places.map(({ row, first }) => ({ text: row.textContent, first, last: place(row) }));
}"""


@pytest.fixture
def heron(meet_ready: Callable[..., Player]) -> Iterator[Player]:
    """Heron with the demo book and a ready phone, on the page of what fits; nothing on it may fail."""
    with meet_ready(facts=demo_facts(now())).without_fault("/fits") as player:
        yield player


@pytest.fixture
def asking(phone_of_the_demo: Player) -> Iterator[Player]:
    """Heron with the demo book, on the page of what fits, to ask and to look; nothing on it may fail."""
    with as_before(phone_of_the_demo).without_fault("/fits") as player:
        yield player


@pytest.fixture
def without_script(phone_of_the_demo: Player, browser: Browser) -> Iterator[Page]:
    """The same book in a browser without JavaScript."""
    with browser.new_context(java_script_enabled=False) as context:
        context.add_cookies(phone_of_the_demo.context.cookies())  # type: ignore[arg-type]
        yield context.new_page()


def keep(player: Player, *paths: str) -> None:
    """Stay online until the worker holds these pages."""
    for path in paths:
        player.open(path)
        until_kept(player.page, path)


def ask(page: Page, flag: str, front: str = "", back: str = "", roll: str = "") -> None:
    asked = {"How far": flag, "roll": roll, "trouble in front to": front, "trouble behind from": back}
    for label, value in asked.items():
        page.get_by_label(re.compile(label)).first.fill(value)


def answers(page: Page) -> list[str]:
    """Every answer as read, best first."""
    texts = page.locator("li.fit").all_text_contents()
    return [re.sub(r"\s+", " ", text.replace("\n", " ")).strip().replace(" ", "") for text in texts]


def test_without_signal_it_answers_as_the_server_did(heron: Player, plain: Page) -> None:
    plain.goto(heron.url + F4)
    said = answers(plain)
    keep(heron, "/fits")
    heron.context.set_offline(True)
    heron.open("/fits")
    ask(heron.page, "66", "58", "70")
    expect(heron.page.get_by_role("heading", name="Carry 66, in from 58 to 70")).to_be_visible()
    heron.page.get_by_text("All 16").tap()
    expect(heron.page.locator("li.fit")).to_have_count(16)
    assert answers(heron.page) == said
    assert len(said) == 16


def test_trouble_to_be_carried_without_its_end_is_asked_for_on_the_phone_too(asking: Player) -> None:
    must = asking.page.get_by_label("must carry the trouble")
    ask(asking.page, "66")
    expect(must).to_be_hidden()  # without trouble it is no question
    ask(asking.page, "66", "58")
    must.check()
    ask(asking.page, "66")
    expect(must).to_be_visible()
    missing = asking.page.get_by_text("say how far it reaches: “trouble in front to” is empty.")
    expect(missing).to_be_visible()
    ask(asking.page, "66", "58")
    expect(missing).to_be_hidden()


def test_it_asks_for_135_and_hears_that_nothing_fits(asking: Player) -> None:
    ask(asking.page, "135")
    sentence = "Nothing fits 135. Closest is 46 full: it carries 112, 23 short."
    expect(asking.page.locator("#said")).to_contain_text(sentence)
    assert len(answers(asking.page)) == 1


def test_big_keys_and_the_slide_ask_without_typing(asking: Player) -> None:
    page = asking.page
    ask(page, "60")
    page.get_by_role("button", name="5 longer").tap()
    page.get_by_role("button", name="1 longer").tap()
    expect(page.get_by_role("heading", name="Carry 66")).to_be_visible()
    page.get_by_label("How far, by sliding").fill("71")
    expect(page.get_by_role("heading", name="Carry 71")).to_be_visible()
    expect(page.get_by_label("How far yards")).to_have_value("71")


def test_a_flag_with_roll_says_where_to_land(asking: Player) -> None:
    ask(asking.page, "62", front="52", roll="4")
    expect(asking.page.get_by_role("heading", name="Land 58 for a flag at 62, in from 52 to 63")).to_be_visible()


@pytest.mark.parametrize(
    ("flag", "front", "back", "sentence"),
    [
        ("66", "70", "58", "lies behind the trouble at the back"),
        ("0", "", "", "at your feet or out of reach"),
        ("9999", "", "", "at your feet or out of reach"),
        ("66", "-3", "60", "past the trouble at the back"),
    ],
)
def test_a_bad_question_gets_a_sentence_at_once(
    asking: Player, flag: str, front: str, back: str, sentence: str
) -> None:
    ask(asking.page, flag, front, back)
    expect(asking.page.locator("#said")).to_contain_text(sentence)
    assert answers(asking.page) == []


def test_the_question_follows_the_phones_unit_without_signal(heron: Player) -> None:
    keep(heron, "/fits")
    heron.context.set_offline(True)
    cookie = "phone=" + "%7B%22unit%22%3A%22m%22%7D; Path=/"
    heron.page.evaluate("(cookie) => { document.cookie = cookie; }", cookie)
    heron.open("/fits")
    ask(heron.page, "56")
    expect(heron.page.locator("li.fit").first).to_contain_text("carries 56, settled")


def test_card_only_shuts_what_fits_at_once_without_signal_and_after_a_reload(heron: Player) -> None:
    page = heron.page
    keep(heron, "/yardage", "/card", "/round", "/fits")
    heron.context.set_offline(True)
    heron.open("/round")
    page.get_by_role("button", name="Card only").tap()
    expect(page.get_by_role("heading", name="Card only is on")).to_be_visible()
    until_forgotten(page, "/fits")
    expect(page.get_by_role("link", name="What fits")).to_have_count(0)
    heron.open("/card")
    expect(page.get_by_role("link", name="What fits")).to_have_count(0)
    expect(page.get_by_role("heading", name="Card", exact=True)).to_be_visible()
    heron.open("/round")
    expect(page.get_by_role("heading", name="Card only is on")).to_be_visible()
    heron.context.set_offline(False)
    answer = page.goto(heron.url + "/fits")
    assert answer
    assert answer.status == 403
    expect(page.locator("main")).to_contain_text("the committee decides")
    expect(page.get_by_role("main").get_by_role("link", name="Card only")).to_have_attribute("href", "/round")
    assert answers(page) == []


def test_card_only_shuts_what_fits_on_a_full_phone_without_signal(meet_ready: Callable[..., Player]) -> None:
    player = meet_ready(facts=demo_facts(now()))
    page = player.page
    # Before anything is kept: for half a minute Chromium goes by the room it found at the first write.
    devtools = player.context.new_cdp_session(page)
    devtools.send("Storage.overrideQuotaForOrigin", {"origin": player.url, "quotaSize": 5_000_000})
    keep(player, "/card", "/round", "/fits")
    player.open("/round")
    page.evaluate(FILL)
    player.context.set_offline(True)
    page.get_by_role("button", name="Card only").tap()
    expect(page.get_by_role("heading", name="Card only is on")).to_be_visible()
    until_forgotten(page, "/fits")
    assert player.faults == []


def test_a_page_kept_before_the_lock_refuses_to_answer(heron: Player) -> None:
    page = heron.page
    page.evaluate(
        """async () => {
          const base = document.querySelector("script[type=module]").src;
          await (await (await import(base)).take("ui/preferences.js")).prefer({ card_only: true });
        }"""
    )
    expect(page.get_by_role("heading", name="Card only is on")).to_be_visible()
    expect(page.locator("#ask")).to_have_count(0)


def test_lifting_asks_once_and_opens_what_fits_again(heron: Player) -> None:
    page = heron.page
    heron.open("/round")
    page.get_by_role("button", name="Card only").tap()
    page.get_by_text("Lift card only", exact=True).tap()
    page.get_by_role("button", name="Yes, lift card only").tap()
    expect(page.get_by_role("heading", name="For a round")).to_be_visible()
    heron.open("/card")
    until_kept(page, "/fits")
    heron.open("/fits")
    ask(page, "66")
    expect(page.locator("li.fit").first).to_be_visible()


def test_two_touches_note_a_shot_of_the_round_without_signal(heron: Player, server: Server) -> None:
    page = heron.page
    keep(heron, "/round/notes")
    heron.context.set_offline(True)
    heron.open("/round/notes")
    heron.forget_touches()
    short = page.get_by_role("button", name="short", exact=True)
    before = short.bounding_box()
    page.get_by_role("button", name="61", exact=True).tap()
    short.tap()
    expect(page.locator("main")).to_contain_text("Saved on this phone: meant 61, landed short.")
    expect(page.get_by_text("saved on this phone", exact=True)).to_be_visible()
    assert heron.touches == 2
    assert short.bounding_box() == before
    heron.wait_out_fresh()  # what is fresh is not sent yet
    with page.expect_response(re.compile("/api/facts$")):
        heron.context.set_offline(False)
    notes = [fact["body"] for fact in facts_of(server, heron.book_id) if fact["kind"] == "note"]
    assert notes == [{"words": "meant_m=55.7784 landed=short lie=level", "about": "course"}]


def test_without_javascript_it_asks_answers_and_locks(heron: Player, plain: Page) -> None:
    plain.goto(heron.url + "/fits")
    ask(plain, "135")
    plain.get_by_role("button", name="What fits").click()
    expect(plain.locator("#said")).to_contain_text("Nothing fits 135.")
    plain.goto(heron.url + "/round")
    plain.get_by_role("button", name="Card only").click()
    expect(plain.get_by_role("heading", name="Card only is on")).to_be_visible()
    answer = plain.goto(heron.url + "/fits")
    assert answer
    assert answer.status == 403


def test_a_phone_held_across_shows_the_best_answer_beside_the_question(asking: Player) -> None:
    asking.page.set_viewport_size({"width": 640, "height": 360})
    asking.open("/fits")
    foot = asking.page.locator(".foot").bounding_box()
    answer = asking.page.locator("li.fit").first.bounding_box()
    assert foot
    assert answer
    assert answer["y"] + answer["height"] <= foot["y"]
    expect(asking.page.get_by_label("How far").first).to_be_in_viewport(ratio=1)


@pytest.mark.parametrize("width", [360, 820])
def test_every_distance_stands_still_while_its_tables_arrive(asking: Player, width: int) -> None:
    asking.page.set_viewport_size({"width": width, "height": 800})
    asking.open("/yardage")
    places = asking.page.evaluate(PLACES_AS_THEY_ARRIVE)
    assert len(places) > 50
    assert [late for late in places if late["first"] != late["last"]] == []


@pytest.mark.parametrize("path", ["/fits?flag=240", "/fits?flag=400&front=300", "/fits/leave"])
def test_the_figures_below_the_ground_stand_clear_of_each_other_as_the_server_drew_them(
    asking: Player, without_script: Page, path: str
) -> None:
    without_script.goto(asking.url + path)
    asking.open(path)
    figures = (
        """() => [...document.querySelectorAll(".ground-drawing")][0].querySelectorAll("text[text-anchor=middle]")"""
    )
    told = f"""() => [...({figures})()].map((one) => one.textContent)"""
    assert asking.page.evaluate(told) == without_script.evaluate(told)
    apart = f"""() => [...({figures})()].filter((one) => !one.matches(".peak-name")).map((one) => one.getBBox())
      .map((one, place, all) => place ? one.x - all[place - 1].x - all[place - 1].width : 9)"""
    assert min(asking.page.evaluate(apart)) > 4


@pytest.mark.parametrize("media", ["screen", "print"])
def test_every_distance_marks_what_is_not_settled_as_the_card_does(
    asking: Player, media: Literal["screen", "print"]
) -> None:
    asking.open("/yardage")
    asking.page.emulate_media(media=media)
    marks = asking.page.evaluate(
        """() => Object.fromEntries([...document.querySelectorAll(".yardage [data-trust]")].map((cell) =>
          [cell.dataset.trust, getComputedStyle(cell.querySelector(".shot")).outlineStyle]))"""
    )
    assert marks == {"settled": "none", "early": "solid", "old": "solid", "guess": "dashed"}


def test_no_mark_of_every_distance_touches_a_figure(asking: Player) -> None:
    asking.open("/yardage")
    asking.page.set_viewport_size({"width": 360, "height": 640})
    touching = asking.page.evaluate(
        """() => [...document.querySelectorAll(".yardage tbody tr")].filter((row) => {
          const chance = document.createRange();
          chance.selectNodeContents(row.lastElementChild);
          const shot = row.querySelector(".shot").getBoundingClientRect();
          return shot.right + 3 > chance.getBoundingClientRect().left;
        }).map((row) => row.textContent)"""
    )
    assert touching == []


def test_every_distance_stands_in_one_line(asking: Player) -> None:
    asking.open("/yardage")
    for width in (360, 412):
        asking.page.set_viewport_size({"width": width, "height": 640})
        lines = """(all) => all.filter((one) => {
          const range = document.createRange();
          range.selectNodeContents(one);
          return new Set([...range.getClientRects()].map(({ top }) => Math.round(top))).size > 1;
        }).map((one) => one.textContent)"""
        assert look_at_all(asking.page, ".yardage tbody th", lines) == []


@pytest.mark.parametrize("path", [F4, "/fits?flag=135", "/yardage", "/round", "/round/notes"])
def test_axe_finds_nothing(asking: Player, path: str) -> None:
    asking.open(path)
    expect_axe_finds_nothing(asking.page)


@pytest.mark.parametrize("path", [F4, "/yardage", "/round", "/round/notes"])
def test_nothing_is_lost_at_twice_the_letter_size_on_a_narrow_phone(asking: Player, path: str) -> None:
    asking.page.set_viewport_size({"width": 320, "height": 640})
    asking.open(path)
    asking.page.evaluate("() => { document.documentElement.style.fontSize = '200%'; }")
    assert asking.page.evaluate("() => document.documentElement.scrollWidth") <= 320
