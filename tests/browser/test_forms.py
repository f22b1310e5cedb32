"""Forms of pages that are older than what was chosen since, and forms that are sent twice on a slow line.

Source: the project's own design; that a second touch on a slow line means the same deed is common practice, no source.
"""

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.factories import the_demo_set
from webapp.units import YARD_M

from .chromium import facts_of, now
from .player import Player
from .server import Server
from .waiting import until_all_taken, until_kept

IN_METRES = "phone=" + "%7B%22unit%22%3A%22m%22%7D; Path=/"


def choose_metres_elsewhere(page: Page) -> None:
    """As another tab of this phone does."""
    page.evaluate("(cookie) => { document.cookie = cookie; }", IN_METRES)


def more_about_the_46(page: Page) -> None:
    page.get_by_text("More about the 46").tap()
    page.get_by_label("bounce and sole").first.fill("narrow")


def carries(server: Server, player: Player) -> list[float]:
    facts = facts_of(server, player.book_id)
    return [round(fact["body"]["carry_m"] / YARD_M, 2) for fact in facts if fact["kind"] == "full_carry"]


@pytest.mark.parametrize(
    ("path", "key"), [("/leaving", "Bring it in"), ("/table", "Look at it"), ("/start/file", "Go on with this book")]
)
def test_a_file_that_is_too_large_is_refused_before_it_is_sent(
    player: Player, tmp_path: Path, path: str, key: str
) -> None:
    large, brink, small = (tmp_path / f"{name}.csv" for name in ("large", "brink", "small"))
    for file_path, size in (
        (large, 41_000_000),
        (brink, 19_999_000),
    ):  # what a form sends around it makes that too much
        with file_path.open("wb") as file:
            file.truncate(size)
    small.write_text("no,table\n")
    if path == "/start/file":
        player.context.clear_cookies()
    page = player.page
    page.goto(player.url + path)
    expect(page.locator("body.scripted")).to_be_attached()
    sent: list[str] = []
    page.on("request", lambda request: sent.append(request.url) if request.method == "POST" else None)
    page.get_by_label("file", exact=path == "/table").set_input_files(large)
    expect(page.get_by_text("This file has 41 MB, and at most 20 MB can be brought.")).to_be_visible()
    page.get_by_label("file", exact=path == "/table").set_input_files(brink)
    expect(page.get_by_text("This file has 20 MB, and at most 20 MB can be brought.")).to_be_visible()
    player.button(key).tap()
    expect(page).to_have_url(player.url + path)
    assert sent == []
    page.get_by_label("file", exact=path == "/table").set_input_files(small)
    expect(page.get_by_text("This file has")).to_have_count(0)
    player.button(key).tap()
    expect(page.locator(".problems")).to_be_visible()


def test_a_bag_that_was_shown_in_yards_is_read_in_yards(player: Player, server: Server) -> None:
    before = carries(server, player)
    player.open("/bag")
    choose_metres_elsewhere(player.page)
    more_about_the_46(player.page)
    player.button("Keep changes").tap()
    expect(player.page.get_by_text("The 46 was changed.")).to_be_visible()
    expect(player.page.get_by_text("was changed.")).to_have_count(1)
    assert carries(server, player) == before


def test_a_ball_put_right_keeps_its_carry(hitting: Player, server: Server) -> None:
    hitting.touch(54, "clean")
    hitting.wait_out_fresh()
    until_all_taken(hitting.page, hitting.book_id)
    shot = next(fact for fact in facts_of(server, hitting.book_id) if fact["kind"] == "shot")
    hitting.open(f"/shots/{shot['root']}")
    choose_metres_elsewhere(hitting.page)
    hitting.page.get_by_role("radio", name="thin").check()
    with hitting.page.expect_navigation():
        hitting.button("Keep this").tap()
    last = [fact["body"] for fact in facts_of(server, hitting.book_id) if fact["root"] == shot["root"]][-1]
    assert (last["contact"], last["carry_m"]) == ("thin", shot["body"]["carry_m"])


