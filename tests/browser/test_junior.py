"""The left-handed junior in the rain: two wedges, a mirrored clock, groups of three with a blunt thumb, a ball limit.

Sources: the acceptance walk of the project's design; 12 mm is the touch it names, and a CSS pixel is 1/160 inch on
phones (common practice, no source).
"""

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, Locator, expect

from tests.factories import Raw, a_bucket, a_club, a_full_carry, a_setting, a_shot
from webapp.books.choose_shot import choosing
from webapp.fits.fitting import answer, question
from webapp.moments import moment_of, moved
from webapp.units import YARD_M

from .chromium import PHONE, new_phone, now
from .coach import Coach
from .player import Player
from .server import Server
from .waiting import until_all_taken

PX_A_MM = 160 / 25.4
BLUNT_MM, OFF_MM = 12, 4
FULL_YD = {"52": 70, "60": 55}
LENGTHS = {"short": 0.88, "in": 1.0, "long": 1.12}
LANES = ("heavy", "clean", "thin")
RAIN = [
    ("in", "clean"), ("short", "heavy"), ("long", "thin"), ("in", "thin"), ("short", "clean"), ("in", "heavy"),
    ("long", "clean"), ("short", "thin"), ("long", "heavy"), ("in", "clean"), ("short", "heavy"), ("long", "thin"),
]  # fmt: skip
OFF = ((1, 0), (0, 1), (-1, 0), (0, -1), (0.7, 0.7), (-0.7, 0.7), (0.7, -0.7), (-0.7, -0.7))


def junior_facts(at: str) -> list[Raw]:
    """The junior's book before the first ball."""
    clubs = [a_club(name, made_at=at) for name in FULL_YD]
    stated = [a_full_carry(club, FULL_YD[club["body"]["name"]], at) for club in clubs]
    said = {"hand": "left", "junior": True, "ball": "own", "ball_limit": 20}
    return [*clubs, *stated, *(a_setting(name, value, at) for name, value in said.items())]


@pytest.fixture
def junior(meet: Callable[..., Player]) -> Iterator[Player]:
    """The junior on grass with own balls in a light wind, the 60 at 3:00 called; nothing on the page may fail."""
    player = meet(facts=junior_facts(now()))
    player.open()
    start_on_grass(player)
    player.call("60", "3:00")
    yield player
    assert player.faults == []


def start_on_grass(player: Player) -> None:
    form = player.page.locator("#opening")
    form.get_by_label("wind", exact=True).select_option("into")
    form.get_by_label("wind force").select_option("light")
    player.start_bucket(surface="grass", ball="my own balls", judged_by="by eye")


def choose(player: Player, label: str, value: str | None = None) -> None:
    """Change one way of noting behind "More" and go back to the patch."""
    player.button("More").tap()
    control = player.page.locator("#more").get_by_label(label)
    control.check() if value is None else control.select_option(value)
    player.button("back to the patch").tap()
    player.settled()


def test_a_left_handed_junior_starts_with_two_wedges_and_chooses_the_mirrored_picture(
    browser: Browser, server: Server
) -> None:
    context = new_phone(browser)
    page = Player(context, server.url).page
    page.goto(server.url)
    page.get_by_role("radio", name="left-handed").check()
    for place in range(1, 5):
        page.locator(f"#loft_{place}").fill("")
    for place, loft in enumerate(FULL_YD, start=1):
        page.locator(f"#loft_{place}").fill(loft)
    page.get_by_role("button", name="Start my book").tap()
    expect(page.get_by_role("heading", name="Card", exact=True)).to_be_visible()
    page.goto(server.url + "/bag")
    for name, carry in FULL_YD.items():
        wedge = page.get_by_role("listitem").filter(has=page.get_by_role("heading", name=name))
        wedge.get_by_label("full carry").fill(str(carry))
    page.get_by_role("button", name="Keep changes").tap()
    expect(page.locator("section:has(#gaps) tbody td").nth(1)).to_have_text("15")
    page.goto(server.url + "/settings")
    page.get_by_role("checkbox", name="junior").check()
    pictures = page.locator(".drawings .choice")
    assert [points_right(one) for one in pictures.all()] == [True, False]
    for place, hour in ((1, "9:00"), (0, "3:00")):
        pictures.nth(place).tap()
        page.get_by_role("button", name="Keep these").tap()
        expect(page.get_by_text("Kept.")).to_be_visible()
        page.goto(server.url + "/card")
        expect(page.locator(".dial .swing-name", has_text=hour).first).to_be_visible()
        page.goto(server.url + "/settings")
    expect(page.get_by_role("checkbox", name="junior")).to_be_checked()
    page.goto(server.url + "/card")
    expect(page.locator("td.cell[data-trust=told] [data-part=carry]")).to_have_text(["70", "55"])
    gap = page.locator("section:has(#gaps) tbody td").first
    expect(gap).to_have_text("15.0 yd21%")  # 15 of 70
    expect(page.locator("section:has(#gaps) tr.warn")).to_have_count(0)
    context.close()


