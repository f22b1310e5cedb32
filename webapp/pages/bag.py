"""The bag: which wedges there are, how far they carry full, and the gaps between them.

Knows forms and facts; the gaps come from the card.
"""

from decimal import Decimal
from typing import Any

from flask import Blueprint, Flask, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from .. import doors, notes, present, reader, units
from ..books import full_carry, make_facts, read_card
from ..card.card_words import count, percent
from ..card.rows import heirs_of
from ..estimate.gaps import CALLED, CERTAIN
from ..files.ball_row import folded
from ..forms.numbers import in_box
from ..forms.setup import MOST_CLUBS, ClubForm, PlainAction
from ..store import reading
from ..store.book import Book

bag = Blueprint("bag", __name__)
_FULL = f"A bag holds at most {MOST_CLUBS} wedges here."


def register(app: Flask) -> None:
    """Add the bag's addresses."""
    app.register_blueprint(bag)


@bag.get("/bag")
def show() -> str:
    """Every wedge with its loft and full carry, and the gaps."""
    return _page()


@bag.post("/bag")
@bag.post("/bag/set")
def change() -> Response | tuple[str, int]:
    """Keep what was changed; put another wedge in, once asked or typed, and take one out or back if asked.

    A new one may take a wedge's place; balls stay with the old.
    """
    book, unit = doors.book(), reader.view()["unit"]
    in_bag, before = reading.clubs(book), book.cursor
    # A wedge that another phone added meanwhile is not on this page, so nothing is said of it.
    clubs = [club for club in in_bag if f"{club.id}-loft_deg" in request.form]
    forms = {club.id: ClubForm(prefix=club.id, lengths_in=unit) for club in clubs}
    another = ClubForm(prefix="new", lengths_in=unit)
    adds = request.path == "/bag" or any(
        value.strip() for name, value in request.form.items() if name.startswith("new-")
    )
    named = [*((club.name, forms[club.id]) for club in clubs), *([("The new wedge", another)] if adds else [])]
    problems = [f"{name}: {problem}" for name, form in named if not form.validate() for problem in form.problems()]
    if adds and len(in_bag) >= MOST_CLUBS:
        problems.append(_FULL)
    if not problems:
        names = [_said(club, forms[club.id])["name"] if club.id in forms else club.name for club in in_bag]
        problems = _names_alike([*names, another.body()["name"]] if adds else names)
    if problems:
        return _page(list(dict.fromkeys(problems)), new=another if adds else None, changed=forms), 400
    doing, _, root = request.form.get("do", "keep").partition(" ")
    for club in clubs:
        if club.id == root and doing == "retire":
            _take_out(club)
        elif club.id == root and doing == "replace":
            _replace(club, forms[club.id])
        elif club.id == root and doing == "undo":
            _undo(club, forms[club.id])
        else:
            _keep(club, forms[club.id])
    if adds:
        _put_in(another)
    if book.cursor == before and root not in forms:  # what was done with one wedge is said
        flash("Nothing differs, so nothing was changed.")
    return redirect(url_for("bag.show"))


@bag.post("/bag/back")
def put_back() -> Response:
    """Put a wedge that left the bag back into it, with all its balls."""
    book, named = doors.book(), request.form.get("club")
    left = [one for one in _outside(book) if one.id not in reading.withdrawn_clubs(book)]
    club = next((one for one in left if one.id == named), None)
    if not PlainAction().validate():
        flash("The form was too old. Nothing was changed.")
    elif club is None:
        flash("There is no such wedge outside the bag. Nothing was changed.")
    else:
        flash(_put_back(club))
    return redirect(url_for("bag.show"))


def _undo(club: reading.Club, form: ClubForm) -> None:
    """Put the wedge back whose place one took, while that has no ball; else keep what its row says, and say why."""
    old = _replaced(doors.book()).get(club.id)
    if old and club.id in _undone(doors.book()):
        flash(_put_back(old, club))
        return
    _keep(club, form)
    if old:
        why = f"has balls by now, so the {_called(old)} was not put back. Say first that the {club.name} left the bag."
    else:
        why = "stands in no other one’s place by now, so nothing was put back."
    flash(f"The {club.name} {why}")


