"""Where a coach writes a remark on a number or a ball through a link; it leaves as a link, a picture, a text.

GET only, and nothing is kept: the address holds what is written, and the code stands behind the "#" of the link.
"""

import hashlib
import re
import secrets
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from flask import Blueprint, Flask, render_template, request

from .. import coach_door, doors, throttle
from ..card import card_data
from ..coach_door import Opened, open_link
from ..draw.qr import qr
from ..facts import REMARK_LENGTH
from ..fields import is_plain
from ..practice import remark_code
from ..practice.homework_code import Asked
from ..practice.remark_code import Remark
from ..units import UNIT_NAMES

_SEED = re.compile(r"[0-9a-f]{32}")
coach_remark = Blueprint("coach_remark", __name__, url_prefix="/w/<token>/remark")


def register(app: Flask) -> None:
    """Add the address where a coach writes a remark."""
    app.register_blueprint(coach_remark)


@dataclass(frozen=True)
class About:
    """What a remark is about: the wedge and swing meant, a ball's row and key or None and "", and where it is read."""

    asked: Asked
    name: str
    back: str
    shot: dict[str, Any] | None = None
    ball: str = ""


@coach_remark.get("")
@throttle.limiter.limit(throttle.LINKS)
def write(token: str) -> str | tuple[str, int]:
    """The words so far, and the remark as it leaves."""
    with open_link(token) as opened:
        about = _about(opened)
        words = " ".join(request.args.get("words", "").split())
        seed = request.args.get("seed", "")
        seed = seed if _SEED.fullmatch(seed) else secrets.token_hex(16)
        problem, leaves = _made(about, words, seed) if words else ("", None)
        answer = render_template(
            "coach_remark.html",
            **opened.frame()
            | {"units": [(name, one == opened.unit, _again(opened, one)) for one, name in UNIT_NAMES.items()]},
            about=about,
            asked={name: request.args[name] for name in ("cell", "shot") if name in request.args},
            asked_ball=coach_door.asked_ball(),
            words=words,
            longest=REMARK_LENGTH,
            seed=seed,
            problem=problem,
            leaves=leaves,
        )
    return (answer, 400) if problem else answer


def _about(opened: Opened) -> About:
    """The number or the ball that the address names; Refused where this link shows no such thing."""
    if key := request.args.get("shot", ""):
        coach_door.shots_are_shown(opened)
        found = opened.book.ball_of(key)
        struck_with = opened.book.every_club().get(found[0]["club_id"]) if found else None
        if found and struck_with:
            swing_deg = found[0]["swing_deg"]
            asked = Asked(struck_with.name, struck_with.loft_deg, swing_deg)
            back = opened.address("behind", key=struck_with.id, swing_deg=swing_deg)
            return About(asked, opened.names.cell((struck_with.id, swing_deg)), back, found[0], found[1])
    card, key = card_data.shown(opened.card), request.args.get("cell", "")
    place = next((place for place, cell in card.cells.items() if cell.key == key), None)
    if place is None:
        raise doors.Refused(404, "not_found", "There is no such number or ball on this card.")
    club = card.club(place[0])
    asked = Asked(club.name, club.loft_deg, place[1])
    return About(asked, opened.names.cell(place), opened.evidence_of(card.cells[place]))


def _made(about: About, words: str, seed: str) -> tuple[str, dict[str, Any] | None]:
    """What is wrong with the words, or "" and the remark as it leaves: its link, the picture of it, the text."""
    if not is_plain(words, REMARK_LENGTH):
        return f"A remark has at most {REMARK_LENGTH} letters, on one line, none of them < or >.", None
    told = (seed, words, about.asked, about.ball)
    own_id = str(UUID(bytes=hashlib.sha256(repr(told).encode()).digest()[:16]))
    try:
        code = remark_code.made(Remark(own_id, words, about.asked, about.ball))
    except ValueError as too_long:
        return str(too_long), None
    link = f"{request.url_root}remarks#{code}"
    text = f"From your coach, on {about.name}: {words}\n{link}"
    return "", {"link": link, "picture": qr(link, "l"), "text": text}


def _again(opened: Opened, unit: str) -> str:
    """This page with what is written, in another unit."""
    kept = {name: request.args[name] for name in ("cell", "shot", "words", "seed") if name in request.args}
    return opened.remark_at(**{**kept, "unit": unit})
