"""Conditions on the phone with and without signal, and one shot's delivery numbers, in a real browser.

The shared answers are made by tests/vectors/make_conditions.py. The pitch is common practice, no source.
"""

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, Route, expect

from tests.factories import Raw, a_bucket, a_setting, a_shot, the_demo_set
from webapp.units import YARD_M

from .chromium import now
from .conftest import as_before, expect_axe_finds_nothing
from .player import Player
from .waiting import look_at_all, until_kept

TOLD = json.loads((Path(__file__).parents[1] / "vectors" / "conditions.json").read_text())
RUN = """async ({ ladders, cases }) => {
  const base = document.querySelector("script[type=module]").src;
  const { dayOf, flies, plays } = await (await import(base)).take("rules/conditions.js");
  const { doubts, note, sentence } = await (await import(base)).take("rules/condition_words.js");
  return cases.map(({ home, asked_m, today, unit }) => {
    const problems = doubts(today, asked_m, unit, "c", "m");
    if (problems.length) return { doubts: problems };
    const day = dayOf(ladders[home], today);
    const found = plays(day, asked_m);
    const flown = day.rungs.map((_, place) => flies(day, place));
    return {
      ...found, sentence: sentence(asked_m, found, ladders[home].home, today, unit, "plays"), note: note(asked_m, unit),
      flies: flown.map((one) => (one.refused ? [one.refused] : [one.low_m, one.carry_m, one.high_m])),
    };
  });
}"""
LATER = re.compile(r"/later\.js")
ASKED = "/conditions?carry=80&temperature=4&wind=10&speed_unit=mph&wind_to=into&height=3&side=up"
PITCH = {"attack_deg": -5, "path_deg": 3.4, "face_deg": 0.0, "dynamic_loft_deg": 45, "launch_deg": 36}


def a_book(hand: str = "right", **delivery: float) -> list[Raw]:
    """The demo set made at 20 degrees and 50 m, with one 50-yard pitch with the 56."""
    at = now()
    clubs, visit = the_demo_set(at), a_bucket(at, ball="own")
    shot = a_shot(visit, clubs[2], 47, at, meant_carry_m=50 * YARD_M, delivery=delivery)
    settings = {"hand": hand, "home_temperature_c": 20, "home_altitude_m": 50}
    return [*clubs, visit, shot, *(a_setting(name, value, at) for name, value in settings.items())]


PITCHED = a_book(**PITCH)


def shot_page(facts: list[Raw]) -> str:
    return next(f"/shots/{fact['root']}" for fact in facts if fact["kind"] == "shot")


@pytest.fixture
def heron(meet: Callable[..., Player]) -> Iterator[Player]:
    """Heron on the page of conditions; nothing on it may fail."""
    with meet(facts=a_book()).without_fault("/conditions") as player:
        yield player


@pytest.fixture
def ready(meet_ready: Callable[..., Player]) -> Iterator[Player]:
    """Heron with a phone that is ready for the day without signal, on the page of conditions; nothing may fail."""
    with meet_ready(facts=a_book()).without_fault("/conditions") as player:
        yield player


@pytest.fixture(scope="module")
def phone_that_asks(meet_for_all: Callable[..., Player]) -> Player:
    """The phone of every test that only asks and looks, with a measured pitch."""
    return meet_for_all(facts=PITCHED)


@pytest.fixture
def asking(phone_that_asks: Player) -> Iterator[Player]:
    """Heron on the page of conditions, to ask and to look; nothing on it may fail."""
    with as_before(phone_that_asks).without_fault("/conditions") as player:
        yield player


def ask(player: Player, **typed: str) -> None:
    expect(player.page.locator("body.scripted")).to_be_attached()
    names = {"carry": "carry to the target", "temperature": "temperature", "wind": "wind speed", "height": "above"}
    for name, value in typed.items():
        player.page.locator("#ask").get_by_role("textbox", name=names[name]).fill(value)
    player.button("Work it out").tap()


def test_the_phone_gives_pythons_answers_and_sentences(asking: Player) -> None:
    for case, found in zip(TOLD["cases"], asking.page.evaluate(RUN, TOLD), strict=True):
        told = case["answer"]
        for name in ("doubts", "sentence", "note"):
            assert found.get(name) == told.get(name), case
        if told.get("carry_m") is not None:
            assert found["at_least"] == told["at_least"], case
            # A tenth of a millimetre: the two languages add up the same steps in another order.
            for name in ("carry_m", "low_m", "high_m"):
                assert found[name] == pytest.approx(told[name], abs=1e-4), case
        for ours, theirs in zip(found.get("flies", []), told.get("flies", []), strict=True):
            assert ours == (pytest.approx(theirs, abs=1e-4) if len(theirs) > 1 else theirs), case


