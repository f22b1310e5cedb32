"""A book on two phones: each works without signal, and both show the same once they have it again.

Source: the acceptance walk of the project's design, step 9; the balls are invented.
"""

from collections.abc import Callable

import pytest
from playwright.sync_api import Browser, expect

from tests.factories import FULL_CARRIES_YD, Raw, a_bucket, a_shot, corrected, the_demo_set
from webapp.moments import moved
from webapp.store import reading
from webapp.units import YARD_M

from .chromium import facts_of, new_phone, now, open_too
from .player import Player
from .server import Server
from .waiting import until, until_all_taken, until_idle

LAST = 22  # the number of the ball that both phones correct


def a_visit(n: int, begun_at: str) -> list[Raw]:
    """The demo set and a bucket that began then with n balls half a minute apart, the last 46 full at a distance."""
    facts = the_demo_set(begun_at)
    club = next(fact for fact in facts if fact["kind"] == "club" and fact["body"]["name"] == "56")
    bucket = a_bucket(begun_at)
    shots = [a_shot(bucket, club, 50, moved(begun_at, seconds=30 * place)) for place in range(n)]
    full = {"club_id": facts[0]["id"], "swing_deg": 180, "mode": "distance"}
    shots[-1]["body"].update(full, meant_carry_m=112 * YARD_M, carry_m=111 * YARD_M)
    return [*facts, bucket, *shots]


def open_from_the_sheet(first: Player, browser: Browser, server: Server) -> Player:
    """Another phone, opened with the code of the first one's recovery sheet."""
    first.open("/phones")
    first.page.get_by_role("button", name="Make the recovery sheet").tap()
    code = first.page.locator(".code").first.text_content()
    second = Player(new_phone(browser), server.url, first.book_id)
    second.page.goto(f"{server.url}/open")
    second.page.get_by_label("code").fill(code or "")
    second.page.get_by_role("button", name="Open it on this phone").tap()
    expect(second.page).to_have_url(f"{server.url}/card")
    return second


def another_phone(first: Player, browser: Browser, server: Server) -> Player:
    """Another phone on which the first one's book is open."""
    context = new_phone(browser)
    open_too(context, server, first.book_id)
    return Player(context, server.url, first.book_id)


def wait_for_balls(player: Player, n: int) -> None:
    """Wait until this phone itself holds so many balls, whatever its page was sent."""
    until(
        player.page,
        """async ([book, n]) => {
          const base = document.querySelector("script[type=module]").src;
          const { rowsOf } = await (await import(base)).take("outbox.js");
          const shots = (await rowsOf(book)).filter((row) => row.kind === "shot");
          return new Set(shots.map((row) => row.root)).size >= n;
        }""",
        [player.book_id, n],
    )


def carry_of(player: Player, place: int) -> int:
    """What the phone shows of a ball, in whole yards."""
    return round(player.shots()[place - 1]["carry_m"] / YARD_M)


def test_two_phones_without_signal_come_to_the_same_book(
    meet_ready: Callable[..., Player], browser: Browser, server: Server
) -> None:
    facts = a_visit(LAST, moved(now(), minutes=-20))
    shared = facts[-1]["root"]
    first = meet_ready(facts=facts)
    second = open_from_the_sheet(first, browser, server)
    for player in (first, second):
        player.open()
        player.wait_until_kept()
        expect(player.page.locator("#count")).to_have_text("22 balls")
        player.context.set_offline(True)
    for player, carry in ((first, 105), (second, 116)):
        player.page.bring_to_front()
        player.ball().tap()
        player.touch(carry, "clean")
        for struck in (108, 110, 112):
            player.touch(struck, "clean")
            player.wait_out_fresh()
        expect(player.page.locator("#count")).to_have_text("25 balls")
    for player in (first, second, first):
        player.context.set_offline(False)
        player.page.reload()
        expect(player.page.locator("[data-waiting]")).to_have_text("copied")
    for player in (first, second):
        expect(player.page.locator("#count")).to_have_text("28 balls")
    said = [fact for fact in facts_of(server, first.book_id) if fact["root"] == shared]
    later = max(said[1:], key=lambda fact: fact["made_at"])["body"]["carry_m"]
    assert {round(fact["body"]["carry_m"] / YARD_M) for fact in said} == {111, 105, 116}
    for player in (first, second):
        wait_for_balls(player, 28)
        assert carry_of(player, LAST) == round(later / YARD_M)
    held = [fact for fact in facts_of(server, first.book_id) if fact["kind"] == "shot"]
    assert len({fact["root"] for fact in held}) == 28
    first.page.goto(f"{server.url}/shots/{shared}")
    for value in ("105", "116"):
        expect(first.page.locator("main")).to_contain_text(value)
    assert first.faults == second.faults == []
    second.context.close()


