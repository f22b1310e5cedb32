"""Card only: what the lock for a round shuts, for how long, and the sentence that says so.

Knows the phone's own preferences; a page that is shut calls `shut`.
"""

from . import present, reader
from .doors import Refused
from .moments import moment_of, text_of

SHUT = (
    "Card only is on for this phone: choosing a shot and sums for wind, slope and weather are shut until it is lifted. "
    "Rule 4.3a of the Rules of Golf limits advice from a device during a round. "
    "The card was made beforehand; the committee decides whether it may be used."
)


def shut() -> None:
    """Refuse this request while card only is on."""
    if reader.view()["card_only"]:
        raise Refused(403, "card_only", SHUT)


def moment() -> str:
    """The moment a card is read: the present, and while card only is on the moment the round began."""
    since = reader.preferences().get("card_since")
    if not reader.view()["card_only"] or not isinstance(since, str):
        return present.now()
    try:
        return min(text_of(moment_of(since)), present.now())
    except (ValueError, OverflowError):
        return present.now()