def test_a_wide_screen_cuts_no_word_of_the_question(asking: Player) -> None:
    asking.page.set_viewport_size({"width": 1280, "height": 800})
    cut = "all => all.filter((box) => box.scrollWidth > box.clientWidth + 1 || box.clientWidth < 64).length"
    assert look_at_all(asking.page, "#ask :is([data-typed], select)", cut) == 0


def open_without_signal(ready: Player) -> None:
    """From the card by way of More, once both pages are kept and the signal gone."""
    ready.open("/card")
    for path in ("/more", "/conditions"):
        until_kept(ready.page, path)
    ready.context.set_offline(True)
    ready.page.get_by_role("link", name="More pages").tap()
    ready.page.get_by_role("link", name="Conditions").tap()


def test_fahrenheit_and_feet_are_chosen_once_and_hold_without_signal(ready: Player) -> None:
    open_without_signal(ready)
    expect(ready.page.locator("body.scripted")).to_be_attached()
    ready.page.get_by_label("unit of temperature").select_option("°F")
    ready.page.get_by_label("unit of altitude").select_option("ft")
    expect(ready.page.get_by_label("usual temperature")).to_have_value("68")
    expect(ready.page.locator("#home-form").get_by_role("textbox", name="altitude")).to_have_value("164")
    expect(ready.page.get_by_text("What is left empty")).to_contain_text("68 °F, 164 ft")
    ready.page.reload()
    ask(ready, carry="100", temperature="39.2")
    expect(ready.page.locator("#answer")).to_contain_text("100 yards plays 101 to 103 or more: colder air adds 2;")
    expect(ready.page.get_by_text("What is left empty")).to_contain_text("68 °F, 164 ft")


def test_a_typed_number_keeps_its_digits_when_its_unit_is_put_right(heron: Player) -> None:
    heron.page.locator("#ask").get_by_label("temperature", exact=True).fill("45")
    heron.page.get_by_label("unit of temperature").select_option("°F")
    expect(heron.page.locator("#ask").get_by_label("temperature", exact=True)).to_have_value("45")
    ask(heron, carry="100")
    # 45 °F are 7 °C, thirteen degrees colder than at home.
    expect(heron.page.locator("#answer")).to_contain_text("100 yards plays 101 to 103 or more: colder air adds 2;")


def test_home_shown_in_fahrenheit_and_kept_again_is_the_same_home(heron: Player) -> None:
    heron.page.get_by_label("unit of temperature").select_option("°F")
    expect(heron.page.get_by_label("usual temperature")).to_have_value("68")
    heron.button("Keep as home").tap()
    expect(heron.page.get_by_text("Kept. Your carries are unchanged")).to_be_visible()
    expect(heron.page.get_by_text("What is left empty")).to_contain_text("68 °F, 50 m")
    heron.page.get_by_label("unit of temperature").select_option("°C")
    expect(heron.page.get_by_text("What is left empty")).to_contain_text("20 °C, 50 m")


def test_a_unit_chosen_before_the_script_has_come_is_chosen_too(heron: Player) -> None:
    page, held = heron.page, list[Route]()
    page.get_by_label("unit of temperature").select_option("°F")
    page.route(LATER, lambda route: held.append(route))
    with page.expect_request(LATER):
        page.goto(heron.url + "/conditions", wait_until="commit")  # the load event waits for what is held
    page.get_by_label("unit of temperature").select_option("°C")
    held[0].continue_()
    expect(page.locator("body.scripted")).to_be_attached()
    expect(page.get_by_text("What is left empty")).to_contain_text("20 °C")


def test_without_signal_it_answers_from_the_cards_way_in(ready: Player) -> None:
    open_without_signal(ready)
    ask(ready, carry="100", temperature="4")
    expect(ready.page.locator("#answer")).to_contain_text("100 yards plays 101 to 103 or more: colder air adds 2;")
    expect(ready.page.locator("#answer")).to_contain_text("yards or more")
    expect(ready.page.get_by_role("columnheader", name="today, or less")).to_be_visible()


@pytest.mark.parametrize(
    ("carry", "words"), [(15, "hardly matter"), (60, ""), (100, "guessed, not measured: trust it less")]
)
def test_the_phone_adds_the_note_that_the_server_would(asking: Player, carry: int, words: str) -> None:
    ask(asking, carry=str(carry), temperature="10")
    expect(asking.page.locator("#answer")).to_contain_text(f"{carry} yards plays")
    expect(asking.page.locator("[data-part=note]")).to_contain_text(words)


