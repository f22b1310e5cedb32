"""The code that homework travels in: what its JSON says, and whether all of it fits; its letters are code_letters.py's.

Knows no book, bag or page. static/rules/homework_code.js reads it on the phone; tests/vectors/homework_code/ holds both
to the same answers.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from ..facts import FOCUS_LENGTH, LOFT_DEG_RANGE, LONGEST_CARRY_M, MODES, NAME_LENGTH
from ..fields import is_day, is_plain
from . import code_letters
from .code_letters import Unreadable, id_letters, id_of, is_club, is_number, short

VERSION = 1
MOST_ROWS, MOST_CELLS, MOST_BALLS = 8, 12, 150

DAMAGED = (
    "This code is not whole, or it is no homework: a letter is missing or was changed on the way. "
    "Ask your coach to send it again. Nothing was kept."
)
NEWER = (
    "This homework was made by a newer version of this app. Load this page with signal, then try again. "
    "Nothing was kept."
)
UNFIT = "This homework asks for something that no bucket holds. Ask your coach for another. Nothing was kept."
CONSTANTS = {
    "version": VERSION, "rows": MOST_ROWS, "cells": MOST_CELLS, "balls": MOST_BALLS,
    "taken": code_letters.MOST_TAKEN, "bytes": code_letters.MOST_BYTES, "lofts_deg": LOFT_DEG_RANGE,
    "name": NAME_LENGTH, "focus": FOCUS_LENGTH, "checksum_bytes": code_letters.CHECKSUM_BYTES,
}  # fmt: skip


@dataclass(frozen=True)
class Asked:
    """A wedge by its name and stamped loft [deg], and a length of swing by the lead arm's angle [deg]."""

    name: str
    loft_deg: float
    swing_deg: float


@dataclass(frozen=True)
class Row:
    """Balls of one cell, or of several in mixed order; `carry_m` [m] is None where the card's own number is meant."""

    cells: tuple[Asked, ...]
    balls: int
    mode: str
    carry_m: float | None = None


@dataclass(frozen=True)
class Homework:
    """What a coach sets: its id (any UUID), rows, the day until which a next-visit nine is due or "", a focus."""

    id: str
    rows: tuple[Row, ...]
    nine_by: str = ""
    focus: str = ""

    @property
    def balls(self) -> int:
        """How many balls the rows ask for, the nine aside."""
        return sum(row.balls for row in self.rows)


def made(homework: Homework) -> str:
    """The code; Unreadable for homework that no phone would take, ValueError for one of over MOST_LETTERS letters."""
    clubs = list(dict.fromkeys((cell.loft_deg, cell.name) for row in homework.rows for cell in row.cells))
    places = {club: place for place, club in enumerate(clubs)}
    rows = [
        [row.balls, MODES.index(row.mode) if row.mode in MODES else row.mode, round(row.carry_m or 0, 2)]
        + [number for cell in row.cells for number in (places[cell.loft_deg, cell.name], short(cell.swing_deg))]
        for row in homework.rows
    ]
    told: dict[str, Any] = {"v": VERSION, "id": id_letters(homework.id), "r": rows}
    told |= {"c": [[short(loft), name] for loft, name in clubs]}
    told |= {"n": homework.nine_by} if homework.nine_by else {}
    told |= {"f": homework.focus} if homework.focus else {}
    _homework_of(told)
    try:
        return code_letters.sealed(told)
    except code_letters.TooLong as error:
        raise ValueError("This homework is too long for its code: shorten the focus or leave a row out.") from error


def read(code: str) -> Homework:
    """The homework of a code, or of a link with a code behind its "#"; Unreadable where there is none."""
    return _homework_of(code_letters.told_by(code, VERSION, DAMAGED, NEWER, UNFIT))


def _homework_of(told: dict[str, Any]) -> Homework:
    """What a code's JSON says; Unreadable unless every part of it fits."""
    clubs, rows = told.get("c", ()), told.get("r", ())
    nine_by, focus = told.get("n", ""), told.get("f", "")
    own_id = id_of(told.get("id"))
    if not own_id or not (_is_list(clubs, 0, MOST_ROWS * MOST_CELLS, is_club) and _is_list(rows, 0, MOST_ROWS)):
        raise Unreadable(UNFIT)
    if not all(_is_row(row, len(clubs)) for row in rows) or sum(row[0] for row in rows) > MOST_BALLS:
        raise Unreadable(UNFIT)
    if not (nine_by == "" or is_day(nine_by)) or not is_plain(focus, FOCUS_LENGTH) or not (rows or nine_by):
        raise Unreadable(UNFIT)
    return Homework(own_id, tuple(_row_of(row, clubs) for row in rows), nine_by, focus)


def _row_of(row: list[Any], clubs: list[Any]) -> Row:
    balls, mode, carry_m, *cells = row
    asked = [Asked(clubs[int(at)][1], clubs[int(at)][0], deg) for at, deg in zip(cells[::2], cells[1::2], strict=True)]
    return Row(tuple(asked), int(balls), MODES[int(mode)], carry_m or None)


def _is_row(row: Any, clubs: int) -> bool:
    if not _is_list(row, 5, 3 + 2 * MOST_CELLS) or len(row) % 2 == 0:
        return False
    balls, mode, carry_m, *cells = row
    return (
        _is_whole(balls, 1, MOST_BALLS)
        and _is_whole(mode, 0, len(MODES) - 1)
        and is_number(carry_m, 0, LONGEST_CARRY_M)
        and all(_is_whole(at, 0, clubs - 1) for at in cells[::2])
        and all(is_number(swing_deg, 1, 180) for swing_deg in cells[1::2])
    )


def _is_list(value: Any, least: int, most: int, fits: Callable[[Any], bool] = lambda one: True) -> bool:
    return isinstance(value, list) and least <= len(value) <= most and all(map(fits, value))


def _is_whole(value: Any, low: int, high: int) -> bool:
    return is_number(value, low, high) and value == int(value)
