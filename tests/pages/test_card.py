"""The card page, the shots behind a number and what is shown, through the real app and book."""

import json
import re
from urllib.parse import quote

import pytest
from flask.testing import FlaskClient

from tests.factories import (
    NOW,
    Raw,
    a_bucket,
    a_club,
    a_setting,
    a_shot,
    corrected,
    f1_balls,
)
from tests.pages.visitor import words
from webapp.estimate.phone import read
from webapp.moments import moved
from webapp.store.book import Book

CELL = re.compile(
    r'<td class="cell" data-cell="(?P<cell>[^"]+)" data-trust="(?P<trust>\w+)">.*?'
    r'data-part="carry" data-m="[^"]+">(?P<carry>\d+)<.*?'
    r'data-part="n">(?P<n>\d+)<.*?data-part="visits">(?P<visits>\d+)<',
    re.DOTALL,
)


def put(book: Book, facts: list[Raw]) -> None:
    assert not book.add(facts, None, NOW).refused


def wedge(demo_set: list[Raw], name: str) -> str:
    return str(next(fact["root"] for fact in demo_set if fact["kind"] == "club" and fact["body"]["name"] == name))


def page(player: FlaskClient, path: str = "/card") -> str:
    answer = player.get(path)
    assert answer.status_code == 200
    return answer.text


def table(text: str) -> dict[str, dict[str, str]]:
    """The swing table by cell."""
    return {found["cell"]: found.groupdict() for found in CELL.finditer(text)}


def token(text: str) -> str:
    found = re.search(r'name="csrf_token" value="([^"]+)"', text)
    assert found
    return found[1]


def test_a_cold_card_shows_guesses_and_what_was_told(player: FlaskClient, demo_set: list[Raw]) -> None:
    cells = table(page(player))
    club = wedge(demo_set, "56")
    assert cells[f"{club}:180"]["carry"] == "85"
    assert {cell["trust"] for key, cell in cells.items() if key.endswith(":180")} == {"told"}
    assert {cell["trust"] for key, cell in cells.items() if not key.endswith(":180")} == {"guess"}
    assert len(cells) == 16


def test_the_dial_shows_what_the_table_says(player: FlaskClient, demo_set: list[Raw]) -> None:
    text = page(player)
    dial = text[text.index('<svg class="dial"') : text.index("</svg>")]
    drawn = re.findall(r'data-cell="([^"]+)" data-trust="(\w+)">.*?data-part="carry" data-m="[^"]+"[^>]*>(\d+)<', dial)
    said = table(text)
    assert len(drawn) == 16
    assert {key: (trust, carry) for key, trust, carry in drawn} == {
        key: (cell["trust"], cell["carry"]) for key, cell in said.items()
    }


def test_a_table_cell_is_read_whole(player: FlaskClient, demo_set: list[Raw]) -> None:
    text = page(player)
    cell = re.search(rf'data-cell="{wedge(demo_set, "56")}:180".*?</td>', text[text.index("<table") :], re.DOTALL)
    assert cell
    read = " ".join(re.sub(r"<[^>]+>", "", cell[0].split(">", 1)[1]).split())
    assert "full swing, 56 wedge, 85 yards, told" in read


def test_balls_make_a_cell_early_with_their_count(player: FlaskClient, book: Book, demo_set: list[Raw]) -> None:
    bucket = a_bucket()
    put(book, [bucket, *f1_balls(bucket, wedge(demo_set, "56"))])
    cell = table(page(player))[f"{wedge(demo_set, '56')}:90"]
    assert (cell["trust"], cell["n"], cell["visits"]) == ("early", "10", "1")


def test_an_empty_bag_leads_to_the_bag(player: FlaskClient) -> None:
    text = page(player)
    assert "no wedges in your bag" in text
    assert 'href="/bag"' in text


def test_a_phone_without_a_book_is_told_so(client: FlaskClient) -> None:
    assert client.get("/card").status_code in (302, 401)