def test_without_signal_a_refusal_says_why(ready: Player) -> None:
    open_without_signal(ready)
    ask(ready, carry="12", height="9")
    expect(ready.page.locator("#said")).to_contain_text("Cannot get there")
    expect(ready.page.locator("#answer")).to_be_hidden()
    ask(ready, carry="60", height="0", temperature="-60")
    expect(ready.page.locator("#said")).to_contain_text("A temperature of -60 °C is outside -20 °C to 50 °C")
    ask(ready, temperature="10")
    expect(ready.page.locator("#answer")).to_contain_text("60 yards plays")
    expect(ready.page.locator("#problems")).to_have_count(0)


def test_every_keystroke_is_answered_before_the_box_is_left(asking: Player) -> None:
    asking.page.get_by_label("carry to the target").press_sequentially("100")
    expect(asking.page.locator("#answer")).to_contain_text("nothing differs")
    asking.page.locator("#ask").get_by_label("temperature", exact=True).press_sequentially("4")
    expect(asking.page.locator("#answer")).to_contain_text("colder air adds")


def test_a_chosen_answer_counts_at_once(asking: Player) -> None:
    ask(asking, carry="80", wind="10")
    expect(asking.page.locator("#answer")).to_contain_text("wind against adds")
    asking.page.get_by_role("radio", name="behind").check()
    expect(asking.page.locator("#answer")).to_contain_text("wind behind takes off")


def test_card_only_shuts_a_page_that_was_kept_before(heron: Player) -> None:
    heron.page.evaluate(
        """async () => {
          const base = document.querySelector("script[type=module]").src;
          const { prefer } = await (await import(base)).take("ui/preferences.js");
          await prefer({ card_only: true });
        }"""
    )
    expect(heron.page.get_by_text("these sums are shut until it is lifted")).to_be_visible()
    expect(heron.page.locator("#ask")).to_be_hidden()


def test_without_javascript_it_asks_answers_and_keeps_home(heron: Player, plain: Page) -> None:
    plain.goto(heron.url + "/conditions")
    plain.get_by_label("carry to the target").fill("60")
    plain.get_by_label("above or below").fill("3")
    plain.get_by_role("button", name="Work it out").click()
    expect(plain.locator("#answer")).to_contain_text("60 yards plays 63 to 64: the target up adds 4.")
    plain.get_by_label("usual temperature").fill("-2")
    plain.get_by_role("button", name="Keep as home").click()
    expect(plain.locator("main")).to_contain_text("What is left empty is as at home: -2 °C, 50 m.")


def test_two_of_eight_delivery_numbers_are_typed_and_read(meet: Callable[..., Player]) -> None:
    facts = a_book()
    player = meet(facts=facts)
    player.open(shot_page(facts))
    player.page.get_by_label("attack").fill("-5.4")
    player.page.get_by_label("dynamic loft").fill("45.4")
    player.button("Keep these numbers").tap()
    expect(player.page.get_by_role("row", name="spin loft")).to_contain_text("50.8°")
    expect(player.page.get_by_role("row", name="face to path")).to_contain_text("–")
    expect(player.page.locator("[data-bar=attack_deg]")).to_contain_text("in, reference −7.0 to −3.0")
    assert player.faults == []


@pytest.mark.parametrize(("hand", "place", "words"), [("right", "in", "a touch of draw"), ("left", "over", "a fade")])
def test_the_bars_and_words_know_the_hand(meet: Callable[..., Player], hand: str, place: str, words: str) -> None:
    facts = a_book(hand, **PITCH)
    player = meet(facts=facts)
    player.open(shot_page(facts))
    assert player.page.locator("[data-bar=path_deg]").get_attribute("data-place") == place
    filled = player.page.locator("[data-bar=path_deg] .marker").get_attribute("fill")
    assert filled == ("currentColor" if place == "in" else "none")
    expect(player.page.locator("main")).to_contain_text(words.removeprefix("a "))
    marker, bar = (player.page.locator(f"[data-bar=launch_deg] {part}").bounding_box() for part in (".marker", "rect"))
    assert marker
    assert bar
    assert marker["x"] > bar["x"] + bar["width"] - marker["width"] / 2, "launch 36 stands past the reference's end"


@pytest.mark.parametrize("path", ["/conditions", ASKED, "shot"])
def test_axe_finds_nothing(asking: Player, path: str) -> None:
    asking.open(shot_page(PITCHED) if path == "shot" else path)
    expect_axe_finds_nothing(asking.page)


@pytest.mark.parametrize("path", [ASKED, "shot"])
def test_nothing_is_lost_at_twice_the_letter_size_on_a_narrow_phone(asking: Player, path: str) -> None:
    asking.page.set_viewport_size({"width": 320, "height": 640})
    asking.open(shot_page(PITCHED) if path == "shot" else path)
    asking.page.evaluate("() => { document.documentElement.style.fontSize = '200%'; }")
    assert asking.page.evaluate("() => document.documentElement.scrollWidth") <= 320
