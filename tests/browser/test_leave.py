"""What to leave on the phone: the server's line and answer without signal, in the phone's unit, shut by card only.

Whether the phone works out and words it as the server does is asked in tests/browser/test_rules.py.
"""

import json
import re
from collections.abc import Callable, Iterator
from dataclasses import asdict
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.vectors.of_leave import CARDS
from webapp.books.demo import demo_facts
from webapp.units import LENGTH_M, YARD_M

from .chromium import now
from .conftest import as_before, expect_axe_finds_nothing
from .player import Player
from .waiting import until_kept

PATH = "/fits/leave"
ASKED = f"{PATH}?flag=240&roll=3&front=232&back=244"
BOTH = """async ([candidates, margin, unit, asked]) => {
  const { answer, question } = await import("/static/any/rules/fitting.js");
  const { leave, atFlag } = await import("/static/any/rules/leave.js");
  return asked.map((ahead) => {
    const found = leave(candidates, margin, unit, ahead);
    const fits = answer(question(ahead, margin), candidates).ranked.length > 0;
    return [fits, found.distances.length > 0 && atFlag(found, ahead.flag_m, unit) !== null];
  });
}"""

# What a reader hears of each change of a live region while two keys are typed.
HEAR_TWO_KEYS = """() => {
  globalThis.heard = [];
  const live = "[role=status], [role=alert], [aria-live]";
  const hear = (all) => {
    for (const { target } of all) {
      const region = (target.closest ?? target.parentElement.closest).call(target, live);
      if (region) heard.push(region.textContent);
      for (const one of target.querySelectorAll(live)) heard.push(one.textContent);
    }
  };
  new MutationObserver(hear).observe(document.querySelector("main"), { childList: true, subtree: true });
  const flag = document.querySelector("#flag");
  for (const typed of ["6", "62"]) {
    flag.value = typed;
    flag.dispatchEvent(new Event("input", { bubbles: true }));
  }
}"""


@pytest.fixture
def heron(meet_ready: Callable[..., Player]) -> Iterator[Player]:
    """Heron with the demo book and a ready phone, on the page of what to leave; nothing on it may fail."""
    with meet_ready(facts=demo_facts(now())).without_fault(PATH) as player:
        yield player


@pytest.fixture
def asking(phone_of_the_demo: Player) -> Iterator[Player]:
    """Heron with the demo book, on the page of what to leave, to ask and to look; nothing on it may fail."""
    with as_before(phone_of_the_demo).without_fault(PATH) as player:
        expect(player.page.locator(".leave-table")).to_have_count(0)  # the script fills it when it is looked at
        yield player


def said(page: Page) -> str:
    texts = page.locator("#line h2, #line p, #said h2, #said li").all_text_contents()
    return re.sub(r"\s+", "", "|".join(texts))


def ask(page: Page, **asked: str) -> None:
    for name, value in asked.items():
        page.locator(f"#{name}").fill(value)


def test_without_signal_it_says_and_draws_what_the_server_did(heron: Player, plain: Page) -> None:
    plain.goto(heron.url + ASKED)
    wanted, drawn = said(plain), plain.locator("#line svg *").count()
    until_kept(heron.page, PATH)
    heron.context.set_offline(True)
    heron.open(PATH)
    expect(heron.page.locator("#line h2")).to_have_text("35, 41 and 48 are best for you; 45 and 65 to 66 are worst.")
    ask(heron.page, flag="240", roll="3", front="232", back="244")
    expect(heron.page.get_by_role("heading", name="Leave 38: hit 202 now.")).to_be_visible()
    expect(heron.page.locator("#said .notice")).to_contain_text("202 is short of where the trouble ends")
    assert said(heron.page) == wanted
    assert heron.page.locator("#line svg *").count() == drawn
    heron.page.get_by_text("Every distance, as a table").tap()
    expect(heron.page.locator(".leave-table tbody tr")).to_have_count(78)


def test_keys_ask_without_typing_and_an_emptied_box_asks_the_card_by_itself(asking: Player) -> None:
    page = asking.page
    page.get_by_role("button", name="10 longer").tap()
    expect(page.locator("#flag")).to_have_value("122")
    expect(page.locator("#said h2")).to_contain_text("122 is in reach: 46 full, 42 balls in 100 land in.")
    ask(page, flag="")
    expect(page.locator("#said h2")).to_have_count(0)
    expect(page.locator("#said li")).to_have_count(3)
    ask(page, flag="62")
    expect(page.locator("#said h2")).to_have_text("62 is in reach: 56 9:00, 70 balls in 100 land in.")
    expect(page.locator("#said li")).to_have_count(4)
    ask(page, flag="32")  # the shortest number carries 35
    expect(page.locator("#said h2")).to_contain_text("32 is in reach: ")
    expect(page.locator("#said li")).to_have_count(1)
    expect(page.locator("#line h2")).to_have_text("32 is all there is.")


