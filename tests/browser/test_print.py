"""The card on paper, from the page boxes, the text and the ink of the PDFs that Chromium makes.

Sources: a card's size is ISO/IEC 7810 ID-1 (85.60 x 53.98 mm; the design rounds to 54); A4 is ISO 216; from memory.
"""

from collections.abc import Callable
from functools import cache
from io import BytesIO

import pytest
from playwright.sync_api import Browser, expect
from pypdf import PdfReader

from tests.factories import a_bucket, a_setting, a_shot, the_demo_set
from webapp.moments import moved

from .chromium import now
from .conftest import as_before
from .player import Player

MM_A_POINT = 25.4 / 72


@pytest.fixture(scope="module")
def kept_phone(meet_for_all: Callable[..., Player]) -> Player:
    """The phone of every test that only prints the demo set."""
    return meet_for_all()


@pytest.fixture
def player(kept_phone: Player) -> Player:
    """Heron with the wedges 46, 51, 56 and 60."""
    return as_before(kept_phone)


def printed(player: Player, paper: str) -> PdfReader:
    player.page.goto(f"{player.url}/print?paper={paper}")
    return PdfReader(BytesIO(player.page.pdf(prefer_css_page_size=True)))


@pytest.fixture(scope="module")
def papers(kept_phone: Player) -> Callable[[str], PdfReader]:
    """Each paper of the demo set, printed once for every test that reads it."""
    return cache(lambda paper: printed(as_before(kept_phone), paper))


def sizes_mm(pdf: PdfReader) -> list[tuple[float, float]]:
    return [(float(page.mediabox.width) * MM_A_POINT, float(page.mediabox.height) * MM_A_POINT) for page in pdf.pages]


@pytest.mark.parametrize(
    ("paper", "size_mm", "pages"), [("card", (54, 85.6), 2), ("a4", (210, 297), 1), ("letter", (215.9, 279.4), 1)]
)
def test_pages_have_their_papers_size(
    papers: Callable[[str], PdfReader], paper: str, size_mm: tuple[float, float], pages: int
) -> None:
    sizes = sizes_mm(papers(paper))
    assert len(sizes) == pages
    for size in sizes:
        assert size == pytest.approx(size_mm, abs=0.5)


def test_faces_and_labels_stand_at_true_size_on_a_sheet(player: Player) -> None:
    player.page.goto(f"{player.url}/print")
    player.page.emulate_media(media="print")
    for selector, width_mm, height_mm in ((".wallet-face", 54, 85.6), (".label", 42, 40)):
        for one in player.page.locator(selector).all():
            box = one.bounding_box()
            assert box
            # A CSS millimetre is 96/25.4 px by definition, and print keeps it.
            size_mm = box["width"] * 25.4 / 96, box["height"] * 25.4 / 96
            assert size_mm == pytest.approx((width_mm, height_mm), abs=0.1)


def test_both_faces_hold_every_number_unit_date_and_ball(papers: Callable[[str], PdfReader]) -> None:
    dial, pole = (page.extract_text() for page in papers("card").pages)
    for carry in ("112", "99", "85", "72"):
        assert carry in dial
        assert carry in pole
    for text in (dial, pole):
        assert "yards" in text
        assert "range balls" in text
        assert any(year in text for year in (" 202", " 203"))
    assert "right-handed" in pole


@pytest.fixture(scope="module")
def words_of_a4(papers: Callable[[str], PdfReader]) -> str:
    """What can be read on a sheet of A4; to find it in the drawing takes a second."""
    return papers("a4").pages[0].extract_text()


def test_the_labels_name_the_rule_on_attachments_and_show_each_number_three_times(words_of_a4: str) -> None:
    text = words_of_a4
    assert "attachments to clubs" in text.replace("\n", " ")
    assert text.count("112") == 3 + 2  # three copies round the shaft, one on either face


@pytest.mark.parametrize("unit", ["yd", "m"])
def test_date_and_unit_of_a_label_stand_clear_of_their_neighbours(meet: Callable[..., Player], unit: str) -> None:
    player = meet(facts=[*the_demo_set(now()), a_setting("unit", unit)])
    player.page.goto(f"{player.url}/print")
    player.page.emulate_media(media="print")
    feet = player.page.locator(".label-foot")
    expect(feet).to_have_count(4 * 3)
    player.page.evaluate("() => document.fonts.ready")
    for foot in feet.all():
        assert str(foot.text_content()).endswith(f" · {unit}")
        # A column is 14 mm wide and the drawing's unit is 1 mm; "30 May" is as wide as a day's name gets.
        wide_mm = foot.evaluate(
            "(one, unit) => { one.textContent = `30 May 2028 · ${unit}`; return one.getBBox().width; }", unit
        )
        assert wide_mm < 12.6


