"""The bag: wedges added, changed, taken out and replaced."""

import re
from typing import Any

import pytest
from flask.testing import FlaskClient

from webapp.card.rows import heirs_of
from webapp.facts import LONGEST_CARRY_M
from webapp.store import reading
from webapp.store.book import Book
from webapp.units import YARD_M

from ..factories import NOW, a_bucket, a_club, a_full_carry, a_setting, a_shot, the_demo_set, voided
from .visitor import send, words


def bag_of(book: Book) -> list[tuple[str, float]]:
    """Names and lofts in the bag."""
    return [(club.name, club.loft_deg) for club in reading.clubs(book)]


def shown(book: Book, **changed: Any) -> dict[str, Any]:
    """The set as the page's form sends it, with fields of a wedge changed: name_of_wedge={"loft_deg": "57"}."""
    carries = reading.full_carries(book)
    fields: dict[str, Any] = {}
    for club in reading.clubs(book):
        carry_m = carries.get(club.id)
        told = {
            "name": club.name,
            "loft_deg": f"{club.loft_deg:g}",
            "sole_note": club.sole_note,
            "carry": "" if carry_m is None else f"{carry_m / YARD_M:g}",
            **changed.get(f"wedge_{club.name}", {}),
        }
        fields.update({f"{club.id}-{name}": value for name, value in told.items()})
    return fields


def id_of(book: Book, name: str) -> str:
    """The id of the wedge in the bag of this name."""
    return next(club.id for club in reading.clubs(book) if club.name == name)


@pytest.fixture
def demo_set(book: Book) -> Book:
    """A book with the wedges 46, 51, 56 and 60 and their stated carries."""
    assert book.add(the_demo_set(), None, NOW).refused == []
    return book


def test_a_wedge_goes_into_the_bag_with_its_carry_and_note(player: FlaskClient, book: Book) -> None:
    answer = send(
        player, "/bag", **{"new-name": " Gap ", "new-loft_deg": "51", "new-carry": "99", "new-sole_note": "10 wide"}
    )
    assert "The Gap is in the bag." in words(answer)
    (club,) = reading.clubs(book)
    assert (club.name, club.loft_deg, club.sole_note) == ("Gap", 51, "10 wide")
    assert reading.full_carries(book) == {club.id: 99 * YARD_M}


def test_a_wedge_without_a_name_is_called_by_its_loft(player: FlaskClient, book: Book) -> None:
    send(player, "/bag", **{"new-loft_deg": "58.5"})
    assert bag_of(book) == [("58.5", 58.5)]


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({}, "Give the loft stamped on the wedge."),
        ({"new-loft_deg": "35"}, "A wedge’s loft must be from 36 to 70°."),
        ({"new-loft_deg": "70.5"}, "A wedge’s loft must be from 36 to 70°."),
        ({"new-loft_deg": "x"}, "Loft must be a number, such as 54 or 54.5."),
        ({"new-loft_deg": "52", "new-carry": "-1"}, "Full carry must be from 1 to 400 yards."),
        ({"new-loft_deg": "52", "new-carry": "401"}, "Full carry must be from 1 to 400 yards."),
        ({"new-loft_deg": "52", "new-carry": "ninety"}, "Full carry must be a number, such as 54 or 54.5."),
        ({"new-loft_deg": "52", "new-name": "x" * 41}, "A name has at most 40 characters."),
        ({"new-loft_deg": "52", "new-name": "<b>52</b>"}, "“name” must not hold < or > or control characters."),
        ({"new-loft_deg": "52", "new-name": "\u202e65"}, "“name” must not hold signs that turn the writing round."),
        ({"new-loft_deg": "52", "new-name": "\u200b\u200b"}, "“name” must hold a letter or a figure."),
        ({"new-loft_deg": "52", "new-sole_note": "a\x00b"}, "“bounce and sole” must not hold < or > or control"),
        ({"new-loft_deg": "52", "new-name": "56"}, "There are two wedges called 56."),
        ({"new-loft_deg": "56"}, "There are two wedges called 56."),
    ],
)
def test_it_says_what_is_wrong_with_a_new_wedge_and_changes_nothing(
    player: FlaskClient, demo_set: Book, fields: dict[str, str], sentence: str
) -> None:
    before = demo_set.cursor
    answer = send(player, "/bag", **fields)
    assert answer.status_code == 400
    assert sentence in words(answer)
    assert ("The new wedge: " in words(answer)) is not sentence.startswith("There are two")
    assert "Nothing was changed" in words(answer)
    assert demo_set.cursor == before