@pytest.mark.parametrize("unit", ["yd", "m"])
@pytest.mark.parametrize("name", ["two far apart", "three near", "with mishits", "alike"])
def test_a_flag_that_something_fits_is_in_reach(blank: Page, name: str, unit: str) -> None:
    """Short of the shortest number, between and beyond: every half yard or metre, with trouble and roll."""
    carries_m = [one.carry_m for one in CARDS[name]]
    card = json.loads(json.dumps([asdict(one) for one in CARDS[name]]))
    about: list[dict[str, Any]] = [{}, {"front": 2.0}, {"back": 3.0}, {"front": 4.0, "back": 1.0}, {"roll": 5.0}]
    asked, between = [], []
    for half in range(40, 240):
        flag_m = half / 2 * LENGTH_M[unit]
        for ends in about:
            front_m, back_m = (ends[end] * YARD_M if end in ends else None for end in ("front", "back"))
            asked.append({
                "flag_m": flag_m, "roll_m": ends.get("roll", 0.0),
                "front_m": front_m and flag_m - front_m, "back_m": back_m and flag_m + back_m,
            })  # fmt: skip
            carry_m = flag_m - asked[-1]["roll_m"]
            between.append(min(carries_m) <= carry_m <= max(carries_m))
    told = blank.evaluate(BOTH, [card, {"share": 0.08, "least_m": 4 * YARD_M}, unit, asked])
    assert [ahead for ahead, (fits, here) in zip(asked, told, strict=True) if fits and not here] == []
    outside = [fits for (fits, _), inside in zip(told, between, strict=True) if not inside]
    assert 0 < sum(outside) < len(outside)


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ({"flag": "240", "front": "244", "back": "232"}, "lies behind the trouble at the back"),
        ({"roll": "3"}, "Say how far is left"),
        ({"flag": "5", "roll": "6"}, "at your feet or out of reach"),
    ],
)
def test_a_bad_question_gets_a_sentence_at_once(asking: Player, asked: dict[str, str], sentence: str) -> None:
    ask(asking.page, **asked)
    expect(asking.page.locator("#said")).to_contain_text(sentence)
    expect(asking.page.locator("#said li")).to_have_count(0)


def test_it_follows_the_phones_unit_without_signal(heron: Player) -> None:
    until_kept(heron.page, PATH)
    heron.context.set_offline(True)
    heron.page.evaluate("document.cookie = 'phone=%7B%22unit%22%3A%22m%22%7D; Path=/'")
    heron.open(PATH)
    heron.page.get_by_text("Every distance, as a table").tap()
    expect(heron.page.locator(".leave-table tbody tr")).to_have_count(71)
    expect(heron.page.locator(".leave-table thead th").first).to_have_text("m")


def test_a_page_kept_before_the_lock_refuses_to_answer_and_no_link_leads_to_it(heron: Player) -> None:
    heron.page.evaluate(
        """async () => {
          const base = document.querySelector("script[type=module]").src;
          await (await (await import(base)).take("ui/preferences.js")).prefer({ card_only: true });
        }"""
    )
    expect(heron.page.get_by_role("heading", name="Card only is on")).to_be_visible()
    expect(heron.page.locator("#ask")).to_have_count(0)
    heron.open("/card")
    expect(heron.page.get_by_role("link", name="What to leave")).to_have_count(0)


@pytest.mark.parametrize(
    ("path", "sentence"),
    [(PATH, "62 is in reach: 56 9:00, 70 balls in 100 land in."), ("/fits", "56 9:00: 14 of 20 in.")],
)
def test_of_an_answer_its_first_sentence_is_spoken_once_typing_pauses(asking: Player, path: str, sentence: str) -> None:
    """A reader hears each change of a live region, also where all of it is drawn anew."""
    page = asking.page
    asking.open(path)
    with asking.in_one_breath():  # typing pauses when the test says so
        page.evaluate(HEAR_TWO_KEYS)
        expect(page.locator("#said li")).not_to_have_count(0)
        assert page.evaluate("heard") == []
    page.clock.fast_forward(1000)
    expect(page.locator("#spoken")).to_have_text(sentence)
    assert page.evaluate("heard") == [sentence]


def test_a_touch_on_the_card_leads_to_it(asking: Player) -> None:
    asking.open("/card")
    asking.page.get_by_role("link", name="What to leave").tap()
    expect(asking.page.get_by_role("heading", name="What to leave")).to_be_visible()


def test_axe_finds_nothing(asking: Player) -> None:
    asking.open(ASKED)
    expect_axe_finds_nothing(asking.page)


def test_nothing_is_lost_at_twice_the_letter_size_on_a_narrow_phone(asking: Player) -> None:
    asking.page.set_viewport_size({"width": 320, "height": 640})
    asking.open(ASKED)
    asking.page.evaluate("() => { document.documentElement.style.fontSize = '200%'; }")
    assert asking.page.evaluate("() => document.documentElement.scrollWidth") <= 320
