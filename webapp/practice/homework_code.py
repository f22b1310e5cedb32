"""The code that homework travels in: small JSON, deflated, with a checksum, in letters that an address may hold.

Knows no book, bag or page. static/rules/homework_code.js reads it on the phone; tests/vectors/homework_code/ holds both
to the same answers.
"""

import base64
import json
import re
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from ..facts import FOCUS_LENGTH, LOFT_DEG_RANGE, LONGEST_CARRY_M, MODES, NAME_LENGTH
from ..fields import is_day, is_plain

VERSION = 1
MOST_LETTERS = 420  # with the address before it a QR code of version 15 still holds it
MOST_ROWS, MOST_CELLS, MOST_BALLS = 8, 12, 150
# Whoever sends a code may make it as they like: more than this is not looked at.
_MOST_TAKEN, _MOST_BYTES = 1000, 4000
_CHECKSUM_BYTES = 4
_LETTERS = re.compile(r"[A-Za-z0-9_-]+")

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
    "taken": _MOST_TAKEN, "bytes": _MOST_BYTES, "lofts_deg": LOFT_DEG_RANGE,
    "name": NAME_LENGTH, "focus": FOCUS_LENGTH,
}  # fmt: skip


class Unreadable(ValueError):
    """A text that is no homework which can be taken; the text says why, and that nothing was kept."""


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
        + [number for cell in row.cells for number in (places[cell.loft_deg, cell.name], _short(cell.swing_deg))]
        for row in homework.rows
    ]
    own_id = base64.urlsafe_b64encode(UUID(homework.id).bytes).decode().rstrip("=")
    told: dict[str, Any] = {"v": VERSION, "id": own_id, "c": [[_short(loft), name] for loft, name in clubs], "r": rows}
    told |= {"n": homework.nine_by} if homework.nine_by else {}
    told |= {"f": homework.focus} if homework.focus else {}
    _homework_of(told)
    text = json.dumps(told, separators=(",", ":"), ensure_ascii=False).encode()
    deflate = zlib.compressobj(9, zlib.DEFLATED, -zlib.MAX_WBITS)
    body = deflate.compress(text) + deflate.flush()
    code = base64.urlsafe_b64encode(body + _checksum(body)).decode().rstrip("=")
    if len(code) > MOST_LETTERS:
        raise ValueError("This homework is too long for its code: shorten the focus or leave a row out.")
    return code


def read(code: str) -> Homework:
    """The homework of a code, or of a link with a code behind its "#"; Unreadable where there is none."""
    text = code.rpartition("#")[2].strip(" \t\r\n\f\v")
    if not _LETTERS.fullmatch(text) or len(text) > _MOST_TAKEN or len(text) % 4 == 1:
        raise Unreadable(DAMAGED)
    packed = base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))
    body, checksum = packed[:-_CHECKSUM_BYTES], packed[-_CHECKSUM_BYTES:]
    if not body or _checksum(body) != checksum:
        raise Unreadable(DAMAGED)
    try:
        told = json.loads(_inflated(body).decode(), parse_constant=_no_constant)
    except (ValueError, RecursionError, zlib.error) as error:
        raise Unreadable(UNFIT) from error
    return _homework_of(told)


def _inflated(body: bytes) -> bytes:
    inflate = zlib.decompressobj(-zlib.MAX_WBITS)
    text = inflate.decompress(body, _MOST_BYTES)
    if not inflate.eof or inflate.unused_data:
        raise ValueError("longer than any homework, or not all of it")
    return text


def _checksum(body: bytes) -> bytes:
    return zlib.crc32(body).to_bytes(_CHECKSUM_BYTES, "big")


def _homework_of(told: Any) -> Homework:
    """What a code's JSON says; Unreadable unless every part of it fits."""
    if not isinstance(told, dict) or not _is_number(told.get("v"), 1, float("inf")):
        raise Unreadable(UNFIT)
    if told["v"] > VERSION:
        raise Unreadable(NEWER)
    clubs, rows = told.get("c", ()), told.get("r", ())
    nine_by, focus = told.get("n", ""), told.get("f", "")
    own_id = _id_of(told.get("id"))
    if not own_id or not (_is_list(clubs, 0, MOST_ROWS * MOST_CELLS, _is_club) and _is_list(rows, 0, MOST_ROWS)):
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


def _is_club(club: Any) -> bool:
    return _is_list(club, 2, 2) and _is_number(club[0], *LOFT_DEG_RANGE) and is_plain(club[1], NAME_LENGTH)


def _is_row(row: Any, clubs: int) -> bool:
    if not _is_list(row, 5, 3 + 2 * MOST_CELLS) or len(row) % 2 == 0:
        return False
    balls, mode, carry_m, *cells = row
    return (
        _is_whole(balls, 1, MOST_BALLS)
        and _is_whole(mode, 0, len(MODES) - 1)
        and _is_number(carry_m, 0, LONGEST_CARRY_M)
        and all(_is_whole(at, 0, clubs - 1) for at in cells[::2])
        and all(_is_number(swing_deg, 1, 180) for swing_deg in cells[1::2])
    )


def _id_of(text: Any) -> str:
    """The UUID of 22 letters; "" for anything else."""
    if not isinstance(text, str) or len(text) != 22 or not _LETTERS.fullmatch(text):
        return ""
    return str(UUID(bytes=base64.urlsafe_b64decode(text + "==")))


def _is_list(value: Any, least: int, most: int, fits: Callable[[Any], bool] = lambda one: True) -> bool:
    return isinstance(value, list) and least <= len(value) <= most and all(map(fits, value))


def _is_number(value: Any, low: float, high: float) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and low <= value <= high


def _is_whole(value: Any, low: int, high: int) -> bool:
    return _is_number(value, low, high) and value == int(value)


def _short(number: float) -> float:
    """A whole number without its point, so that the code is short."""
    return int(number) if number == int(number) else number


def _no_constant(name: str) -> None:
    raise ValueError(f"{name} is no number of JSON")