def test_metres_are_exact_both_ways(player: FlaskClient, book: Book, demo_set: list[Raw]) -> None:
    put(book, [a_setting("unit", "m", moved(NOW, seconds=1))])
    metres = table(page(player))
    assert metres[f"{wedge(demo_set, '46')}:180"]["carry"] == "102"
    assert re.search(r'above <span data-m="13.716[^"]*">14</span>', page(player, "/bag"))
    put(book, [a_setting("unit", "yd", moved(NOW, seconds=2))])
    assert table(page(player))[f"{wedge(demo_set, '46')}:180"]["carry"] == "112"


def test_this_phones_own_unit_is_honoured(player: FlaskClient, demo_set: list[Raw]) -> None:
    player.set_cookie("phone", quote(json.dumps({"unit": "m"})))
    assert table(page(player))[f"{wedge(demo_set, '46')}:180"]["carry"] == "102"


def test_a_left_hander_reads_mirrored_hours_and_the_same_numbers(
    player: FlaskClient, book: Book, demo_set: list[Raw]
) -> None:
    right = page(player)
    put(book, [a_setting("hand", "left", moved(NOW, seconds=1))])
    left = page(player)
    assert table(left) == table(right)
    assert "9:00" in right
    assert "9:00" not in left
    assert "3:00" in left


def test_a_left_hander_who_reads_the_clock_as_his_own_sees_nine(
    player: FlaskClient, book: Book, demo_set: list[Raw]
) -> None:
    later = moved(NOW, seconds=1)
    put(book, [a_setting("hand", "left", later), a_setting("seen_from", "self", later)])
    assert "9:00" in page(player)


def test_gaps_are_on_the_page_of_the_bag(player: FlaskClient, demo_set: list[Raw]) -> None:
    text = page(player, "/bag")
    gaps = re.findall(r'<th scope="row">(\d+)</th><td>(\d+)</td>\s*<td><span data-m="[^"]+">(\d+)<', text)
    assert gaps == [("46", "51", "13"), ("51", "56", "14"), ("56", "60", "13")]


def test_choosing_six_numbers_redraws_both_faces_and_keeps_the_rest(
    player: FlaskClient, book: Book, demo_set: list[Raw]
) -> None:
    text = page(player)
    keep = [key for key in table(text) if key.split(":")[1] in ("90", "180")][:6]
    answer = player.post("/card/shown", data={"csrf_token": token(text), "cell": keep}, follow_redirects=True)
    assert set(table(answer.text)) == set(keep)
    pole = answer.text[answer.text.index('<svg class="yard-pole"') :]
    assert pole[: pole.index("</svg>")].count("data-cell=") == 6
    back = player.post(
        "/card/shown", data={"csrf_token": token(answer.text), "cell": list(table(text))}, follow_redirects=True
    )
    assert table(back.text) == table(text)


def test_hiding_without_the_pages_token_changes_nothing(player: FlaskClient, demo_set: list[Raw]) -> None:
    assert player.post("/card/shown", data={"cell": []}).status_code in (302, 400)
    assert len(table(page(player))) == 16


def test_the_shots_behind_a_number_come_to_the_worked_example(
    player: FlaskClient, book: Book, demo_set: list[Raw]
) -> None:
    bucket = a_bucket()
    put(book, [bucket, *f1_balls(bucket, wedge(demo_set, "56"))])
    text = page(player, f"/card/{wedge(demo_set, '56')}/90")
    rows = {
        name: (everything, clean)
        for name, everything, clean in re.findall(r'<th scope="row">([^<]+)</th><td>([^<]*)</td><td>([^<]*)</td>', text)
    }
    assert rows == {
        "balls": ("10", "8"),
        "mean": ("53.0", "53.6"),
        "median": ("54.0", "54.0"),
        "spread": ("5.1", "2.4"),
        "two in three": ("50.5–56.0", "52.2–55.0"),
        "nine in ten of these": ("48.2", "51.1"),
        "against the meant carry": ("−1.0", "−0.4"),
    }
    assert "Spread 5.1 of all, 2.4 of the clean ones." in text
    assert re.findall(r'<th scope="row">(fat|thin|together)</th><td>([^<]+)</td>', text) == [
        ("fat", "−1.3"),
        ("thin", "+0.6"),
        ("together", "−0.6"),
    ]


