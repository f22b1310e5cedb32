"""The card of the kind of ball that the book does not show by itself: its links and forms ask for that kind too."""

import re
from html import unescape

import pytest
from flask.testing import FlaskClient

from tests.factories import NOW, Raw, a_bucket, a_setting, a_shot
from webapp.moments import moved
from webapp.store.book import Book

from .test_card import page, put, token, wedge


@pytest.fixture
def both(book: Book, demo_set: list[Raw]) -> list[Raw]:
    """Balls of both kinds with the 56 at 9:00, whose card shows range balls by itself."""
    put(book, [a_setting("ball", "range")])
    for ball, carry in (("range", 60), ("own", 70)):
        bucket = a_bucket(ball=ball)
        put(book, [bucket, *(a_shot(bucket, wedge(demo_set, "56"), carry) for _ in range(6))])
    return demo_set


def goes(text: str, name: str) -> str:
    """Where a link of this name leads."""
    found = re.search(rf'<a [^>]*href="([^"]+)"[^>]*>{name}', text)
    assert found, name
    return unescape(found[1])


def asked(text: str, action: str) -> dict[str, str]:
    """What the form of this address sends along unseen."""
    form = re.search(rf'<form [^>]*action="{re.escape(action)}".*?</form>', text, re.DOTALL)
    assert form, action
    return dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', form[0]))


@pytest.mark.parametrize(
    "names",
    [
        ("What to leave",), ("Print",), ("What to leave", "What fits"),
        ("What to leave", "What fits", "Every distance"),
        ("What to leave", "What fits", "Every distance", "Back to what fits"),
        ("What to leave", "What fits", "What to leave"),
    ],
)  # fmt: skip
def test_a_link_of_the_other_balls_card_leads_to_those_balls(
    player: FlaskClient, both: list[Raw], names: tuple[str, ...]
) -> None:
    for ball in ("own", "range"):
        text = page(player, f"/card?ball={ball}")
        for name in names:
            text = page(player, goes(text, name))
        assert f"{ball} balls" in text.lower()


def test_the_way_back_from_a_number_or_a_ball_leads_to_the_card_it_came_from(
    player: FlaskClient, both: list[Raw]
) -> None:
    cell = page(player, f"/card/{wedge(both, '56')}/90?ball=own")
    assert goes(cell, "Back to the card") == "/card?ball=own"
    shot = page(player, re.findall(r'<li><a class="shot-link" href="([^"]+)"', cell)[0])
    assert goes(shot, "Back to the 56") == f"/card/{wedge(both, '56')}/90?ball=own"
    assert goes(page(player, f"/card/{wedge(both, '56')}/90"), "Back to the card") == "/card"


@pytest.mark.parametrize("path", ["/fits", "/fits/leave", "/print"])
def test_a_form_without_a_script_goes_on_asking_for_those_balls(
    player: FlaskClient, both: list[Raw], path: str
) -> None:
    assert asked(page(player, f"{path}?ball=own"), path)["ball"] == "own"
    assert "ball" not in asked(page(player, path), path)


def test_the_other_card_stays_in_view_when_its_numbers_are_chosen(player: FlaskClient, both: list[Raw]) -> None:
    text = page(player, "/card?ball=own")
    cells = re.findall(r'name="cell" value="([^"]+)"', text)
    (action,) = re.findall(r'action="(/card/shown[^"]*)"', text)
    answer = player.post(action, data={"csrf_token": token(text), "cell": cells})
    assert answer.location == "/card?ball=own"


def test_the_card_that_the_book_shows_by_itself_has_one_address(
    player: FlaskClient, book: Book, both: list[Raw]
) -> None:
    """The phone keeps `/card` for the day without signal and no other address of that card."""
    assert goes(page(player, "/card?ball=own"), "Range balls") == "/card"
    assert goes(page(player, "/card?ball=range"), "Print") == "/print"
    put(book, [a_setting("ball", "own", moved(NOW, minutes=1))])
    assert goes(page(player, "/card?ball=range"), "Own balls") == "/card"
    assert goes(page(player, "/card?ball=range"), "Print") == "/print?ball=range"