def test_the_digits_of_a_label_stand_3_6_mm_high_and_clear_of_all_else(meet: Callable[..., Player]) -> None:
    present = now()
    facts = the_demo_set(moved(present, days=-300))
    club, bucket = facts[0], a_bucket(moved(present, days=-200))
    facts += [bucket, *(a_shot(bucket, club, 104, bucket["made_at"], swing_deg=135.0) for _ in range(12))]
    player = meet(facts=facts)
    # Of all figures on the sheet those of the labels are the largest: 4 wedges, 4 swings, 3 copies.
    assert sum(size_mm >= 5.0 for size_mm in digits_mm(printed(player, "a4"))) == 4 * 4 * 3
    page = player.page
    page.emulate_media(media="print")
    tall_px = page.evaluate(
        """() => {
          const { fontFamily, fontSize } = getComputedStyle(document.querySelector(".shaft-label .number"));
          const pen = document.createElement("canvas").getContext("2d");
          pen.font = `${parseFloat(fontSize) * document.querySelector(".label").clientWidth / 42}px ${fontFamily}`;
          return pen.measureText("104").actualBoundingBoxAscent;
        }"""
    )
    assert tall_px * 25.4 / 96 >= 3.6
    touching = page.evaluate(
        """() => [...document.querySelectorAll(".shaft-label")].flatMap((label) => {
          const all = [...label.querySelectorAll(".number, .box, .arm circle")].filter((one) =>
            !one.matches(".box") || getComputedStyle(one).stroke !== "none");
          const meet = (one, other) => {
            const [a, b] = [one, other].map((it) => it.getBoundingClientRect());
            const sameRow = Math.abs(a.top + a.bottom - b.top - b.bottom) < 8;
            return sameRow && one.parentNode !== other.parentNode && a.left < b.right && b.left < a.right;
          };
          return all.filter((one) => all.some((other) => meet(one, other))).map((one) => one.outerHTML);
        })"""
    )
    assert touching == []


def digits_mm(pdf: PdfReader) -> list[float]:
    """The type size of every whole number on the first page, by the page's own drawing commands."""
    sizes = []

    def visit(text: str, user: list[float], place: list[float], _: object, size: float) -> None:
        scale = (place[0] ** 2 + place[1] ** 2) ** 0.5 * (user[0] ** 2 + user[1] ** 2) ** 0.5
        sizes.append((text.strip(), size * scale * MM_A_POINT))

    pdf.pages[0].extract_text(visitor_text=visit)
    return [size for text, size in sizes if text.isdigit()]


def test_the_print_says_how_it_was_made(meet: Callable[..., Player]) -> None:
    facts = [*the_demo_set(now()), a_setting("home_temperature_c", 20, now()), a_setting("hand", "left", now())]
    dial, pole = (page.extract_text() for page in printed(meet(facts=facts), "card").pages)
    assert "20 °C" in dial
    assert "left-handed" in pole


def test_paper_is_black_on_white_also_from_a_dark_phone(player: Player) -> None:
    player.page.emulate_media(color_scheme="dark", media="print")
    player.page.goto(f"{player.url}/print")
    ink = player.page.locator(".wallet-face svg .number").first.evaluate("(one) => getComputedStyle(one).fill")
    ground = player.page.locator(".sheet-of-paper").evaluate("(one) => getComputedStyle(one).backgroundColor")
    assert (ink, ground) == ("rgb(0, 0, 0)", "rgb(255, 255, 255)")


def test_buttons_and_hints_stay_off_the_paper(words_of_a4: str) -> None:
    for word in ("Use this paper", "I printed", "own menu", "Bucket", "Settings"):
        assert word not in words_of_a4


def test_the_bar_prints_and_notes_nothing(player: Player) -> None:
    player.open("/print")
    player.page.evaluate("addEventListener('beforeprint', () => { document.title = 'being printed'; })")
    player.button("Print").tap()
    expect(player.page).to_have_title("being printed")
    expect(player.page).to_have_url(f"{player.url}/print")


def test_without_a_script_it_is_said_how_to_print_and_that_it_was_can_be_noted(
    meet: Callable[..., Player], browser: Browser
) -> None:
    player = meet()
    with browser.new_context(java_script_enabled=False) as context:
        context.add_cookies(player.context.cookies())  # type: ignore[arg-type]
        page = context.new_page()
        page.goto(f"{player.url}/print")
        expect(page.get_by_text("Print it from your browser’s own menu.")).to_be_visible()
        expect(page.get_by_role("button", name="Print", exact=True)).to_be_hidden()
        page.get_by_role("button", name="I printed it").click()
        page.get_by_text("What the marks mean, and more").click()
        expect(page.get_by_text("Your printed card")).to_be_visible()


def test_the_phone_knows_what_was_printed(meet: Callable[..., Player]) -> None:
    player = meet()
    player.page.goto(f"{player.url}/print")
    player.page.get_by_role("button", name="I printed it").tap()
    expect(player.page).to_have_url(f"{player.url}/card")
    player.page.get_by_text("What the marks mean, and more").tap()
    expect(player.page.get_by_text("Your printed card")).to_be_visible()