def test_a_correction_is_shown_although_the_ball_came_from_a_clock_years_ahead(
    meet: Callable[..., Player], server: Server
) -> None:
    facts = a_visit(3, moved(now(), minutes=-20))
    ahead = corrected(facts[-1], moved(now(), days=3000), carry_m=108 * YARD_M)
    player = meet(facts=[*facts, ahead])
    player.open()
    expect(player.page.locator("[data-waiting]")).to_have_text("copied")
    expect(player.ball()).to_contain_text("108")
    player.ball().tap()
    player.touch(104, "clean")
    expect(player.ball()).to_contain_text("104")
    player.touch(115, "clean")
    player.wait_out_fresh()
    until_all_taken(player.page, player.book_id)
    player.page.reload()
    expect(player.ball(2)).to_contain_text("104")
    made_at = next(
        fact["made_at"] for fact in facts_of(server, player.book_id) if fact["body"].get("carry_m") == 115 * YARD_M
    )
    assert made_at < moved(now(), days=1)  # the other phone's clock did not become this one's


def test_ten_thousand_facts_come_down_while_the_book_is_used(meet: Callable[..., Player], server: Server) -> None:
    begun_at = moved(now(), days=-300)
    facts = a_visit(2, begun_at)
    bucket, club = facts[-3], facts[2]
    old = [a_shot(bucket, club, 50, moved(begun_at, seconds=place)) for place in range(10_000)]
    player = meet(facts=[*facts, *old])
    with server.directory() as directory, directory.open_book(player.book_id) as book:
        recent = a_visit(4, moved(now(), minutes=-10))[len(FULL_CARRIES_YD) * 2 :]
        for shot in recent[1:]:
            shot["body"]["club_id"] = facts[0]["id"]
        assert not book.add(recent, None, now()).refused
    lines: list[str] = []
    player.page.expose_function("heard", lambda line: lines.append(line))
    player.page.add_init_script(
        """addEventListener("DOMContentLoaded", () => {
          const notices = document.getElementById("notices");
          const tell = () => globalThis.heard(notices.textContent);
          new MutationObserver(tell).observe(notices, { childList: true, subtree: true });
        });"""
    )
    player.open()
    expect(player.page.locator("#count")).to_have_text("4 balls")
    player.touch(112, "clean")
    player.wait_out_fresh()
    expect(player.page.locator("[data-waiting]")).to_have_text("copied")
    expect(player.page.locator("#notices")).to_be_hidden()
    wait_for_balls(player, 5)
    assert any("It can be used meanwhile." in line for line in lines)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"aside": True, "aside_reason": "hurt"}, "The bucket was set aside: its balls are kept, not counted."),
        ({"ended_at": now()}, "The bucket has ended."),
    ],
    ids=["set_aside", "ended"],
)
def test_a_bucket_that_another_phone_closes_says_why_and_keeps_the_balls_struck_meanwhile(
    player: Player, server: Server, fields: Raw, sentence: str
) -> None:
    player.open()
    player.start_bucket()
    player.touch(80, "clean")
    player.wait_out_fresh()
    player.end_bucket()
    player.button("Go on with this bucket").tap()
    until_all_taken(player.page, player.book_id)
    player.context.set_offline(True)
    player.touch(75, "thin")
    player.wait_out_fresh()
    player.button("More").tap()
    bucket = next(fact for fact in facts_of(server, player.book_id) if fact["kind"] == "bucket")
    with server.directory() as directory, directory.open_book(player.book_id) as book:
        later = moved(now(), minutes=1)  # this phone's clock was put forward
        assert book.add([corrected(bucket, later, **fields)], None, now()).refused == []
    player.context.set_offline(False)
    expect(player.page.locator("#said")).to_contain_text(sentence)
    expect(player.page.locator("#said")).to_be_in_viewport()
    expect(player.page.locator("#ended")).to_be_hidden()  # it was of one ball
    until_all_taken(player.page, player.book_id)
    assert [shot["carry_m"] for shot in player.shots()] == pytest.approx([80 * YARD_M, 75 * YARD_M])
    player.button("Same as last time").tap()
    expect(player.patch).to_be_visible()  # and not the sheet that was open
    expect(player.page.locator("#count")).to_have_text("0 balls")