def test_a_note_that_is_refused_is_seen_with_its_wedge(player: FlaskClient, demo_set: Book) -> None:
    assert "<details open><summary>More about" not in player.get("/bag").text
    answer = send(player, "/bag/set", do="keep", **shown(demo_set, wedge_56={"sole_note": "<b>"}))
    assert "56: “bounce and sole” must not hold < or >" in words(answer)
    assert answer.text.count("<details open><summary>More about") == 1
    assert "<details open><summary>More about the 56" in answer.text


def test_two_wedges_are_alike_whatever_the_capitals_and_spaces(player: FlaskClient, book: Book) -> None:
    book.add([a_club("Lob Wedge", 60)], None, NOW)
    assert (
        "two wedges called lob  wedge" in send(player, "/bag", **{"new-name": "lob  wedge", "new-loft_deg": "58"}).text
    )


def test_a_carry_in_metres_is_held_to_the_same_longest_carry(player: FlaskClient, book: Book) -> None:
    book.add([a_setting("unit", "m")], None, NOW)
    refused = send(player, "/bag", **{"new-loft_deg": "46", "new-carry": "366"})
    assert "Full carry must be from 1 to 365 metres." in words(refused)
    send(player, "/bag", **{"new-loft_deg": "46", "new-carry": "365"})
    (carry_m,) = reading.full_carries(book).values()
    assert carry_m == 365 <= LONGEST_CARRY_M


def test_a_bag_holds_six_wedges(player: FlaskClient, book: Book) -> None:
    book.add([a_club(str(loft)) for loft in (44, 48, 52, 54, 58, 62)], None, NOW)
    assert "at most 6 wedges" in words(send(player, "/bag", **{"new-loft_deg": "64"}))
    assert len(reading.clubs(book)) == 6


def test_it_keeps_what_was_changed_and_writes_nothing_else(player: FlaskClient, demo_set: Book) -> None:
    before = demo_set.cursor
    answer = send(player, "/bag/set", do="keep", **shown(demo_set, wedge_56={"loft_deg": "57", "carry": "84"}))
    assert "The 56 was changed." in words(answer)
    assert ("56", 57) in bag_of(demo_set)
    assert reading.full_carries(demo_set)[id_of(demo_set, "56")] == 84 * YARD_M
    assert demo_set.cursor == before + 2


def test_a_place_that_turns_the_writing_round_is_taken_of_old_and_stays_in_its_place(
    player: FlaskClient, book: Book
) -> None:
    """Source: the bidirectional algorithm of Unicode Standard Annex 9, which HTML's bdi element keeps to itself."""
    assert not book.add([a_bucket(place="\u202ecalp")], None, NOW).refused
    assert "<bdi>\u202ecalp</bdi>, mat, range balls" in player.get("/visits").text


@pytest.mark.parametrize("path", ["/bag", "/bag/set"])
def test_whatever_was_typed_is_kept_with_either_button(player: FlaskClient, demo_set: Book, path: str) -> None:
    typed = {**shown(demo_set, wedge_56={"carry": "84"}), "new-name": "lob", "new-loft_deg": "64", "new-carry": ""}
    answer = words(send(player, path, do="keep", **typed))
    assert "The 56 was changed." in answer
    assert "The lob is in the bag." in answer
    assert ("lob", 64) in bag_of(demo_set)
    assert reading.full_carries(demo_set)[id_of(demo_set, "56")] == 84 * YARD_M


def test_half_a_new_wedge_is_asked_about_and_nothing_is_kept_of_the_page(player: FlaskClient, demo_set: Book) -> None:
    before = demo_set.cursor
    typed = {**shown(demo_set, wedge_56={"loft_deg": "57"}), "new-name": "lob", "new-loft_deg": ""}
    answer = send(player, "/bag/set", do="keep", **typed)
    assert "Give the loft stamped on the wedge." in words(answer)
    assert 'value="lob"' in answer.text
    assert demo_set.cursor == before


