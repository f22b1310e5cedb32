"""Two tabs of one phone: what is put right in one stays, whatever the other still shows when it is sent."""

from collections.abc import Callable

from playwright.sync_api import Page, expect

from tests.factories import Raw, a_bucket, a_shot, the_demo_set
from webapp.moments import moved

from .chromium import facts_of, now
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
    expect(page.get_by_text("Kept").first).to_be_visible()


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
        **bucket["body"], "surface": "grass", "judged_by": "laser", "ball": "own",
    }  # fmt: skip
    assert last_said(server, player, ball) == {**ball["body"], "judged_by": "laser", "lie": "rough"}