def put_right(player: Player) -> None:
    """Say on the open page of a visit that its bucket was own balls from grass, judged by eye."""
    player.page.get_by_text("Put it right: kind of ball, surface, judging").tap()
    player.page.get_by_label("kind of ball").select_option("own")
    player.page.get_by_label("hit from").select_option("grass")
    player.page.get_by_label("carries judged").select_option("eye")
    player.page.get_by_role("button", name="Keep this").tap()
    expect(player.page.locator("main")).to_contain_text("Pellow Fen, grass, own balls, judged by eye")


def judged(server: Server, player: Player) -> list[str]:
    """How each ball of a book is judged."""
    with server.directory() as directory, directory.open_book(player.book_id) as book:
        return [shot["judged_by"] for shot in reading.every_shot(book)]


def test_a_bucket_put_right_on_another_phone_goes_on_as_it_was_put_right(
    meet: Callable[..., Player], browser: Browser, server: Server
) -> None:
    """What the phone says of the bucket afterwards, its end too, keeps the kind of ball that it was told of."""
    facts = a_visit(3, moved(now(), minutes=-20))
    bucket = next(fact for fact in facts if fact["kind"] == "bucket")
    first = meet(facts=facts)
    second = another_phone(first, browser, server)
    first.open()
    first.touch(110, "clean")
    first.wait_out_fresh()
    expect(first.patch.locator(".settled")).not_to_have_count(0)
    until_all_taken(first.page, first.book_id)
    second.open(f"/visits/{bucket['id']}")
    put_right(second)
    first.page.bring_to_front()
    first.touch(104, "clean")
    first.wait_out_fresh()
    expect(first.patch.locator(".settled")).to_have_count(0)  # it has heard of it: an eye is not helped by dots
    first.touch(115, "clean")
    expect(first.page.locator("#count")).to_have_text("6 balls")
    first.wait_out_fresh()
    first.end_bucket()
    expect(first.page.locator("#said")).to_contain_text("ended")
    until_all_taken(first.page, first.book_id)
    held = facts_of(server, first.book_id)
    last = [fact["body"] for fact in held if fact["root"] == bucket["id"]][-1]
    assert last["ended_at"]
    assert (last["ball"], last["surface"], last["judged_by"]) == ("own", "grass", "eye")
    assert judged(server, first) == ["eye"] * 6
    assert first.faults == second.faults == []
    second.context.close()


