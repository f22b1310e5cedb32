"""What each page hands to the phone, so that its scripts can go on without signal.

Knows the shapes that static/pages/ read; where rows come from and who may read them is decided by the pages.
"""

from collections.abc import Sequence
from typing import Any

from .books import read_card, same_wedge
from .books.bucket_facts import facts_of_bucket
from .books.choose_shot import Choosing
from .books.follow_homework import Followed
from .books.known_names import names_of
from .books.plan_practice import Planner
from .card.card_data import Card
from .card.names import Names
from .days import day
from .facts import KINDS
from .fields import Field
from .practice import limits
from .practice.plans import Plan
from .store import reading
from .store.book import Book

# Of a bucket, what the next is likely to share.
LASTING = ("place", "surface", "ball", "judged_by", "bay_offset_m", "monitor_note", "flags_checked")
_MOST_HOMEWORK = 8  # older homework is not gone on with
_MOST_BUCKETS = 50  # an entry whose bucket is missing belongs to one of the last

View = dict[str, Any]
Row = dict[str, Any]


def bucket(
    book: Book, view: View, card: Card, last: Row | None, first_task: list[str], now: str, ahead_min: int
) -> dict[str, Any]:
    """The landing patch: set-up, typical carries and the facts of buckets that are not over."""
    buckets = reading.buckets(book)
    forecasts = _forecasts(card)
    facts = [fact for one in read_card.open_buckets(book, now) for fact in facts_of_bucket(book, one["id"])]
    return {
        "book": book.id,
        "unit": view["unit"],
        "ball": view["ball"],
        "hand": view["hand"],
        "mirrored": view["mirrored"],
        "thumb": view["thumb"],
        "junior": view["junior"],
        "judged_by": view["judged_by"],
        "now": now,
        **_bag(card),
        "left_bag": _left_bag(book),
        "cells": [
            {
                "club_id": cell.club_id,
                "swing_deg": cell.swing_deg,
                "typical_carry_m": cell.shown_carry_m,
                "spread_m": cell.spread_m,
                "trust": cell.trust,
                **forecasts.get((cell.club_id, cell.swing_deg), {}),
            }
            for cell in card.cells.values()
        ],
        "last_bucket": {name: last[name] for name in LASTING} if last else None,
        "first_task": {"plan": first_task} if not buckets and card.clubs else None,
        "facts": facts,
        "left_swings": _left_swings(facts, names_of(book, view["mirrored"])),
        "places": places_of(buckets),
        "card": card_numbers(book, view, card),
        "balls": _balls_struck(buckets, view["ball_limit"], now, ahead_min),
    }


def places_of(buckets: list[dict[str, Any]]) -> list[str]:
    """The places noted so far, each once, by name: a form offers them."""
    return sorted({one["place"] for one in buckets if one["place"]})


def age(book: Book, card: Card) -> dict[str, Any]:
    """What tells a phone when the numbers of a page were made and which of its balls are not in them."""
    return {"book": book.id, "cursor": book.cursor, "ball": card.ball, "as_of": card.as_of}


def card_numbers(book: Book, view: View, card: Card) -> dict[str, Any]:
    """The card: each cell without its open buckets, so that the phone can replay those."""
    data: dict[str, Any] = {
        **age(book, card),
        "unit": view["unit"],
        "junior": view["junior"],
        "open_buckets": [],
        "cells": [],
    }
    if card.phone is None:
        return data
    phone = card.phone
    data.update(estimate=phone.estimate, N0=phone.N0, old_days=phone.old_days, open_buckets=list(phone.open_buckets))
    for state in phone.cells:
        cell = card.cells[state.club_id, state.swing_deg]
        data["cells"].append(
            {
                "club_id": state.club_id,
                "swing_deg": state.swing_deg,
                "N0": state.N0,
                "drift": state.drift,
                "n0": state.n0,
                "visits0": state.visits0,
                "read0": state.read0,
                "recent0": state.recent0,
                "by_eye0": state.by_eye0,
                "told": state.told,
                "moves": state.moves,
                "told_carry_m": cell.told_carry_m,
                "typical_carry_m": cell.typical_carry_m,
                "trust": cell.trust,
                "n": cell.n,
                "visits": cell.visits,
                "at_most": cell.at_most,
            }
        )
    return data