def test_the_same_again_says_that_nothing_was_changed(player: FlaskClient, demo_set: Book) -> None:
    before = demo_set.cursor
    empty = {f"new-{name}": "" for name in ("name", "loft_deg", "carry", "sole_note")}
    answer = words(send(player, "/bag/set", do="keep", **shown(demo_set), **empty))
    assert "Nothing differs, so nothing was changed." in answer
    assert demo_set.cursor == before


def test_an_emptied_carry_is_withdrawn_and_may_be_stated_again(player: FlaskClient, demo_set: Book) -> None:
    club = id_of(demo_set, "56")
    send(player, "/bag/set", do="keep", **shown(demo_set, wedge_56={"carry": ""}))
    assert club not in reading.full_carries(demo_set)
    send(player, "/bag/set", do="keep", **shown(demo_set, wedge_56={"carry": "83"}))
    assert reading.full_carries(demo_set)[club] == 83 * YARD_M


def test_one_wrong_answer_changes_no_wedge(player: FlaskClient, demo_set: Book) -> None:
    before = demo_set.cursor
    answer = send(
        player, "/bag/set", do="keep", **shown(demo_set, wedge_46={"loft_deg": "47"}, wedge_60={"carry": "x"})
    )
    assert answer.status_code == 400
    assert "60: Full carry must be a number, such as 54 or 54.5." in words(answer)
    assert 'value="47"' in answer.text
    assert demo_set.cursor == before


def test_a_wedge_that_left_the_bag_keeps_its_balls(player: FlaskClient, demo_set: Book) -> None:
    bucket, club = a_bucket(), id_of(demo_set, "60")
    demo_set.add([bucket, a_shot(bucket, club)], None, NOW)
    answer = send(player, "/bag/set", do=f"retire {club}", **shown(demo_set, wedge_46={"sole_note": "leading edge"}))
    assert "The 60 left the bag; its balls are kept under it." in words(answer)
    assert [name for name, _ in bag_of(demo_set)] == ["46", "51", "56"]
    assert len(reading.shots_of_club(demo_set, club)) == 1
    assert reading.clubs(demo_set)[0].sole_note == "leading edge"


def test_a_wedge_that_left_the_bag_is_put_back_with_its_balls(player: FlaskClient, demo_set: Book) -> None:
    bucket, club = a_bucket(), id_of(demo_set, "60")
    demo_set.add([bucket, a_shot(bucket, club)], None, NOW)
    left = send(player, "/bag/set", do=f"retire {club}", **shown(demo_set))
    assert "Left the bag" in words(left)
    back = words(send(player, "/bag/back", club=club))
    assert "The 60 is in the bag again, with its balls." in back
    assert "Left the bag" not in back
    assert id_of(demo_set, "60") == club
    assert len(reading.shots_of_club(demo_set, club)) == 1


def test_a_wedge_is_not_put_back_beside_one_of_its_name_nor_beside_its_successor(
    player: FlaskClient, demo_set: Book
) -> None:
    first, replaced = id_of(demo_set, "60"), id_of(demo_set, "56")
    send(player, "/bag/set", do=f"retire {first}", **shown(demo_set))
    send(player, "/bag", **{"new-name": "60", "new-loft_deg": "60"})
    send(player, "/bag/set", do=f"replace {replaced}", **shown(demo_set))
    before = demo_set.cursor
    assert "Another wedge in the bag is called 60." in words(send(player, "/bag/back", club=first))
    assert "There is no such wedge outside the bag." in words(send(player, "/bag/back", club=replaced))
    assert demo_set.cursor == before


def test_a_new_wedge_takes_the_place_of_an_old_one_and_starts_from_its_carry(
    player: FlaskClient, demo_set: Book
) -> None:
    old = id_of(demo_set, "56")
    answer = send(player, "/bag/set", do=f"replace {old}", **shown(demo_set))
    assert "starts from the old one’s full carry" in words(answer)
    new = id_of(demo_set, "56")
    assert new != old
    assert reading.full_carries(demo_set)[new] == pytest.approx(85 * YARD_M, abs=YARD_M)
    assert next(club for club in reading.clubs(demo_set) if club.id == new).follows == old


