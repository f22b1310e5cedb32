"""Homework from a coach's browser to the player's phone and back, the server away in between.

Source: the acceptance walk of the project's design, the coach's step 5; the balls are invented.
"""

import re
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.factories import Raw, a_bucket, a_homework, a_setting, a_swing, corrected, f1_balls, the_demo_set
from webapp.moments import moment_of, moved
from webapp.practice.homework_code import Asked, Homework, Row, made
from webapp.store import guardians

from .chromium import PHONE, facts_of, now, open_too
from .coach import Coach
from .conftest import expect_axe_finds_nothing
from .player import Player
from .server import Server
from .waiting import until_all_taken, until_idle, until_kept

OWN_ID = "0a1b2c3d-4e5f-6071-8293-a4b5c6d7e8f9"
SIXTY = Row((Asked("60", 60.0, 135.0),), 5, "swing")
HALF = Row((Asked("60", 60.0, 135.0),), 5, "distance")
NOT_THERE = Row((Asked("64", 64.0, 97.5),), 5, "swing")


@pytest.fixture
def coach(browser: Browser) -> Iterator[Coach]:
    """A coach with a browser of their own."""
    context = browser.new_context(**PHONE)
    yield Coach(context)
    context.close()


def practised(days: int) -> list[Raw]:
    """The demo set and ten balls, so many days ago."""
    facts, bucket = the_demo_set(moved(now(), days=-30)), a_bucket(moved(now(), days=-days))
    return [*facts, bucket, *f1_balls(bucket, facts[2], bucket["made_at"])]


def link_to(server: Server, player: Player) -> str:
    """The address of a coach link for a player's book."""
    with server.directory() as directory:
        token = directory.new_link(player.book_id, "", now(), moved(now(), days=14), {})
    return f"{server.url}/w/{token}"


def written(coach: Coach, link: str, more: tuple[str, ...] = ()) -> tuple[str, int]:
    """The walk's homework as the coach writes it, five balls `more` a number, and how many touches that took."""
    coach.page.add_init_script(
        "addEventListener('pointerdown', () => { sessionStorage.touches = +(sessionStorage.touches ?? 0) + 1; }, true)"
    )
    coach.open(link)
    page = coach.page
    page.get_by_role("link", name="Write homework").tap()
    for name in ("60 10:30", *more):
        page.get_by_role("button", name=f"add {name}").tap()
    page.get_by_role("button", name="Add 12 mixed balls").tap()
    page.get_by_label("Next-visit nine").tap()
    page.get_by_label("Next-visit nine").select_option(index=3)
    # The page has no script: it cannot know what is chosen now, and the older code still stands below.
    held = page.get_by_text("The code below holds")
    expect(held).to_contain_text(f"{17 + 5 * len(more)} balls, about")
    expect(held).to_contain_text("What you change above is not in it until you make the code again.")
    page.get_by_role("button", name="Make the code again", exact=True).tap()
    expect(held).to_contain_text(f"{26 + 5 * len(more)} balls, about")
    expect(page.get_by_role("heading", name=f"{26 + 5 * len(more)} balls, about")).to_be_visible()
    touches = int(page.evaluate("Number(sessionStorage.touches)")) + 1  # the choice in the list of days
    return str(page.locator("a.secret").get_attribute("href")), touches


def without_signal(player: Player, server: Server) -> Page:
    """The player's phone with its pages kept, the server away."""
    player.open()
    player.wait_until_kept()
    for path in ("/homework", "/practice"):
        until_kept(player.page, path)
    server.stop()
    return player.page


def accept(player: Player, address: str) -> Page:
    """Open a link on the phone and accept what it asks for."""
    page = player.page
    page.goto(address)
    page.get_by_role("button", name="Accept").tap()
    expect(page.locator("#homework")).to_be_visible()
    return page