def fits(book: Book, view: View, choosing: Choosing) -> dict[str, Any]:
    """Choosing a shot: the numbers with their tables of chances, and by what the phone knows how old they are."""
    carries_m = sorted(one.carry_m for one in choosing.candidates)
    return {
        **age(book, choosing.card),
        "unit": view["unit"],
        "mirrored": view["mirrored"],
        "margin": vars(choosing.margin),
        "middle_m": carries_m[len(carries_m) // 2] if carries_m else 0.0,
        "candidates": [{**vars(one), "table": vars(one.table)} for one in choosing.candidates],
    }


def practice(
    planner: Planner, sizes: dict[int, Plan], rest: Plan | None, spring: Plan, opened: Row | None,
    accepted: Sequence[Followed], buckets: Sequence[Row], limit: int | None, ahead_min: int,
) -> dict[str, Any]:  # fmt: skip
    """A planned bucket: the words of each plan by its button, and by what the phone knows how old they are."""
    words = {f"bucket-{balls}": plan.words for balls, plan in sizes.items()}
    words["nine"] = planner.nine().words if planner.card.cells else []
    words["rest"] = rest.words if rest else []
    words["spring"] = spring.words
    return {
        **age(planner.book, planner.card),
        "plans": words,
        "sizes": {f"{balls}": {"warm_up": _warm_up(plan)} for balls, plan in sizes.items()},
        "last_struck_at": planner.last_struck_at,
        "homework": accepted_homework(accepted),
        "bag": planner.bag,
        **_bag(planner.card),
        "left_bag": _left_bag(planner.book),
        "balls": _balls_struck(buckets, limit, planner.now, ahead_min),
        "cells": [],
        "facts": facts_of_bucket(planner.book, opened["id"]) if opened else [],
    }


def accepted_homework(accepted: Sequence[Followed]) -> list[Row]:
    """Homework that was accepted, the latest first, as far as the server knows which of its places are struck."""
    names = ("id", "accepted_at", "said_at", "plan", "nine_by", "focus", "aside")
    return [{name: getattr(one, name) for name in names} | {"struck": one.places} for one in accepted[:_MOST_HOMEWORK]]


def homework(book: Book, view: View, card: Card, nine: Sequence[str], accepted: Sequence[Followed]) -> dict[str, Any]:
    """The page that reads homework: the bag it is matched with, the nine it may ask for, what was accepted before."""
    return {
        "book": book.id,
        "cursor": book.cursor,
        "unit": view["unit"],
        "junior": view["junior"],
        "nine": list(nine),
        "homework": accepted_homework(accepted),
        **_bag(card),
        "left_bag": _left_bag(book),
    }


def eye_check(pairs: Sequence[Row]) -> dict[str, Any]:
    """The eye check: the pairs so far, so that those of the phone can be told together with them."""
    told = ("id", "said_m", "measured_m")
    return {"pairs": [{name: one[name] for name in told} for one in pairs]}


def refused(book: Book, view: View) -> dict[str, Any]:
    """Refused entries: the fields of every kind, and the names that stand for identities."""
    names = names_of(book, view["mirrored"])
    return {
        "unit": view["unit"],
        "fields": {kind: {name: _told_field(field) for name, field in of.items()} for kind, of in KINDS.items()},
        "clubs": [{"id": club.id, "name": club.name} for club in reading.clubs(book, retired=True)],
        "swings": [{"swing_deg": swing_deg, "name": names.swing(swing_deg)} for swing_deg in names.swings],
        "buckets": [{"id": one["id"], "name": _name(one)} for one in reading.buckets(book, most=_MOST_BUCKETS)],
    }


def _forecasts(card: Card) -> dict[tuple[str, float], dict[str, float]]:
    """Mean and standard deviation of ln(carry [m]) of each cell's next clean ball, by which slips are told."""
    if card.phone is None:
        return {}
    return {(cell.club_id, cell.swing_deg): {"ln_m": cell.ln_m, "ln_sd": cell.ln_sd} for cell in card.phone.cells}


def _warm_up(plan: Plan) -> int:
    """How many balls a plan lets warm up before its first call."""
    first = plan.parts[0] if plan.parts else None
    return first.balls if first and not first.calls else 0


def _bag(card: Card) -> dict[str, Any]:
    return {
        "clubs": [{"id": club.id, "name": club.name, "loft_deg": club.loft_deg} for club in card.clubs],
        "swings": [{"swing_deg": swing.swing_deg, "name": swing.name} for swing in card.swings],
    }


def _left_bag(book: Book) -> list[Row]:
    """Wedges outside the bag, whose balls or calls the phone may hold, each with the one that is in its place."""
    heirs, every = same_wedge.in_their_places(book), reading.every_club(book).values()
    return [{"id": club.id, "name": club.name, "heir": heirs.get(club.id, "")} for club in every if club.retired]


def _left_swings(facts: Sequence[Row], names: Names) -> dict[str, str]:
    """What the lengths of swing are called that balls of the open buckets were struck with and that were left out."""
    struck = {float(fact["body"]["swing_deg"]) for fact in facts if fact["kind"] == "shot" and fact["body"]}
    return {f"{swing_deg:g}": names.swing(swing_deg) for swing_deg in struck - names.swings.keys()}


def _balls_struck(buckets: Sequence[Row], limit: int | None, now: str, ahead_min: int) -> dict[str, Any]:
    """The buckets of seven days with the balls struck in each, which the phone counts anew, and the player's limit."""
    told = ("id", "begun_at", "utc_offset_min")
    week = limits.of_week(buckets, now, ahead_min)
    counted = [{**{name: one[name] for name in told}, "n": limits.balls_of(one)} for one in week]
    return {"buckets": counted, "limit": limit}


def _told_field(field: Field) -> dict[str, Any]:
    """What a box for this field must know; an identity is chosen among names."""
    names = ("label", "low", "high", "choices", "required", "default")
    return {name: getattr(field, name) for name in names}


def _name(bucket: Row) -> str:
    return ", ".join(word for word in (day(bucket["local_at"]), bucket["place"]) if word)