@pytest.mark.parametrize("told", [{}, {"carry": ""}])
def test_a_full_carry_typed_for_the_new_wedge_is_the_new_ones(
    player: FlaskClient, demo_set: Book, told: dict[str, str]
) -> None:
    old = id_of(demo_set, "56")
    send(player, "/bag/set", do="keep", **shown(demo_set, wedge_56=told))
    fields = shown(demo_set, wedge_56={"name": "56 new", "carry": "78"})
    answer = words(send(player, "/bag/set", do=f"replace {old}", **fields))
    assert reading.full_carries(demo_set)[id_of(demo_set, "56 new")] == pytest.approx(78 * YARD_M)
    assert "The new 56 new is in the bag with the full carry that you gave." in answer
    assert "starts from the old one’s full carry" not in answer


def replaced(player: FlaskClient, book: Book, name: str = "56") -> tuple[str, str]:
    """Ids of a wedge and of the new one of the same name that took its place."""
    old = id_of(book, name)
    send(player, "/bag/set", do=f"replace {old}", **shown(book))
    return old, id_of(book, name)


def test_a_new_one_without_balls_can_be_undone_in_its_row(player: FlaskClient, demo_set: Book) -> None:
    before = bag_of(demo_set)
    old, new = replaced(player, demo_set)
    page = player.get("/bag")
    assert "It took the place of the old 56." in words(page)
    (undo,) = re.findall(r'name="do" value="(undo [^"]+)"', page.text)
    answer = words(send(player, "/bag/set", do=undo, **shown(demo_set, wedge_46={"sole_note": "worn"})))
    assert "The old 56 is in the bag again, with its balls." in answer
    assert (bag_of(demo_set), id_of(demo_set, "56")) == (before, old)
    assert reading.clubs(demo_set)[0].sole_note == "worn"  # what else was typed is kept
    assert "took the place" not in answer
    assert new not in {club.id for club in reading.clubs(demo_set, retired=True)}


def test_a_new_one_with_balls_is_not_undone_and_its_balls_stay(player: FlaskClient, demo_set: Book) -> None:
    _, new = replaced(player, demo_set)
    bucket = a_bucket()
    demo_set.add([bucket, a_shot(bucket, new)], None, NOW)
    page = player.get("/bag")
    assert 'value="undo ' not in page.text
    assert "Once it left the bag, the old 56 can be put back." in words(page)
    send(player, "/bag/set", do=f"undo {new}", **shown(demo_set))
    assert id_of(demo_set, "56") == new


def test_the_one_replaced_is_offered_once_its_successor_left_and_is_told_from_it(
    player: FlaskClient, demo_set: Book
) -> None:
    left = words(send(player, "/bag/set", do=f"replace {id_of(demo_set, '56')}", **shown(demo_set)))
    assert "The old 56 left the bag; its balls are kept under it. Below the new one a button puts it back." in left
    old, new = reading.clubs(demo_set)[2].follows, id_of(demo_set, "56")
    send(player, "/bag/set", do=f"retire {new}", **shown(demo_set))
    assert re.findall(r'aria-label="put the ([^"]+) back"', player.get("/bag").text) in (
        ["old 56", "56"],
        ["56", "old 56"],
    )
    assert "The old 56 is in the bag again, with its balls." in words(send(player, "/bag/back", club=old))
    assert id_of(demo_set, "56") == old


def test_no_circle_comes_of_wedges_put_back_in_turn(player: FlaskClient, demo_set: Book) -> None:
    first, second = replaced(player, demo_set)
    for back, gone in ((first, second), (second, first), (first, second)):
        send(player, "/bag/set", do=f"retire {id_of(demo_set, '56')}", **shown(demo_set))
        send(player, "/bag/back", club=back)
        assert id_of(demo_set, "56") == back
        heirs = heirs_of(reading.clubs(demo_set, retired=True))
        assert heirs[back] == back
        assert gone not in heirs
    third = replaced(player, demo_set)[1]
    fourth = replaced(player, demo_set)[1]
    heirs = heirs_of(reading.clubs(demo_set, retired=True))
    assert [heirs[club] for club in (first, third)] == [fourth, fourth]
    page = words(player.get("/bag"))  # of two in a row the last one before comes back, and no other is offered
    assert page.count("It took the place of the old 56.") == 1
    assert "Left the bag" in page  # the second, which the first came back for


