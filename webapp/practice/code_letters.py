"""A small JSON as a code of letters that an address may hold: deflated, with a checksum; an id and a wedge in it.

Knows nothing of what the JSON says. static/rules/homework_code.js opens the same letters on the phone.
"""

import base64
import json
import re
import zlib
from typing import Any
from uuid import UUID

from ..facts import LOFT_DEG_RANGE, NAME_LENGTH
from ..fields import is_plain

MOST_LETTERS = 420  # with the address before it a QR code of version 15 still holds it
# Whoever sends a code may make it as they like: more than this is not looked at.
MOST_TAKEN, MOST_BYTES = 1000, 4000
CHECKSUM_BYTES = 4
_LETTERS = re.compile(r"[A-Za-z0-9_-]+")


class Unreadable(ValueError):
    """A text that is nothing which can be taken; the text says why, and that nothing was kept."""


class TooLong(ValueError):
    """What is told makes a code of over MOST_LETTERS letters."""


class NotWhole(ValueError):
    """A text that is no code, or not all of one: a letter is missing or was changed on the way."""


def sealed(told: dict[str, Any]) -> str:
    """The code of what is told; TooLong where it has over MOST_LETTERS letters."""
    text = json.dumps(told, separators=(",", ":"), ensure_ascii=False).encode()
    deflate = zlib.compressobj(9, zlib.DEFLATED, -zlib.MAX_WBITS)
    body = deflate.compress(text) + deflate.flush()
    code = base64.urlsafe_b64encode(body + _checksum(body)).decode().rstrip("=")
    if len(code) > MOST_LETTERS:
        raise TooLong
    return code


def opened(code: str) -> Any:
    """What a code tells, or a link with a code behind its "#"; NotWhole, ValueError for what is whole and no JSON."""
    text = code.rpartition("#")[2].strip(" \t\r\n\f\v")
    if not _LETTERS.fullmatch(text) or len(text) > MOST_TAKEN or len(text) % 4 == 1:
        raise NotWhole
    packed = base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))
    body, checksum = packed[:-CHECKSUM_BYTES], packed[-CHECKSUM_BYTES:]
    if not body or _checksum(body) != checksum:
        raise NotWhole
    try:
        return json.loads(_inflated(body).decode(), parse_constant=_no_constant)
    except (RecursionError, zlib.error) as error:
        raise ValueError("no JSON of ours") from error


def told_by(code: str, version: int, damaged: str, newer: str, unfit: str) -> dict[str, Any]:
    """What a code of at most this version tells; Unreadable, with one of the three sentences, where there is none."""
    try:
        told = opened(code)
    except NotWhole as error:
        raise Unreadable(damaged) from error
    except ValueError as error:
        raise Unreadable(unfit) from error
    if not isinstance(told, dict) or not is_number(told.get("v"), 1, float("inf")):
        raise Unreadable(unfit)
    if told["v"] > version:
        raise Unreadable(newer)
    return told


def id_letters(own_id: str) -> str:
    """A UUID as 22 letters."""
    return base64.urlsafe_b64encode(UUID(own_id).bytes).decode().rstrip("=")


def id_of(text: Any) -> str:
    """The UUID of 22 letters; "" for anything else."""
    if not isinstance(text, str) or len(text) != 22 or not _LETTERS.fullmatch(text):
        return ""
    return str(UUID(bytes=base64.urlsafe_b64decode(text + "==")))


def is_club(club: Any) -> bool:
    """Whether this is a wedge as codes name it: its stamped loft [deg] and its name."""
    is_pair = isinstance(club, list) and len(club) == 2
    return is_pair and is_number(club[0], *LOFT_DEG_RANGE) and is_plain(club[1], NAME_LENGTH)


def is_number(value: Any, low: float, high: float) -> bool:
    """Whether this is a number of JSON from `low` to `high`."""
    return isinstance(value, int | float) and not isinstance(value, bool) and low <= value <= high


def short(number: float) -> float:
    """A whole number without its point, so that the code is short."""
    return int(number) if number == int(number) else number


def _inflated(body: bytes) -> bytes:
    inflate = zlib.decompressobj(-zlib.MAX_WBITS)
    text = inflate.decompress(body, MOST_BYTES)
    if not inflate.eof or inflate.unused_data:
        raise ValueError("longer than any code of ours, or not all of it")
    return text


def _checksum(body: bytes) -> bytes:
    return zlib.crc32(body).to_bytes(CHECKSUM_BYTES, "big")


def _no_constant(name: str) -> None:
    raise ValueError(f"{name} is no number of JSON")