def test_homework_goes_to_the_phone_is_struck_without_signal_and_comes_back(
    meet_at_own: Callable[..., Player], coach: Coach, own_server: Server
) -> None:
    player = meet_at_own(facts=practised(2))
    link = link_to(own_server, player)
    address, _ = written(coach, link)
    page = without_signal(player, own_server)
    page.goto(address)
    expect(page.get_by_role("heading", name="From your coach: 26 balls, about 30 minutes")).to_be_visible()
    expect(page.get_by_text("60 10:30: 5 balls, make the swing")).to_be_visible()
    page.get_by_role("button", name="Accept").tap()
    expect(page.locator("#homework")).to_contain_text("0 of 26 balls struck")
    page.get_by_role("button", name="Start with the 17").tap()  # with Accept the second touch before the first call
    expect(player.patch).to_be_visible()
    expect(page.locator("#call")).to_contain_text("60")
    for carry in (60, 62, 64, 61, 63):
        player.touch(carry, "clean")
        player.wait_out_fresh()
    assert [shot["plan_ref"] for shot in player.shots()] == ["1", "2", "3", "4", "5"]
    player.open("/practice")
    expect(page.locator("#homework")).to_contain_text("5 of 26 balls struck")
    expect(page.get_by_role("link", name="Go on with the 12 balls")).to_be_visible()
    own_server.start()
    player.open()
    until_all_taken(page, player.book_id)
    coach.open(link)
    expect(coach.page.get_by_role("link", name="Homework: 5 of 26; the nine not struck yet.")).to_be_visible()
    coach.page.get_by_role("link", name="Homework: 5 of 26").tap()
    expect(coach.page.get_by_role("heading", name="5 balls of homework")).to_be_visible()
    expect(coach.page.locator("ol.shots li")).to_have_count(5)
    assert player.faults == []


def test_without_signal_the_list_of_accepted_homework_is_completed_from_the_phone(
    meet_at_own: Callable[..., Player], own_server: Server
) -> None:
    facts = practised(2)
    player = meet_at_own(facts=[*facts, a_homework(facts[2], made_at=moved(now(), days=-1))])
    page = without_signal(player, own_server)
    player.open("/practice")
    page.get_by_role("button", name="Start with the 5").tap()
    for carry in (50, 52):
        player.touch(carry, "clean")
        player.wait_out_fresh()
    accept(player, f"{own_server.url}/homework#{made(Homework(OWN_ID, (SIXTY,), focus='quiet wrists'))}")
    player.open("/homework")
    expect(page.get_by_role("heading", name="Accepted")).to_be_visible()
    expect(page.locator("#accepted > ul > li")).to_have_text(
        [
            re.compile("Saved on this phone: 0 of 5 balls struck.*quiet wrists.*60 10:30: 5 balls, make the swing"),
            re.compile(": 2 of 5 balls struck"),
        ]
    )
    assert player.faults == []


def test_without_signal_a_nine_that_is_struck_is_due_no_more(
    meet_at_own: Callable[..., Player], own_server: Server
) -> None:
    facts = practised(2)
    nine = f"{facts[2]['id']}:90:distance:49.38:nine:0a1b2c3d.1"
    homework = a_homework("", id=OWN_ID, made_at=moved(now(), days=-1), plan=[nine], nine_by=now()[:10])
    player = meet_at_own(facts=[*facts, homework])
    page = without_signal(player, own_server)
    player.open("/homework")
    expect(page.locator("#accepted > ul > li")).to_contain_text("due by")
    player.open("/practice")
    page.get_by_role("button", name="Start its nine").tap()
    player.touch(50, "clean")
    player.wait_out_fresh()
    player.open("/homework")
    expect(page.locator("#accepted > ul > li")).to_contain_text("1 of 1 balls struck")
    expect(page.locator("#accepted > ul > li")).not_to_contain_text("due by")
    assert player.faults == []


def test_five_rows_and_a_nine_are_written_in_twelve_touches(
    meet: Callable[..., Player], coach: Coach, server: Server
) -> None:
    _, touches = written(coach, link_to(server, meet(facts=practised(2))), ("46 full", "51 9:00", "56 7:30"))
    assert coach.page.locator(".written li").count() == 5
    assert touches <= 12


