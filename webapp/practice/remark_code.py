"""The code that a coach's remark travels in: what its JSON says, and whether all of it fits.

Knows no book, bag or page; its letters are code_letters.py's.
"""

from dataclasses import dataclass
from typing import Any

from ..facts import REMARK_LENGTH
from ..fields import is_plain
from . import code_letters
from .code_letters import Unreadable, id_letters, id_of, is_club, is_number, short
from .homework_code import Asked

VERSION = 1
KEY_LETTERS = 16  # of a ball's key, in hexadecimal

DAMAGED = (
    "This code is not whole, or it is no remark: a letter is missing or was changed on the way. "
    "Ask your coach to send it again. Nothing was kept."
)
NEWER = "This remark was made by a newer version of this app than the one here. Nothing was kept."
UNFIT = "This is no remark that can be kept here. Ask your coach for another. Nothing was kept."


@dataclass(frozen=True)
class Remark:
    """What a coach says: its id (any UUID), the words, the wedge and swing meant, a ball by its key or "" for none."""

    id: str
    words: str
    about: Asked
    ball: str = ""


def made(remark: Remark) -> str:
    """The code; Unreadable for a remark that no book would take, ValueError for one too long for its code."""
    about = remark.about
    told: dict[str, Any] = {"v": VERSION, "id": id_letters(remark.id), "w": remark.words}
    told |= {"k": [[short(about.loft_deg), about.name], short(about.swing_deg)]}
    told |= {"b": remark.ball} if remark.ball else {}
    _remark_of(told)
    try:
        return code_letters.sealed(told)
    except code_letters.TooLong as error:
        raise ValueError("This remark is too long for its code: say it in fewer words.") from error


def read(code: str) -> Remark:
    """The remark of a code, or of a link with a code behind its "#"; Unreadable where there is none."""
    return _remark_of(code_letters.told_by(code, VERSION, DAMAGED, NEWER, UNFIT))


def _remark_of(told: dict[str, Any]) -> Remark:
    """What a code's JSON says; Unreadable unless every part of it fits."""
    own_id, words, about, ball = id_of(told.get("id")), told.get("w", ""), told.get("k", ()), told.get("b", "")
    if not own_id or not is_plain(words, REMARK_LENGTH) or not words.strip() or not _is_about(about):
        raise Unreadable(UNFIT)
    if not isinstance(ball, str) or (ball and (len(ball) != KEY_LETTERS or set(ball) - set("0123456789abcdef"))):
        raise Unreadable(UNFIT)
    (loft_deg, name), swing_deg = about
    return Remark(own_id, words, Asked(name, loft_deg, swing_deg), ball)


def _is_about(about: Any) -> bool:
    return isinstance(about, list) and len(about) == 2 and is_club(about[0]) and is_number(about[1], 1, 180)