@pytest.mark.parametrize("order", ["put right first", "ended first"])
def test_a_bucket_ended_without_signal_keeps_what_another_phone_put_right(
    meet: Callable[..., Player], browser: Browser, server: Server, order: str
) -> None:
    facts = a_visit(3, moved(now(), minutes=-20))
    bucket = next(fact for fact in facts if fact["kind"] == "bucket")
    first = meet(facts=facts)
    second = another_phone(first, browser, server)
    first.open()
    second.open(f"/visits/{bucket['id']}")
    first.context.set_offline(True)

    def correct() -> None:
        second.page.bring_to_front()
        put_right(second)

    def end() -> None:
        first.page.bring_to_front()
        first.touch(104, "clean")
        first.wait_out_fresh()
        first.end_bucket()
        expect(first.page.locator("#said")).to_contain_text("ended")

    for deed in (correct, end) if order == "put right first" else (end, correct):
        deed()
    first.page.bring_to_front()
    first.context.set_offline(False)
    until_all_taken(first.page, first.book_id)
    held = facts_of(server, first.book_id)
    last = max((fact for fact in held if fact["root"] == bucket["id"]), key=lambda fact: fact["made_at"])["body"]
    assert last["ended_at"]
    assert (last["ball"], last["surface"], last["judged_by"]) == ("own", "grass", "eye")
    assert judged(server, first) == ["eye"] * 4
    for player in (first, second):
        player.page.goto(f"{server.url}/visits/{bucket['id']}")
        expect(player.page.locator("main")).to_contain_text("Pellow Fen, grass, own balls, judged by eye")
        player.open()
        expect(player.button("Same as last time")).to_be_visible()
    assert first.faults == second.faults == []
    second.context.close()


def test_a_ball_comes_after_those_of_another_phone_whose_clock_runs_ahead(meet: Callable[..., Player]) -> None:
    facts = the_demo_set(moved(now(), hours=-1))
    bucket = a_bucket(moved(now(), minutes=-5))
    club = next(fact for fact in facts if fact["kind"] == "club" and fact["body"]["name"] == "56")
    player = meet(facts=[*facts, bucket, a_shot(bucket, club, 57, moved(now(), hours=1))])
    player.open()
    expect(player.ball()).to_contain_text("57")
    with player.in_one_breath():
        player.touch(40, "clean")
        player.touch(44, "clean")  # moves it
    expect(player.ball()).to_contain_text("44")
    expect(player.ball(2)).to_contain_text("57")
    player.button("2 balls").tap()
    expect(player.ball(3)).to_contain_text("57")
    expect(player.ball(2)).to_contain_text("40")
    expect(player.ball()).to_contain_text("44")
    player.wait_out_fresh()
    player.button("set aside").tap()
    until_all_taken(player.page, player.book_id)
    until_idle(player.page)  # the other phone's ball is fetched after this one's are sent
    aside = {round(shot["carry_m"] / YARD_M): shot.get("aside", False) for shot in player.shots()}
    assert aside == {57: False, 40: False, 44: True}


def test_a_bucket_that_comes_from_another_phone_takes_nobody_out_of_their_own(player: Player, server: Server) -> None:
    player.open()
    player.start_bucket()
    player.touch(80, "clean")
    player.wait_out_fresh()
    until_all_taken(player.page, player.book_id)
    own = next(fact["id"] for fact in facts_of(server, player.book_id) if fact["kind"] == "bucket")
    other = a_bucket(moved(now(), seconds=1), place="the other mat")
    with server.directory() as directory, directory.open_book(player.book_id) as book:
        assert book.add([other], None, now()).refused == []
    player.touch(75, "clean")
    player.wait_out_fresh()
    until(
        player.page,
        """async ([book, id]) => {
          const { rowsOf } = await (await import(document.querySelector("script[type=module]").src)).take("outbox.js");
          return (await rowsOf(book)).some((row) => row.id === id);
        }""",
        [player.book_id, other["id"]],
    )
    player.touch(70, "clean")
    player.wait_out_fresh()
    expect(player.page.locator("#count")).to_have_text("3 balls")
    until_all_taken(player.page, player.book_id)
    assert {shot["bucket_id"] for shot in player.shots()} == {own}
