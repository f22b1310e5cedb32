"""Words stand clear of what is beside them: in lists of two columns, in tables, in a sentence that holds a link.

Source: our choice, no source.
"""

from collections.abc import Iterator
from itertools import pairwise

import pytest
from playwright.sync_api import expect

from .conftest import as_before
from .player import Player
from .waiting import look_at_all

TABLE = "wedge,swing,carry,contact\nLob,9:00,61,clean\nLob,9:00,62.5,clean\nGap,10:30,88,thin\n"


def each_phone(player: Player) -> Iterator[int]:
    """The page on phones of several widths, one after the other, once it stands in each in its own type."""
    player.page.evaluate("document.fonts.ready.then(() => null)")
    for width in (360, 390):
        player.page.set_viewport_size({"width": width, "height": 800})
        player.page.wait_for_function("(width) => document.documentElement.clientWidth === width", arg=width)
        yield width


def test_a_sentence_about_no_visit_is_read_in_one_go(player: Player) -> None:
    player.open("/visits")
    lines = look_at_all(
        player.page,
        ".empty",
        """(all) => all.flatMap(({ childNodes }) => [...childNodes].map((piece) => {
          const words = document.createRange();
          words.selectNodeContents(piece);
          return Math.round(words.getClientRects()[0].top);
        }))""",
    )
    assert max(lines) - min(lines) <= 24  # it begins, links and goes on within two lines
    link = player.page.get_by_role("link", name="Start a bucket")
    assert link.evaluate("(link) => getComputedStyle(link).textDecorationLine") == "underline"


def test_no_balls_words_run_into_the_number_beside_them(phone_of_the_demo: Player) -> None:
    player = as_before(phone_of_the_demo)
    player.open("/practice")
    player.page.get_by_text("Ball by ball").filter(visible=True).tap()
    expect(player.page.locator(".calls").filter(visible=True)).to_be_visible()
    for width in each_phone(player):
        ends = look_at_all(
            player.page,
            ".calls li",
            """(all) => all.filter((ball) => ball.checkVisibility()).map((ball) => {
              const words = document.createRange();
              words.selectNodeContents(ball);
              const { left, right } = words.getBoundingClientRect();
              return [left, right];
            })""",
        )
        columns = sorted({round(left) for left, _ in ends})
        assert len(columns) == 2, width
        hanging = 30  # "22." and the space behind it, right-aligned before the words
        assert max(right for left, right in ends if round(left) == columns[0]) + 4 <= columns[1] - hanging, width


def test_the_columns_of_a_table_brought_in_stand_apart(player: Player) -> None:
    player.open("/table")
    player.page.get_by_label("file").set_input_files(
        {"name": "t.csv", "mimeType": "text/csv", "buffer": TABLE.encode()}
    )
    player.button("Look at it").tap()
    expect(player.page.locator(".first-rows")).to_be_visible()
    for width in each_phone(player):
        rows = look_at_all(
            player.page,
            ".first-rows tr",
            """(all) => all.map(({ cells }) => [...cells].map((cell) => {
              const words = document.createRange();
              words.selectNodeContents(cell);
              const { left, right } = words.getBoundingClientRect();
              return [left, right];
            }))""",
        )
        for row in rows:
            assert [left for left, _ in row] == pytest.approx([left for left, _ in rows[0]], abs=0.5), width
            assert all(after[0] - before[1] >= 12 for before, after in pairwise(row)), width


def test_the_last_columns_words_stand_under_its_head(phone_of_the_demo: Player) -> None:
    player = as_before(phone_of_the_demo)
    player.open("/bag")
    ends = look_at_all(
        player.page,
        ".figures tr > :last-child",
        "all => all.map((cell) => getComputedStyle(cell).textAlign)",
    )
    assert set(ends) == {"left"}


def test_the_figures_of_two_periods_stand_in_one_line(phone_of_the_demo: Player) -> None:
    player = as_before(phone_of_the_demo)
    player.open("/trends/periods?what=three")
    for width in each_phone(player):
        rows = look_at_all(
            player.page,
            "[aria-labelledby=cells] > .scroll tbody tr",
            """(all) => all.map(({ cells }) => [...cells].map((cell) => {
              const words = document.createRange();
              words.selectNodeContents(cell.querySelector("a, strong") ?? cell);
              return words.getClientRects()[0].bottom;
            }))""",
        )
        assert rows
        assert all(max(feet) - min(feet) <= 3 for feet in rows), width


def test_a_carry_without_a_box_begins_where_its_page_begins(phone_of_the_demo: Player) -> None:
    player = as_before(phone_of_the_demo)
    player.open("/card")
    settled = player.page.locator("td.cell[data-trust=settled] a").first.evaluate("(one) => one.href")
    player.page.goto(settled)
    player.page.evaluate("document.fonts.ready.then(() => null)")
    left = """(all) => all.map((one) => {
      const words = document.createRange();
      words.selectNodeContents(one);
      return words.getBoundingClientRect().left;
    })"""
    (number,), (first, *_) = look_at_all(player.page, ".cell.big .number", left), look_at_all(player.page, "h2", left)
    assert number == pytest.approx(first, abs=2)


def test_the_key_that_ends_a_recovery_sheet_is_not_printed(player: Player) -> None:
    player.open("/phones")
    player.page.get_by_role("button", name="sheet").first.tap()
    key = player.page.get_by_role("link", name="I have it on paper")
    expect(key).to_be_visible()
    player.page.emulate_media(media="print")
    expect(key).to_be_hidden()
    expect(player.page.locator(".code")).to_be_visible()
