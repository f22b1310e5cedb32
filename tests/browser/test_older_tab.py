"""Two tabs of one phone: what is put right in one stays, whatever the other still shows when it is sent.

And what is sent of one book's page changes no other book that was opened in the other tab.
"""

import re
from collections.abc import Callable

from playwright.sync_api import Browser, Page, expect

from tests.factories import Raw, a_bucket, a_shot, the_demo_set
from webapp.moments import moved

from .chromium import PHONE, facts_of, now, open_book
from .player import Player
from .server import Server


def tab(player: Player, path: str) -> Page:
    """One more tab, with everything on its page unfolded."""
    page = player.context.new_page()
    page.goto(player.url + path)
    expect(page.locator("body.scripted")).to_be_attached()
    page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    return page


def keep(page: Page, action: str, **answers: str) -> None:
    """Choose these answers in the form that goes there, and send it."""
    form = page.locator(f'form[action="{action}"]')
    for name, value in answers.items():
        form.locator(f'select[name="{name}"]').select_option(value)
    form.get_by_role("button", name="Keep this").click()
    expect(page.get_by_text(re.compile("^Kept[.:]"))).to_be_visible()


def last_said(server: Server, player: Player, fact: Raw) -> Raw:
    said = [one for one in facts_of(server, player.book_id) if one["root"] == fact["root"]]
    body: Raw = said[-1]["body"]
    return body


def test_an_older_tab_leaves_what_was_put_right_in_another(meet: Callable[..., Player], server: Server) -> None:
    begun = moved(now(), hours=-9)
    clubs, bucket = the_demo_set(begun), a_bucket(begun, judged_by="eye")
    ball = a_shot(bucket, clubs[0], 54, begun, judged_by="eye")
    player = meet(facts=[*clubs, bucket, ball])
    visit, shot = f"/visits/{bucket['id']}", f"/shots/{ball['id']}"
    older_visit, older_ball, newer = tab(player, visit), tab(player, shot), tab(player, visit)
    keep(newer, f"{visit}/right", surface="grass", judged_by="laser")
    keep(older_visit, f"{visit}/right", ball="own")
    keep(older_ball, shot, lie="rough")
    assert last_said(server, player, bucket) == {
        **bucket["body"], "surface": "grass", "judged_by": "laser", "judged_was": "eye", "ball": "own",
    }  # fmt: skip
    assert last_said(server, player, ball) == {**ball["body"], "lie": "rough"}


def test_an_older_tab_of_another_book_sends_nothing_and_keeps_what_was_typed(player: Player, server: Server) -> None:
    settings, bag = tab(player, "/settings"), tab(player, "/bag")
    settings.get_by_label("Nickname, for a coach").fill("Heron")
    settings.get_by_label("left-handed").check()
    bag.locator("[name=new-name]").fill("48 gap")
    bag.locator("[name=new-loft_deg]").fill("48")
    cookies = player.context.cookies()
    first, second = player.book_id, open_book(player.context, server, the_demo_set(now()))
    before = facts_of(server, first), facts_of(server, second)
    sent: list[str] = []
    player.context.on("request", lambda request: sent.append(request.url) if request.method == "POST" else None)
    for page, key in ((settings, "Keep these"), (bag, "Put it in the bag")):
        page.get_by_role("button", name=key).click()
        told = page.get_by_role("alert")
        expect(told).to_contain_text("Nothing was changed: this page belongs to another book than the one open on this")
    assert [url for url in sent if "/api/" not in url] == []
    assert (facts_of(server, first), facts_of(server, second)) == before
    expect(settings.get_by_label("Nickname, for a coach")).to_have_value("Heron")
    expect(bag.locator("[name=new-name]")).to_have_value("48 gap")
    player.context.add_cookies(cookies)  # type: ignore[arg-type]
    settings.get_by_role("button", name="Keep these").click()
    expect(settings.get_by_text("Kept.")).to_be_visible()
    changed = {fact["body"]["name"]: fact["body"]["value"] for fact in facts_of(server, first)[len(before[0]) :]}
    assert changed == {"nickname": "Heron", "hand": "left"}
    assert facts_of(server, second) == before[1]


def test_without_a_script_an_older_page_of_another_book_is_refused(browser: Browser, server: Server) -> None:
    with browser.new_context(**{**PHONE, "java_script_enabled": False}) as context:
        open_book(context, server, the_demo_set(now()))
        page = context.new_page()
        page.goto(f"{server.url}/bag")
        page.get_by_text("Another wedge").click()
        page.locator("[name=new-name]").fill("48 gap")
        page.locator("[name=new-loft_deg]").fill("48")
        second = open_book(context, server, the_demo_set(now()))
        before = facts_of(server, second)
        page.get_by_role("button", name="Put it in the bag").click()
        expect(page.get_by_role("heading", name="Another book is open")).to_be_visible()
        expect(page.locator("[data-code=other_book]")).to_contain_text("Nothing was changed: the page this came from")
        assert facts_of(server, second) == before
        page.go_back()
        expect(page.locator("[name=new-name]")).to_have_value("48 gap")
        expect(page.locator("[name=book]").first).to_have_value(second)
