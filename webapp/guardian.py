"""The guardian's sight of a junior's book: why a deed may not be done without the PIN, in a sentence.

Knows the open book and the directory; a page asks before it does what a guardian has to see, and says that nothing was
changed.
"""

from . import codes, doors, present, reader
from .moments import just_after
from .store import guardians
from .store.guardians import Barred

_LEAST, _MOST = 4, 8


def is_asked() -> bool:
    """Whether this book's player is a junior, whose guardian is asked."""
    return bool(reader.view()["junior"])


def has_pin() -> bool:
    """Whether the guardian has set a PIN."""
    return guardians.has_pin(doors.directory(), doors.device().book_id)


def refusal(pin: str | None) -> str:
    """Why a deed may not be done with this PIN, or "": always "" in a book of no junior."""
    if not is_asked():
        return ""
    if not has_pin():
        return "The guardian sets a PIN with the first coach link: make that first."
    if not pin:  # a box that was passed over is no try
        return "Type the guardian’s PIN."
    try:
        right = guardians.is_right(doors.directory(), doors.device().book_id, pin, present.now())
    except Barred:
        return "The PIN was wrong five times, so none is looked at for an hour."
    return "" if right else "This is not the guardian’s PIN."


def set_first(pin: str | None) -> str:
    """Set the PIN of a junior's book that has none; why it cannot be set, or ""."""
    said = pin or ""
    if misfit := _misfit(said):
        return misfit
    guardians.set_pin(doors.directory(), doors.device().book_id, said, present.now())
    return ""


def set_again(sheet: str, pin: str | None) -> str:
    """Set another PIN with the code of the book's recovery sheet; why it cannot be set, or "".

    The reset ends on a restored copy whatever PIN was set until then, so the new one is set just after it.
    """
    said, directory, book_id, now = pin or "", doors.directory(), doors.device().book_id, present.now()
    if misfit := _misfit(said):
        return misfit
    if not guardians.reset(directory, book_id, codes.as_typed(sheet), now):
        return "This is not the code of this book’s recovery sheet, or there is no PIN."
    guardians.set_pin(directory, book_id, said, just_after(now))
    return ""


def _misfit(pin: str) -> str:
    fits = pin.isascii() and pin.isdecimal() and _LEAST <= len(pin) <= _MOST
    return "" if fits else f"The guardian’s PIN is {_LEAST} to {_MOST} digits."
