"""How the reader of a request likes to read: unit, hand, thumb side, mirrored or not, card only, today.

Knows the phone's own cookie and the book's settings; which book that is doors.py decides.
"""

import json
from collections.abc import Callable
from datetime import timedelta
from typing import Any
from urllib.parse import quote, unquote

from flask import current_app, g, request
from werkzeug.wrappers import Response

from . import clock, doors
from .days import day, minute
from .facts import BALLS, UTC_OFFSET_MIN_RANGE
from .moments import local
from .store import reading
from .units import ALTITUDE_NAMES, LENGTH_M, TEMPERATURE_NAMES

PHONE_COOKIE = "phone"


def preferences() -> dict[str, Any]:
    """What this phone alone prefers (units, thumb side, mirroring, card only, clock); {} when it cannot be read."""
    try:
        told = json.loads(unquote(request.cookies.get(PHONE_COOKIE, "{}")))
    except (ValueError, RecursionError):
        return {}
    return told if isinstance(told, dict) else {}


def view() -> dict[str, Any]:
    """How this request reads a card: the book's settings where the phone has no preference of its own.

    A form is read in the unit that its page showed, whatever was chosen since, so it is answered in that too.
    """
    seen: dict[str, Any] | None = g.get("view")
    if seen is None:
        told, phone = reading.settings(doors.book()), preferences()
        mirrored = phone.get("mirrored")
        if not isinstance(mirrored, bool):
            mirrored = clock.mirrors(told["hand"], told["seen_from"])
        unit = next(
            (one for one in (request.form.get("lengths_in"), phone.get("unit")) if one in (*LENGTH_M,)), told["unit"]
        )
        thumb = phone.get("thumb") if phone.get("thumb") in ("left", "right") else told["thumb"]
        seen = g.view = {
            **told,
            "unit": unit,
            "temperature_unit": _one_of(TEMPERATURE_NAMES, phone.get("temperature_unit")),
            "altitude_unit": _one_of(ALTITUDE_NAMES, phone.get("altitude_unit")),
            "mirrored": mirrored,
            "thumb_chosen": thumb,
            "thumb": thumb or told["hand"],  # the glove is on the lead hand, so the trail thumb is bare
            "card_only": phone.get("card_only") is True,
            "sun": phone.get("sun") is True,
        }
    return seen


def asked_ball() -> str | None:
    """The kind of ball that the address asks for, which links of its page go on asking for; None for the book's own.

    What is the book's own kind anyway has one address, the one that the phone keeps.
    """
    ball = request.args.get("ball")
    return ball if ball in BALLS and ball != view()["ball"] else None


def ahead_min() -> int:
    """How many minutes the clock of this request is ahead of UTC: as the phone that asks tells, else the book.

    What was struck keeps the clock that it was struck by; this one says what is today.
    """
    told, (lowest, highest) = preferences().get("ahead_min"), UTC_OFFSET_MIN_RANGE
    if type(told) is int and lowest <= told <= highest:
        return told
    return reading.utc_offset_min(doors.book())


def own_clock(moment: str) -> str:
    """What the clock of this request shows at a moment."""
    return local(moment, ahead_min())


def own_day() -> Callable[[str], str]:
    """What writes a moment's day for this request: the day that its own clock showed."""
    return _by_own_clock(day)


def day_struck(moment: str) -> str:
    """The day of a ball's moment by the clock that the ball was struck by; by this request's where it is gone."""
    ball = reading.shot_of_moment(doors.book(), moment)
    return day(ball["local_at"]) if ball else own_day()(moment)


def own_minute() -> Callable[[str], str]:
    """What writes a moment's day and minute for this request, as its own clock showed them."""
    return _by_own_clock(minute)


def _by_own_clock(write: Callable[[str], str]) -> Callable[[str], str]:
    by_min = ahead_min()
    return lambda moment: write(local(moment, by_min))


def prefer(response: Response, **changed: Any) -> None:
    """Change some of what this phone prefers; the rest stays, above all its card-only lock."""
    response.set_cookie(
        PHONE_COOKIE,
        quote(json.dumps({**preferences(), **changed}, separators=(",", ":")), safe=""),
        max_age=timedelta(days=current_app.config["DEVICE_DAYS"]),
        secure=current_app.config["HTTPS"],
        samesite="Lax",
        path="/",
    )


def forget(response: Response) -> None:
    """Take from a phone the cookie that said how it reads."""
    response.delete_cookie(PHONE_COOKIE, path="/", secure=current_app.config["HTTPS"], samesite="Lax")


def _one_of(names: dict[str, str], told: Any) -> str:
    """What the phone told where it is one of these names, else the first of them."""
    return told if isinstance(told, str) and told in names else next(iter(names))