def test_what_is_added_next_stays_under_the_coachs_thumb(
    meet: Callable[..., Player], coach: Coach, server: Server
) -> None:
    coach.open(link_to(server, meet(facts=practised(2))) + "/homework")
    for name, balls in (("60 7:30", "5"), ("46 7:30", "5"), ("46 7:30", "10")):
        number = coach.page.get_by_role("button", name=f"add {name}")
        number.tap()
        expect(coach.page.get_by_label(f"balls, {name}")).to_have_value(balls)
        expect(number).to_be_in_viewport()
    coach.page.get_by_role("button", name="Add 12 mixed balls").tap()
    expect(coach.page.get_by_label("balls, mixed")).to_have_value("12")
    expect(number).to_be_in_viewport()


def test_accepted_on_two_phones_it_is_one_plan(meet_at_own: Callable[..., Player], own_server: Server) -> None:
    first, second = meet_at_own(facts=practised(2)), meet_at_own(facts=[])
    open_too(second.context, own_server, first.book_id)
    second.book_id = first.book_id
    address = f"{own_server.url}/homework#{made(Homework(OWN_ID, (SIXTY,)))}"
    for player in (first, second):
        player.open()
        player.wait_until_kept()
        until_kept(player.page, "/homework")
    own_server.stop()
    accept(first, address)
    accept(second, address)
    first.page.goto(f"{address}x"[:-1])
    first.page.reload()
    expect(first.page.locator("#said")).to_contain_text("You accepted this homework before: 0 of 5")
    own_server.start()
    for player in (first, second):
        player.open()
        until_all_taken(player.page, player.book_id)
    kept = [fact for fact in facts_of(own_server, first.book_id) if fact["kind"] == "homework"]
    assert {fact["root"] for fact in kept} == {OWN_ID}
    second.open("/homework")
    expect(second.page.locator("#accepted > ul > li")).to_have_count(1)


def test_set_aside_on_the_phone_that_accepted_it_it_is_offered_no_more_until_taken_up(
    meet_ready: Callable[..., Player], server: Server
) -> None:
    player = meet_ready(facts=practised(2))
    player.open()
    player.wait_until_kept()
    address = f"{server.url}/homework#{made(Homework(OWN_ID, (SIXTY,)))}"
    page = accept(player, address)
    until_all_taken(page, player.book_id)
    until_idle(page)  # the phone has heard that a page may know what it accepted
    player.open("/homework")
    page.get_by_role("button", name="set aside").tap()
    expect(page.get_by_role("button", name="take up again")).to_be_visible()
    player.open("/practice")
    expect(page.locator("#homework")).to_be_hidden()
    page.clock.set_system_time(moment_of(moved(now(), days=-1)))  # a clock that runs behind the server's
    accept(player, address)
    until_all_taken(page, player.book_id)
    player.open("/practice")
    expect(page.locator("#homework")).to_contain_text("0 of 5 balls struck")
    assert player.faults == []


def test_homework_behind_a_later_one_is_said_to_wait_and_comes_once_that_is_set_aside(
    meet: Callable[..., Player],
) -> None:
    facts = practised(2)
    older = a_homework(facts[3], made_at=moved(now(), days=-2), id=OWN_ID)
    player = meet(facts=[*facts, older, a_homework(facts[2], balls=9, made_at=moved(now(), days=-1))])
    page, link = player.page, "/homework#" + made(Homework(OWN_ID, (SIXTY,)))
    player.open(link)
    expect(page.locator("#said")).to_contain_text(
        "0 of 5 balls are struck. Practice offers a later one first: strike that or set it aside, and this one comes."
    )
    waits = page.get_by_text("To go on with an older one, set the later ones aside.")
    expect(waits).to_be_visible()
    page.locator("#accepted > ul > li").first.get_by_role("button", name="set aside").tap()
    expect(page.get_by_role("button", name="take up again")).to_be_visible()
    expect(waits).to_be_hidden()
    player.open("/practice")
    expect(page.locator("#homework")).to_contain_text("0 of 5 balls struck")
    player.open(link)
    expect(page.locator("#said")).to_contain_text("0 of 5 balls are struck. Practice offers what is left.")


