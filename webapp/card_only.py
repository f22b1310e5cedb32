"""Card only: what the lock for a round shuts, for how long, and the sentences that say so.

Knows the phone's own preferences; a page that is shut calls `shut`, a correction that would move the card `hold`.
"""

from . import present, reader
from .doors import Refused
from .moments import moment_of, text_of

SHUT = (
    "Card only is on for this phone: choosing a shot and sums for wind, slope and weather are shut until it is lifted. "
    "Rule 4.3a of the Rules of Golf limits advice from a device during a round. "
    "The card was made beforehand; the committee decides whether it may be used."
)
STANDS = (
    "Card only is on for this phone. The card stands as it was when that was set, "
    "so no ball that is in its numbers is put right until it is lifted."
)


def shut() -> None:
    """Refuse this request while card only is on."""
    if reader.view()["card_only"]:
        raise Refused(403, "card_only", SHUT)


def held() -> str:
    """Why what moves the card's numbers is not changed now; "" while card only is off."""
    return STANDS if reader.view()["card_only"] else ""


def hold() -> None:
    """Refuse this request, which would move the card's numbers, while card only is on."""
    if why := held():
        raise Refused(403, "card_only", why)


def moment() -> str:
    """The moment a card is read: the present, and while card only is on the moment the round began."""
    since = reader.preferences().get("card_since")
    if not reader.view()["card_only"] or not isinstance(since, str):
        return present.now()
    try:
        return min(text_of(moment_of(since)), present.now())
    except (ValueError, OverflowError):
        return present.now()