@pytest.mark.parametrize("path", ["/round/notes", "/eye-check"])
def test_without_signal_a_kept_page_is_read_in_the_unit_it_shows(
    meet_ready: Callable[..., Player], server: Server, path: str
) -> None:
    player = meet_ready()
    player.open(path)
    until_kept(player.page, path)
    player.context.set_offline(True)
    choose_metres_elsewhere(player.page)
    player.open(path)
    page = player.page
    if path == "/round/notes":
        page.get_by_role("button", name="85", exact=True).tap()
        player.button("on").tap()
        expect(page.get_by_text("Saved on this phone: meant 85, landed on.")).to_be_visible()
        expect(page.get_by_text("No course notes yet")).to_have_count(0)
        expect(page.get_by_text("The note is counted here at the next look.")).to_be_visible()
    else:
        page.locator("#say input").first.fill("100")
        page.locator("#say button").first.tap()
        page.locator("#measure input:visible").first.fill("110")
        page.locator("#measure button[value=measured]").tap()
        expect(page.get_by_text("1 of 1 saved on this phone")).to_be_visible()
    player.context.set_offline(False)
    player.open()
    until_all_taken(page, player.book_id)
    kinds = {fact["kind"]: fact["body"] for fact in facts_of(server, player.book_id)}
    if path == "/round/notes":
        assert f"meant_m={85 * YARD_M:.4f}" in kinds["note"]["words"]
    else:
        assert kinds["eye_check"]["measured_m"] == pytest.approx(110 * YARD_M)


def test_back_to_a_page_chooses_nothing(player: Player) -> None:
    page = player.page
    player.open("/card")
    page.get_by_text("What the marks mean, and more").tap()
    page.get_by_role("radio", name="metres").check()
    expect(page.locator("body")).to_have_attribute("data-unit", "m")
    player.open("/settings")
    page.get_by_role("radio", name="yards").check()
    player.button("Keep these").tap()
    expect(page.get_by_text("Kept.")).to_be_visible()
    page.go_back()
    page.go_back()
    expect(page.locator("body.scripted .dial")).to_be_visible()
    player.open("/more")
    expect(page.locator("body")).to_have_attribute("data-unit", "yd")


def test_a_second_touch_on_a_slow_line_sends_nothing_twice(player: Player, server: Server) -> None:
    player.open("/bag")
    page = player.page
    page.get_by_text("Another wedge").tap()
    page.locator("[name=new-name]").fill("64W")
    page.locator("[name=new-loft_deg]").fill("64")
    sent: list[str] = []
    page.on("request", lambda request: sent.append(request.url) if request.method == "POST" else None)
    with page.expect_navigation():
        player.button("Put it in the bag").evaluate("(button) => { button.click(); button.click(); }")
    expect(page.get_by_text("The 64W is in the bag.")).to_be_visible()
    assert len(sent) == 1
    assert len([fact for fact in facts_of(server, player.book_id) if fact["kind"] == "club"]) == 5


def test_a_form_that_was_not_answered_can_be_sent_again(meet: Callable[..., Player], server: Server) -> None:
    facts = the_demo_set(now())
    player = meet(facts=facts)
    player.open("/bag")
    more_about_the_46(player.page)
    player.context.set_offline(True)
    player.button("Keep changes").tap()
    expect(player.page.get_by_text("No answer from the server, so nothing was sent.")).to_be_visible()
    player.context.set_offline(False)
    player.button("Keep changes").tap()
    expect(player.page.get_by_text("The 46 was changed.")).to_be_visible()


def test_a_choice_left_over_is_no_wider_than_those_above_it(player: Player) -> None:
    player.open("/settings")
    thumbs = player.page.locator("fieldset", has_text="Buttons for").locator(".choice")
    widths = thumbs.evaluate_all("all => all.map((one) => one.getBoundingClientRect().width)")
    assert len(widths) == 3
    assert max(widths) - min(widths) < 2