def points_right(picture: Locator) -> bool:
    """Whether the arm of a drawing points to the right."""
    return bool(picture.locator("line").evaluate("(one) => one.x2.baseVal.value > one.x1.baseVal.value"))


def test_three_warm_up_balls_on_grass_are_not_counted(junior: Player, server: Server) -> None:
    choose(junior, "warm-up, not counted")
    for n in range(1, 4):
        junior.page.get_by_role("button", name="one more").tap()
        expect(junior.page.locator("#warm-count")).to_have_text(str(n))
    junior.button("start counting").tap()
    expect(junior.page.locator("#count")).to_have_text("0 balls")
    assert junior.shots() == []
    until_all_taken(junior.page, junior.book_id)
    with server.directory() as directory, directory.open_book(junior.book_id) as book:
        (bucket,) = [fact for fact in book.after(0, 1000) if fact["kind"] == "bucket"][-1:]
    said = bucket["body"]
    assert (said["surface"], said["ball"], said["wind"], said["wind_force"]) == ("grass", "own", "into", "light")
    assert said["warm_up_balls"] == 3


def test_twelve_balls_in_threes_with_a_blunt_wet_thumb_land_in_their_own_fields(junior: Player) -> None:
    choose(junior, "rain patch")
    choose(junior, "balls hit together", "3")
    for place, field in enumerate(RAIN):
        blunt_touch(junior, *field, off=OFF[place % len(OFF)])
        expect(junior.page.locator("#count")).to_have_text("1 ball" if place == 0 else f"{place + 1} balls")
    shots = junior.shots()
    assert len(shots) == 12
    meant = shots[0]["meant_carry_m"]
    assert [shot["contact"] for shot in shots] == [lane for _, lane in RAIN]
    assert [shot["carry_m"] / meant for shot in shots] == pytest.approx([LENGTHS[length] for length, _ in RAIN])
    assert all(shot["coarse"] for shot in shots)


def blunt_touch(player: Player, length: str, lane: str, off: tuple[float, float] = (0, 0)) -> None:
    """Press and lift a thumb that covers 12 mm, its middle 4 mm off the middle of the field."""
    box = player.patch.bounding_box()
    assert box
    row, column = ("long", "in", "short").index(length), LANES.index(lane)
    thumb = {
        "x": box["x"] + box["width"] * (column + 0.5) / 3 + off[0] * OFF_MM * PX_A_MM,
        "y": box["y"] + box["height"] * (row + 0.5) / 3 + off[1] * OFF_MM * PX_A_MM,
        "radiusX": BLUNT_MM * PX_A_MM / 2,
        "radiusY": BLUNT_MM * PX_A_MM / 2,
        "force": 0.6,
    }
    fingers = player.context.new_cdp_session(player.page)
    fingers.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [thumb]})
    fingers.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    fingers.detach()
    player.settled()


def test_a_shank_and_a_bladed_ball_leave_the_typical_carry_and_raise_the_chance_of_long(
    junior: Player, server: Server
) -> None:
    for length in ("in", "short", "in", "long", "in", "in"):
        junior.tap_patch(0.5, {"short": 0.6, "in": 0.45, "long": 0.35}[length])
        junior.wait_out_fresh()
    before = what_fits(junior, server)
    junior.button("shank").tap()
    junior.wait_out_fresh()
    junior.tap_patch(0.95, 0.2)
    junior.wait_out_fresh()
    shank, bladed = junior.shots()[-2:]
    assert shank["contact"] == "shank"
    assert (bladed["contact"], bladed["landed"]) == ("bladed", "over")
    after = what_fits(junior, server)
    assert after["carry"] == pytest.approx(before["carry"], abs=0.01)
    assert after["long"] > before["long"]


