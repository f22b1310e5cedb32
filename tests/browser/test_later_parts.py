"""What is touched before a late part of the program has come to the phone is not lost.

The bucket's page notes balls before its sheets have come, and says so when one is asked for.
"""

from playwright.sync_api import Page, Route, expect

from webapp.pages.shell import static_files

from .player import Player
from .server import Server
from .test_patch import carries

APP = "**/static/**/app.js"
LATER = "**/static/**/later.js"


def test_a_ball_is_noted_before_the_sheets_have_come(hitting: Player) -> None:
    held: list[Route] = []
    hitting.page.route(LATER, lambda route: held.append(route))
    hitting.page.reload(wait_until="commit")  # the load event waits for what is held
    expect(hitting.page.locator("body.scripted")).to_be_attached()
    hitting.touch(54, "clean")
    assert carries(hitting) == [54]
    assert len(held) == 1
    hitting.button("next call").tap()
    held[0].continue_()
    expect(hitting.page.get_by_role("heading", name="Next call")).to_be_visible()


def test_a_sheet_that_never_came_is_said_and_comes_with_signal(hitting: Player) -> None:
    hitting.page.route(LATER, lambda route: route.abort())
    hitting.page.reload()
    expect(hitting.page.locator("body.scripted")).to_be_attached()
    hitting.button("More").tap()
    expect(hitting.page.locator("#why")).to_contain_text("it needs signal once")
    hitting.touch(54, "clean")
    hitting.page.unroute(LATER)
    hitting.button("More").tap()
    expect(hitting.page.get_by_role("heading", name="This bucket")).to_be_visible()
    assert carries(hitting) == [54]
    assert hitting.faults == []


def test_a_unit_chosen_before_its_script_has_come_is_shown_and_kept(player: Player) -> None:
    held: list[Route] = []
    page = player.page
    page.route(APP, lambda route: held.append(route))
    with page.expect_request(APP):
        page.goto(player.url + "/card", wait_until="commit")  # the load event waits for what is held
    first = page.locator(".swing-table [data-part=carry]").first
    yards = first.text_content()
    page.get_by_text("What the marks mean").tap()
    page.get_by_role("radio", name="metres").check()
    assert first.text_content() == yards
    held[0].continue_()
    expect(first).not_to_have_text(yards or "")
    page.unroute(APP)
    page.reload()
    page.get_by_text("What the marks mean").tap()
    expect(page.get_by_role("radio", name="metres")).to_be_checked()
    assert player.faults == []


def test_answers_given_before_the_first_page_has_its_script_are_drawn(page: Page, server: Server) -> None:
    held: list[Route] = []
    page.route(LATER, lambda route: held.append(route))
    with page.expect_request(LATER):
        page.goto(server.url, wait_until="commit")
    page.get_by_label("second wedge").fill("50")
    with page.expect_response(lambda answer: "/start/dial?" in answer.url) as drawn:
        held[0].continue_()
    assert "=50" in drawn.value.url


def test_every_script_gives_once_what_it_exports(hitting: Player) -> None:
    names = [name for name in static_files() if name.endswith(".js") and name not in ("app.js", "sw.js", "sw_off.js")]
    found = hitting.page.evaluate(
        """async (names) => {
          const app = document.querySelector("script[type=module]").src;
          const { take } = await import(app);
          const others = [];
          for (const name of names) {
            const [given, own] = [await take(name), await import(new URL(name, app))];
            const alike = Object.keys(given).sort().join() === Object.keys(own).join();
            if (!alike || given !== await take(name)) others.push(name);
          }
          return others;
        }""",
        [name for name in names if name != "ui/code.js"],
    )
    assert len(names) > 90
    assert found == []


def test_late_scripts_of_another_version_are_not_mixed_in(hitting: Player) -> None:
    page = hitting.page

    def of_another_version(route: Route) -> None:
        text = route.fetch().text()
        route.fulfill(content_type="text/javascript", body=text.replace('mark = "', 'mark = "another', 1))

    page.route(LATER, of_another_version)
    page.reload()
    hitting.touch(54, "clean")
    hitting.button("More").tap()
    expect(page.locator("#why")).to_contain_text("A new version has come. Open this page again; your balls are kept.")
    assert carries(hitting) == [54]
    page.goto(hitting.url + "/fits")
    expect(page.locator("#notices")).to_contain_text("A new version has come. Open this page again")
    page.unroute(LATER)
    hitting.open()
    hitting.button("More").tap()
    expect(page.get_by_role("heading", name="This bucket")).to_be_visible()
    assert hitting.faults == []