def _put_back(club: reading.Club, instead: reading.Club | None = None) -> str:
    """Put a wedge that left the bag back into it, where asked `instead` of one without balls; what came of it.

    That one is withdrawn, so that a ball of it which a phone still holds goes to its like. What took the place of the
    one put back does so no longer: its balls are its own again, and no circle can come of wedges put back.
    """
    book, now, called = doors.book(), present.now(), _called(club)
    every = reading.clubs(book, retired=True)
    others = [one for one in every if not one.retired and one != instead]
    if len(others) >= MOST_CLUBS:
        return f"{_FULL} Nothing was put back."
    if folded(club.name) in {folded(one.name) for one in others}:
        return f"Another wedge in the bag is called {club.name}. Give it another name first. Nothing was put back."
    followed = notes.keep(
        *(
            make_facts.withdrawn(book, "club", one.id, now)
            if one == instead
            else make_facts.changed(book, "club", one.id, now, follows="")
            for one in every
            if one.follows == club.id
        ),
        make_facts.changed(book, "club", club.id, now, retired=None),
    )
    return f"The {called} is in the bag again, with its balls.{_got(followed, club.id)}"


def _got(followed: list[dict[str, Any]], club_id: str) -> str:
    """What is said of the balls that a wedge got since it is the like of one that was withdrawn."""
    n = sum(fact["body"]["club_id"] == club_id for fact in followed)
    kept = f" {count(n, 'ball')} kept under a withdrawn wedge of its name and loft"
    return f"{kept} {'is' if n == 1 else 'are'} its own now." if n else ""


def _outside(book: Book) -> list[reading.Club]:
    """The wedges that left the bag; the balls of one that was replaced speak for its successor while that is in it.

    A withdrawn one is shown for the sake of its balls alone: nothing that is said of it brings it back.
    """
    every = reading.clubs(book, retired=True)
    heirs = heirs_of(every)
    return [club for club in every if club.id not in heirs]


def _replaced(book: Book) -> dict[str, reading.Club]:
    """By the id of each wedge in the bag that took another's place, that one."""
    every = reading.clubs(book, retired=True)
    left = {club.id: club for club in every if club.retired and club.id not in reading.withdrawn_clubs(book)}
    return {club.id: left[club.follows] for club in reading.clubs(book) if club.follows in left}


def _undone(book: Book) -> dict[str, reading.Club]:
    """Of those that were replaced the ones that would come back, since what took their place has no ball yet."""
    return {
        club_id: old for club_id, old in _replaced(book).items() if not reading.shots_of_club(book, club_id, most=1)
    }


def _called(club: reading.Club) -> str:
    """A wedge's name, with "old" before it where one that took its place has the same."""
    after = {folded(one.name) for one in reading.clubs(doors.book(), retired=True) if one.follows == club.id}
    return f"old {club.name}" if folded(club.name) in after else club.name


def _page(
    problems: list[str] | None = None, new: ClubForm | None = None, changed: dict[str, ClubForm] | None = None
) -> str:
    book, view = doors.book(), reader.view()
    carries = reading.full_carries(book)
    rows = [
        (club, (changed or {}).get(club.id) or _filled(club, carries.get(club.id), view["unit"]))
        for club in reading.clubs(book)
    ]
    another = new or ClubForm(formdata=None, prefix="new")
    another.loft_deg.flags.required = False  # the browser would ask for it of whoever only changes another wedge
    card = read_card.card_of(book, present.now(), view["mirrored"])
    return render_template(
        "bag.html",
        rows=rows,
        outside=[(club, _called(club), club.id in reading.withdrawn_clubs(book)) for club in _outside(book)],
        replaced={club_id: _called(club) for club_id, club in _replaced(book).items()},
        undone=_undone(book).keys(),
        new=another,
        adding=bool(new) or not rows,
        problems=problems,
        unit_name=units.UNIT_NAMES[view["unit"]],
        gaps=card.gaps,
        limit_m=card.gap_limit_m,
        chances=[percent(chance) for chance in (CALLED, CERTAIN)],
    )