def what_fits(player: Player, server: Server) -> dict[str, float]:
    """The shown carry of the 60 at 3:00 once the server has every ball, and its chance to fly past 48 yd."""
    until_all_taken(player.page, player.book_id)
    with server.directory() as directory, directory.open_book(player.book_id) as book:
        made = choosing(book, now())
    number = next(one for one in made.candidates if one.name.startswith("60") and one.swing_deg == 90)
    (choice,) = answer(question(40 * YARD_M, made.margin, 0, 32 * YARD_M, 48 * YARD_M), [number]).ranked
    return {"carry": number.carry_m, "long": choice.chances.long}


def test_at_the_limit_of_twenty_it_says_so_and_noting_goes_on(meet: Callable[..., Player]) -> None:
    earlier = moved(now(), minutes=-90)
    facts = junior_facts(earlier)
    bucket = a_bucket(earlier, surface="grass", ball="own", judged_by="eye", ended_at=moved(earlier, minutes=30))
    player = meet(facts=[*facts, bucket, *(a_shot(bucket, facts[1], 40, moved(earlier, seconds=n)) for n in range(18))])
    player.open()
    player.button("Same as last time").tap()
    expect(player.patch).to_be_visible()
    player.call("60", "3:00")
    said = player.page.locator("#limit")
    for n in (19, 20, 21):
        player.tap_patch(0.5, 0.5)
        player.wait_out_fresh()
        if n == 19:
            expect(said).to_have_text("")
        else:
            expect(said).to_have_text(f"{n} balls today, and your limit is 20. Stopping here is fine; noting goes on.")
    assert len([shot for shot in player.shots() if shot["bucket_id"] != bucket["root"]]) == 3


def test_the_limit_of_a_day_holds_over_two_buckets_without_signal(meet: Callable[..., Player]) -> None:
    earlier = moved(now(), minutes=-30)
    facts = junior_facts(earlier)
    bucket = a_bucket(earlier, surface="grass", ball="own", judged_by="eye")
    player = meet(facts=[*facts, bucket, *(a_shot(bucket, facts[1], 40, moved(earlier, seconds=n)) for n in range(19))])
    player.open()
    player.context.set_offline(True)
    player.end_bucket()
    expect(player.page.locator("[data-week]")).to_have_text("Balls in the last seven days: 19.")
    player.button("Same as last time").tap()
    expect(player.patch).to_be_visible()
    player.tap_patch(0.5, 0.5)
    expect(player.page.locator("#limit")).to_contain_text("20 balls today, and your limit is 20.")


def test_a_coach_of_the_junior_reads_weeks_and_no_day(
    meet: Callable[..., Player], browser: Browser, server: Server
) -> None:
    struck = moved(now(), days=-8)
    facts = junior_facts(struck)
    bucket = a_bucket(struck, surface="grass", ball="own")
    facts += [bucket, *(a_shot(bucket, facts[1], 40, moved(struck, minutes=n)) for n in range(12))]
    player = meet(facts=facts)
    player.open("/links")
    player.page.get_by_label("Guardian’s PIN", exact=True).fill("2468")
    player.page.get_by_role("button", name="Make a coach link").tap()
    link = player.page.locator("a.secret").inner_text()
    context = browser.new_context(**PHONE)
    coach = Coach(context)
    assert coach.open(link) == 200
    pages = [coach.seen[0].text()]
    coach.page.get_by_text("The card as a table").tap()
    coach.page.get_by_role("cell").filter(has_text="3:00 swing, 60 wedge").get_by_role("link").tap()
    day = moment_of(struck)
    year, week, _ = day.isocalendar()
    expect(coach.page.get_by_text(f"week {week} of {year}").first).to_be_visible()
    pages.append(next(answer for answer in reversed(coach.seen) if answer.url == coach.page.url).text())
    for page in pages:
        assert "Pellow Fen" not in page
        assert day.strftime("%-d %B") not in page
        assert struck[:10] not in page
    context.close()
