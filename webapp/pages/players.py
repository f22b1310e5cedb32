"""A coach's list of players: the page, whose list lives in that browser alone, and the lines that one link tells.

Knows a link that was opened, and nothing of which links a coach keeps.
"""

from typing import Any

from flask import Blueprint, Flask, render_template

from .. import coach_lines, throttle, units
from ..card.card_words import Length
from ..coach_door import Opened, open_link

MOST_LINES = 2  # the last visit with its period, and what changed most; homework comes on top
players = Blueprint("players", __name__)


def register(app: Flask) -> None:
    """Add the list and the lines."""
    app.register_blueprint(players)


@players.get("/players")
def show() -> str:
    """The page without a player: its script reads what this browser keeps."""
    return render_template("players.html")


@players.get("/w/<token>/line")
@throttle.limiter.limit(throttle.LINKS)
def line(token: str) -> dict[str, Any]:
    """What a list says of a player; asking for it is not counted as opening the link."""
    with open_link(token, counts=False) as opened:
        return {
            "name": opened.said["nickname"] if opened.book.profile.nickname else "",
            "told": _told(opened),
            "ends_on": opened.ends_on,
        }


def _told(opened: Opened) -> list[str]:
    if not opened.book.profile.has_shots:
        return ["This link shows the card alone."]
    lines, _, _ = coach_lines.since_last(opened)
    told = ["".join(_text(part, opened.unit) for part in line.words) for line in lines[:MOST_LINES]]
    return [*(told or ["No ball yet."]), *(words for words, _ in coach_lines.of_homework(opened))]


def _text(part: str | Length, unit: str) -> str:
    if isinstance(part, str):
        return part
    return f"{units.whole(part.length_m, unit)}{f' {unit}' if part.with_unit else ''}"