def _filled(club: reading.Club, carry_m: float | None, unit: str) -> ClubForm:
    form = ClubForm(
        formdata=None,
        prefix=club.id,
        data={"name": club.name, "loft_deg": Decimal(f"{club.loft_deg:g}"), "sole_note": club.sole_note},
    )
    form.carry.data = in_box(carry_m, unit)
    return form


def _stood(club: reading.Club) -> ClubForm:
    """The wedge's form as it would be filled now."""
    return _filled(club, reading.full_carries(doors.book()).get(club.id), reader.view()["unit"])


def _said(club: reading.Club, form: ClubForm) -> dict[str, Any]:
    """What is said of a wedge: what its form says otherwise than its page showed, and the rest as it is by now."""
    return {**{name: getattr(club, name) for name in form.body()}, **form.changed(_stood(club))}


def _names_alike(names: list[str]) -> list[str]:
    """Two wedges of one name could not be told apart on the card."""
    taken, wrong = set(), []
    for name in names:
        if folded(name) in taken:
            wrong.append(f"There are two wedges called {name}. Give one of them another name.")
        taken.add(folded(name))
    return wrong


def _keep(club: reading.Club, form: ClubForm) -> None:
    body, states = _said(club, form), form.altered("carry", _stood(club))
    differs = any(getattr(club, name) != value for name, value in body.items())
    followed = notes.keep(make_facts.changed(doors.book(), "club", club.id, present.now(), **body)) if differs else []
    if (states and _state_carry(form, club.id)) or differs:
        flash(f"The {body['name']} was changed.{_got(followed, club.id)}")


def _put_in(form: ClubForm) -> None:
    club = make_facts.fact("club", form.body(), present.now())
    followed = notes.keep(club)
    _state_carry(form, club["id"])
    flash(f"The {club['body']['name']} is in the bag.{_got(followed, club['id'])}")


def _take_out(club: reading.Club) -> None:
    notes.keep(make_facts.changed(doors.book(), "club", club.id, present.now(), retired=True))
    flash(f"The {_called(club)} left the bag; its balls are kept under it.")


def _replace(club: reading.Club, form: ClubForm) -> None:
    book, now = doors.book(), present.now()
    new = make_facts.fact("club", {**_said(club, form), "follows": club.id}, now)
    states = form.altered("carry", _stood(club)) and form.carry.data is not None
    followed = notes.keep(new)
    start = _start(form if states else None, club.id, new["id"])  # the old one's number is on the card until it leaves
    followed += notes.keep(make_facts.changed(book, "club", club.id, now, retired=True))
    flash(f"The new {new['body']['name']} {start}.{_got(followed, new['id'])}")
    way_back = " Below the new one a button puts it back." if new["id"] in _undone(book) else ""
    flash(f"The {_called(club)} left the bag; its balls are kept under it.{way_back}")


def _state_carry(form: ClubForm, club_id: str) -> bool:
    """Note the stated full carry and say so when it differs from what the book shows; an emptied field withdraws it."""
    book, unit = doors.book(), reader.view()["unit"]
    root, said_m = reading.full_carry_roots(book).get(club_id, (None, None))
    if form.carry.data is None:
        if root:
            notes.keep(make_facts.withdrawn(book, "full_carry", root, present.now()))
        return bool(root)
    carry_m = units.to_m(float(form.carry.data), unit)
    if carry_m == said_m:
        return False
    body = {"club_id": club_id, "carry_m": carry_m}
    notes.keep(
        make_facts.correction(book, "full_carry", root, body, present.now())
        if root
        else make_facts.fact("full_carry", body, present.now())
    )
    return True


def _start(typed: ClubForm | None, old_id: str, new_id: str) -> str:
    """State a new club's full carry, and say which: as typed in the old one's box, else the old one's typical one."""
    book, told_m = doors.book(), reading.full_carries(doors.book()).get(old_id)
    if typed:
        _state_carry(typed, new_id)
        return "is in the bag with the full carry that you gave"
    carry_m = full_carry.typical_full_m(book, old_id, present.now(), reader.view()["mirrored"]) or told_m
    if carry_m is None:
        return "is in the bag"
    notes.keep(make_facts.fact("full_carry", {"club_id": new_id, "carry_m": carry_m}, present.now()))
    return "starts from the old one’s full carry, as told"