def test_a_stand_in_is_asked_about_and_may_be_left_out(meet: Callable[..., Player]) -> None:
    player = meet(facts=practised(2))
    player.open("/homework#" + made(Homework(OWN_ID, (NOT_THERE, SIXTY))))
    page = player.page
    expect(page.get_by_text("No 64 in your bag: use the 60?")).to_be_visible()
    page.get_by_role("checkbox").uncheck()
    page.get_by_role("button", name="Accept").tap()
    expect(page.locator("#homework")).to_contain_text("0 of 5 balls struck")


def test_a_juniors_guardian_accepts_with_the_pin(meet: Callable[..., Player], server: Server) -> None:
    player = meet(facts=[*practised(2), a_setting("junior", True)])
    with server.directory() as directory:
        guardians.set_pin(directory, player.book_id, "2468", now())
    page = player.page
    player.open("/homework#" + made(Homework(OWN_ID, (NOT_THERE, SIXTY))))
    page.get_by_label("Guardian’s PIN").fill("0000")
    page.get_by_role("button", name="Accept").tap()
    expect(page.get_by_text("This is not the guardian’s PIN")).to_be_visible()
    page.get_by_role("checkbox").uncheck()
    page.get_by_label("Guardian’s PIN").fill("2468")
    page.get_by_role("button", name="Accept").tap()
    expect(page.locator("#homework")).to_contain_text("0 of 5 balls struck")
    assert [fact["root"] for fact in facts_of(server, player.book_id) if fact["kind"] == "homework"] == [OWN_ID]


def test_what_was_refused_for_want_of_the_pin_is_accepted_with_it_when_the_link_is_opened_again(
    meet: Callable[..., Player], server: Server
) -> None:
    player = meet(facts=practised(2))
    page = player.page
    address = "/homework#" + made(Homework(OWN_ID, (SIXTY,)))
    player.open(address)
    with server.directory() as directory, directory.open_book(player.book_id) as book:
        guardians.set_pin(directory, player.book_id, "2468", now())
        book.add([a_setting("junior", True)], None, now())
    page.get_by_role("button", name="Accept").tap()  # on a page from before the book was a junior's
    expect(page.locator("#notices")).to_contain_text("needs the guardian’s PIN")
    expect(page.locator("#homework")).to_be_hidden()
    player.open("/refused")
    expect(page.locator("#refused li")).to_contain_text("Open your coach’s link once more: there it is accepted")
    player.open(address)
    page.get_by_label("Guardian’s PIN").fill("2468")
    page.get_by_role("button", name="Accept").tap()
    expect(page.locator("#homework")).to_contain_text("0 of 5 balls struck")
    expect(page.locator("#notices")).to_be_hidden()
    player.open("/refused")
    expect(page.locator("#none")).to_be_visible()
    assert [fact["root"] for fact in facts_of(server, player.book_id) if fact["kind"] == "homework"] == [OWN_ID]


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda code: code[:-2], "This code is not whole"),
        (lambda code: "hello", "This code is not whole"),
        (lambda code: code.replace(code[7], "-" if code[7] != "-" else "_", 1), "This code is not whole"),
    ],
)
def test_a_code_that_came_to_harm_is_refused_in_a_sentence(
    meet: Callable[..., Player], spoil: Callable[[str], str], says: str
) -> None:
    player = meet(facts=practised(2))
    player.open("/homework#" + spoil(made(Homework(OWN_ID, (SIXTY,)))))
    expect(player.page.locator("#said")).to_contain_text(says)
    expect(player.page.get_by_role("button", name="Accept")).to_be_hidden()
    assert player.faults == []