def test_one_replaced_is_not_put_back_over_another_of_its_name(player: FlaskClient, demo_set: Book) -> None:
    old = id_of(demo_set, "56")
    send(player, "/bag/set", do=f"replace {old}", **shown(demo_set, wedge_56={"name": "new"}))
    send(player, "/bag/set", do="keep", **shown(demo_set, wedge_60={"name": "56"}))
    before = demo_set.cursor
    answer = send(player, "/bag/set", do=f"undo {id_of(demo_set, 'new')}", **shown(demo_set))
    assert "Another wedge in the bag is called 56." in words(answer)
    assert demo_set.cursor == before


def test_a_wedge_that_was_withdrawn_is_not_offered_back(player: FlaskClient, demo_set: Book) -> None:
    """A phone without signal struck it meanwhile, so it is shown for the sake of its balls; a void holds for good."""
    club, bucket = a_club("64"), a_bucket()
    new = a_club("65", follows=club["id"])
    demo_set.add([club, bucket, voided(club), a_shot(bucket, club), new], None, NOW)
    assert club["id"] in {one.id for one in reading.clubs(demo_set, retired=True)}
    page = player.get("/bag")
    assert "took the place" not in words(page)
    assert club["id"] not in page.text
    assert "There is no such wedge outside the bag." in words(send(player, "/bag/back", club=club["id"]))
    send(player, "/bag/set", do=f"retire {new['id']}", **shown(demo_set))
    page = player.get("/bag")
    assert re.findall(r'aria-label="put the ([^"]+) back"', page.text) == ["65"]
    assert "64 (64°) withdrawn; its balls are kept" in words(page)


def test_an_unknown_deed_takes_no_wedge_out(player: FlaskClient, demo_set: Book) -> None:
    send(player, "/bag/set", do=f"burn {id_of(demo_set, '56')}", **shown(demo_set))
    assert len(bag_of(demo_set)) == 4


def test_a_wedge_added_on_another_phone_does_not_stop_an_older_page(player: FlaskClient, demo_set: Book) -> None:
    fields = shown(demo_set, wedge_46={"sole_note": "worn"})
    demo_set.add([a_club("64")], None, NOW)
    assert send(player, "/bag/set", do="keep", **fields).status_code == 200
    assert reading.clubs(demo_set)[0].sole_note == "worn"
    assert len(bag_of(demo_set)) == 5


def test_a_text_that_looks_like_markup_is_shown_as_text(player: FlaskClient, book: Book) -> None:
    club = a_club('56" & co', 56)
    book.add([club, a_full_carry(club, 85)], None, NOW)
    page = player.get("/bag").text
    assert "56&#34; &amp; co" in page
    assert '56" & co' not in page


@pytest.mark.parametrize(("weaker_yd", "limit_yd", "over"), [(99, 15, False), (93, 15, True), (108, 3, True)])
def test_the_bag_and_the_card_call_a_gap_alike(
    player: FlaskClient, book: Book, weaker_yd: float, limit_yd: float, over: bool
) -> None:
    clubs = a_club("46"), a_club("58")
    carries = [a_full_carry(club, yards) for club, yards in zip(clubs, (112, weaker_yd), strict=True)]
    book.add([*clubs, *carries, a_setting("gap_limit_m", limit_yd * YARD_M)], None, NOW)
    bag = re.search(r'<th scope="row">46</th><td>58</td>.*?</tr>', player.get("/bag").text, re.DOTALL)
    card = re.search(r"46 – 58</th>.*?</tr>", player.get("/card").text, re.DOTALL)
    assert bag
    assert card
    assert (" over<" in bag[0], bool(re.search("<td[^>]*>(yes|likely), ", card[0]))) == (over, over)
    assert ("the same job" in bag[0]) == ("the same job" in card[0])


def test_the_bag_says_from_which_chance_on_a_gap_is_named(player: FlaskClient, book: Book) -> None:
    """That gaps "above 15" are named is untrue of one whose balls leave it in doubt (Decision 31)."""
    book.add([a_club("46"), a_club("58"), a_setting("gap_limit_m", 12 * YARD_M)], None, NOW)
    page = words(player.get("/bag"))
    assert "where your balls put the chance that it is above 12 at over 55% (“likely”) or 80% (“surely”)." in page