def test_balls_that_fly_on_are_named_beside_the_cost_where_there_are_some(
    player: FlaskClient, book: Book, demo_set: list[Raw]
) -> None:
    bucket, club = a_bucket(), wedge(demo_set, "56")
    clean = [a_shot(bucket, club, 54, moved(NOW, seconds=at)) for at in range(8)]
    put(book, [bucket, *clean, a_shot(bucket, club, 34, moved(NOW, seconds=9), contact="fat")])
    told = words(player.get(f"/card/{club}/90"))
    assert "Balls that fall short cost 2.2 a ball." in told
    assert "fly on" not in told
    put(book, [a_shot(bucket, club, 64, moved(NOW, seconds=10), contact="thin")])
    told = words(player.get(f"/card/{club}/90"))
    assert "cost 2.0 a ball, balls that fly on add 1.0: the total hides both." in told


def test_shots_that_do_not_count_are_listed_with_the_reason(
    player: FlaskClient, book: Book, demo_set: list[Raw]
) -> None:
    bucket, club = a_bucket(), wedge(demo_set, "56")
    aside = a_shot(bucket, club, 30)
    aimed = a_shot(bucket, club, 60, moved(NOW, seconds=30), mode="distance")
    lost = a_shot(bucket, club, None, moved(NOW, seconds=60), contact="thin")
    put(book, [bucket, a_shot(bucket, club, 54), aside, corrected(aside, aside=True), aimed, lost])
    text = page(player, f"/card/{club}/90")
    assert "not counted: set aside" in text
    assert "not counted: hit to a number" in text
    assert "Lost from sight: 1." in text


def test_the_bays_offset_is_in_the_listed_carry(player: FlaskClient, book: Book, demo_set: list[Raw]) -> None:
    bucket, club = a_bucket(bay_offset_m=-6 * 0.9144), wedge(demo_set, "56")
    put(book, [bucket, a_shot(bucket, club, 60)])
    assert re.search(r'<strong><span data-m="[^"]+">54</span></strong>', page(player, f"/card/{club}/90"))


@pytest.mark.parametrize("path", ["/card/{club}/91", "/card/{club}/x", "/card/00000000-0000-4000-8000-000000000000/90"])
def test_a_number_that_is_not_on_the_card_is_answered_plainly(
    player: FlaskClient, demo_set: list[Raw], path: str
) -> None:
    answer = player.get(path.format(club=wedge(demo_set, "56")))
    assert answer.status_code == 404
    assert "no such number on your card" in answer.text


def test_a_replaced_wedge_keeps_its_past(player: FlaskClient, book: Book, demo_set: list[Raw]) -> None:
    old, bucket = next(fact for fact in demo_set if fact["body"].get("name") == "56"), a_bucket()
    put(book, [bucket, *(a_shot(bucket, old, 61, moved(NOW, seconds=at)) for at in range(6))])
    new = a_club("56", made_at=moved(NOW, days=1), follows=old["root"])
    put(book, [corrected(old, moved(NOW, days=1), retired=True), new])
    text = page(player, f"/card/{old['root']}/90")
    assert "56 9:00 is no longer on the card" in " ".join(text.split())
    assert f"/card/{new['root']}/90" in text
    assert text.count("/shots/") == 6
    assert "61" in text
    assert f"/card/{old['root']}/90" in page(player, f"/card/{new['root']}/90")
    assert "56 9:00" in page(player, f"/visits/{bucket['root']}")
    assert player.get(f"/card/{old['root']}/45").status_code == 404
    newest = a_club("56", made_at=moved(NOW, days=2), follows=new["root"])
    put(book, [corrected(new, moved(NOW, days=2), retired=True), newest])
    assert f"/card/{newest['root']}/90" in page(player, f"/card/{old['root']}/90")  # what took the place in the end


def test_a_gap_is_a_share_of_the_longer_wedge_too(player: FlaskClient, demo_set: list[Raw]) -> None:
    assert re.search(r'46 – 51</th><td data-as="gap">.*?13.*?<small>12%</small>', page(player), re.DOTALL)  # 13 of 112