def test_balls_for_a_wedge_that_left_the_bag_are_said_and_not_offered(meet: Callable[..., Player]) -> None:
    facts = practised(2)
    sixty = next(fact for fact in facts if fact["kind"] == "club" and fact["body"]["name"] == "60")
    player = meet(facts=[*facts, a_homework(sixty, id=OWN_ID), corrected(sixty, retired=True)])
    player.open("/practice")
    homework = player.page.locator("#homework")
    expect(homework).to_contain_text("0 of 5 balls struck. 5 balls of it ask for a wedge that left your bag.")
    expect(homework.get_by_role("button")).to_have_count(0)
    assert player.faults == []


def test_no_number_is_made_up_for_a_swing_that_was_left_out(meet: Callable[..., Player], server: Server) -> None:
    player = meet(facts=practised(2))
    accept(player, f"{server.url}/homework#{made(Homework(OWN_ID, (HALF, SIXTY)))}")
    player.page.get_by_role("button", name="Start with the 10").tap()
    expect(player.page.locator("#call .swing-name")).to_have_text("10:30")
    with server.directory() as directory, directory.open_book(player.book_id) as book:
        book.add([a_swing(deg) for deg in (45, 90, 180)], None, now())
    player.open("/practice")
    homework = player.page.locator("#homework")
    expect(homework).to_contain_text("0 of 10 balls struck. 10 balls of it ask for a swing you left out.")
    expect(homework.get_by_role("button")).to_have_count(0)
    player.open()
    expect(player.page.locator("#call .swing-name")).to_have_text("9:00")
    player.touch(50, "clean")
    player.wait_out_fresh()
    assert [(shot["swing_deg"], shot["mode"]) for shot in player.shots()] == [(90, "swing")]
    assert player.faults == []


def test_a_code_may_be_pasted(meet: Callable[..., Player]) -> None:
    player = meet(facts=practised(2))
    player.open("/homework")
    page = player.page
    text = "From your coach: /homework#" + made(Homework(OWN_ID, (SIXTY,)))
    page.get_by_label("The link or code from your coach").fill(text)
    page.get_by_role("button", name="Read it").tap()
    expect(page.get_by_role("heading", name="From your coach: 5 balls, about 5 minutes")).to_be_visible()


def test_an_old_browser_is_told_that_it_cannot_read_a_code(meet: Callable[..., Player]) -> None:
    player = meet(facts=practised(2))
    player.page.add_init_script("delete globalThis.DecompressionStream")
    player.open("/homework#" + made(Homework(OWN_ID, (SIXTY,))))
    expect(player.page.locator("#said")).to_contain_text("This browser is too old to read the code by itself")


def test_a_line_parts_homeworks_and_each_key_lies_below_its_words(meet: Callable[..., Player]) -> None:
    facts = practised(2)
    long = a_homework(facts[2], made_at=moved(now(), days=-1), nine_by=now()[:10], focus="quiet wrists " * 5)
    older = a_homework(facts[3], made_at=moved(now(), days=-2))
    player = meet(facts=[*facts, older, long], viewport={"width": 390, "height": 844})
    player.open("/homework")
    for one in player.page.locator("#accepted > ul > li").all():
        assert (
            one.evaluate("({ children: [words, , key] }) => key.offsetTop - words.offsetTop - words.offsetHeight") >= 0
        )
        assert one.evaluate("(line) => getComputedStyle(line).borderTopWidth") == "1px"


def test_both_pages_can_be_read_by_everybody(meet: Callable[..., Player], coach: Coach, server: Server) -> None:
    player = meet(facts=practised(2))
    player.open("/homework#" + made(Homework(OWN_ID, (NOT_THERE, SIXTY), "2026-11-29", "quiet wrists")))
    expect(player.page.get_by_role("button", name="Accept")).to_be_visible()
    expect_axe_finds_nothing(player.page)
    written(coach, link_to(server, player))
    expect_axe_finds_nothing(coach.page)