def test_the_card_for_own_balls_is_offered_once_there_are_some(
    player: FlaskClient, book: Book, demo_set: list[Raw]
) -> None:
    assert "?ball=own" not in page(player)
    own, range_ = a_bucket(ball="own"), a_bucket()
    put(book, [own, range_, a_shot(own, wedge(demo_set, "56"), 66), a_shot(range_, wedge(demo_set, "56"), 60)])
    assert "?ball=own" in page(player)
    own = page(player, "/card?ball=own")
    assert "own balls" in own
    assert table(own)[f"{wedge(demo_set, '56')}:90"]["n"] == "1"
    assert "range balls" in page(player)


def test_the_card_opens_on_the_balls_that_were_hit_unless_a_kind_was_chosen(
    player: FlaskClient, book: Book, demo_set: list[Raw]
) -> None:
    bucket = a_bucket(ball="own")
    put(book, [bucket, *(a_shot(bucket, wedge(demo_set, "56"), 66, moved(NOW, seconds=at)) for at in range(19))])
    assert table(page(player))[f"{wedge(demo_set, '56')}:90"]["n"] == "19"
    assert "No ball yet" not in page(player)
    put(book, [a_setting("ball", "range")])
    assert table(page(player))[f"{wedge(demo_set, '56')}:90"]["n"] == "0"


def test_card_only_keeps_dial_and_pole_and_nothing_that_advises(player: FlaskClient, demo_set: list[Raw]) -> None:
    player.set_cookie("phone", quote(json.dumps({"card_only": True})))
    text = page(player)
    assert '<svg class="dial"' in text
    assert '<svg class="yard-pole"' in text
    assert "the committee decides" in text
    assert 'id="gaps"' not in text
    assert 'class="sentences"' not in text


def test_the_page_gives_the_phone_each_cell_without_the_open_visit(
    player: FlaskClient, book: Book, demo_set: list[Raw]
) -> None:
    bucket, club = a_bucket(), wedge(demo_set, "56")
    put(book, [bucket, *f1_balls(bucket, club)])
    data = json.loads(re.search(r'id="page-data">(.*?)</script>', page(player), re.DOTALL)[1])  # type: ignore[index]
    assert data["open_buckets"] == [bucket["root"]]
    state = next(cell for cell in data["cells"] if (cell["club_id"], cell["swing_deg"]) == (club, 90.0))
    assert (state["n0"], state["visits0"], state["n"], state["visits"]) == (0, 0, 10, 1)
    known = read(data["estimate"])
    assert known.V.shape == (len(known.m), len(known.m))
    assert len(known.s2) == len(data["cells"])
    assert known.pi["clean"] > known.pi["fat"]


def test_no_page_of_the_card_holds_inline_style_or_script(player: FlaskClient, demo_set: list[Raw]) -> None:
    for path in ("/card", f"/card/{wedge(demo_set, '56')}/90", "/print"):
        text = page(player, path)
        assert " style=" not in text
        assert "<style" not in text
        assert not re.search(r"<script(?![^>]*(src=|application/json))", text)


def test_a_wedges_name_with_odd_signs_stays_text(player: FlaskClient, book: Book) -> None:
    put(book, [a_club("A&B \"56'", 56.0)])
    text = page(player)
    assert "A&amp;B &#34;56&#39;" in text


def test_five_gripped_down_and_eight_from_the_rough_stand_on_the_page_and_move_nothing(
    demo_set: list[Raw], book: Book, player: FlaskClient
) -> None:
    bucket = a_bucket()
    put(book, [bucket, *f1_balls(bucket, wedge(demo_set, "56"))])
    before = table(page(player))[f"{wedge(demo_set, '56')}:90"]
    put(
        book,
        [a_shot(bucket, wedge(demo_set, "56"), 48, moved(NOW, minutes=20 + at), flight="grip-down") for at in range(5)],
    )
    put(book, [a_shot(bucket, wedge(demo_set, "56"), 45, moved(NOW, minutes=30 + at), lie="rough") for at in range(8)])
    text = words(player.get(f"/card/{wedge(demo_set, '56')}/90"))
    carry = int(before["carry"])
    assert re.search(rf"grip-down 5 balls 48 − {carry - 48} ± \d", text)
    assert re.search(rf"rough 8 balls – − {carry - 45} ± \d", text)
    assert table(page(player))[f"{wedge(demo_set, '56')}:90"] == before
