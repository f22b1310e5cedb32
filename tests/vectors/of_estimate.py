"""Arguments of the phone's estimate: states made of real books, and balls of visits that are not over."""

import math
from typing import Any

import numpy as np

from tests.core.estimate_players import bag, stated, visit
from webapp.estimate import phone
from webapp.estimate.balls import Ball
from webapp.estimate.pool import pool
from webapp.units import YARD_M

TEN = [(52, "clean"), (55, "clean"), (49, "clean"), (54, "clean"), (57, "clean"), (53, "clean"), (41, "fat"),
       (55, "clean"), (60, "thin"), (54, "clean")]  # fmt: skip


def cases() -> dict[str, tuple[dict[str, Any], dict[str, list[Any]]]]:
    """The arguments by function; three books, from none to three visits by two ways of judging."""
    known = [ball for name in range(3) for cell, yd in ((1, 80), (9, 50), (13, 52))
             for ball in visit(cell, [yd, yd * 1.03, yd * 0.95, yd * 1.01], name=name, age_days=8 - name)]  # fmt: skip
    by_eye = visit(9, [53, 55, 51], name=9, age_days=30, judged_by="eye")
    pi = state([])["pi"]
    one = {"m": [math.log(50 * YARD_M)], "V": phone.packed(np.array([[0.03**2]])), "ways": [], "s2": [0.06**2],
           "omega_a2": 0.02**2, "omega_b2": 0.02**2, "pi": pi}  # fmt: skip
    books = {"empty": state([]), "known": state(known), "known by eye too": state([*known, *by_eye]), "one cell": one}
    visits = {
        "one clean ball": [balls(9, [(53, "clean")])],
        "ten balls": [balls(9, TEN)],
        "the same ten on three visits": [balls(9, TEN[:4]), balls(9, TEN[4:7]), balls(9, TEN[7:])],
        "three cells of a visit": [balls(9, TEN[:3]) + balls(1, [(82, "clean"), (79, "")]) + balls(13, [(40, "fat")])],
        "by eye and by laser": [balls(9, TEN[:3], "eye"), balls(9, TEN[3:5], "laser")],
        "a shank, a lost ball and a contact not noted": [balls(9, [(20, "shank"), (None, "clean"), (51, "")])],
        "slips of entry": [balls(9, [(5, "clean"), (500, "clean"), (94, ""), (49, "clean")])],
        "a carry of next to nothing": [balls(9, [(52, "clean"), (1e-20, "clean"), (1e-20, ""), (49, "clean")])],
        "every contact": [balls(9, [(36, contact) for contact in pi])],
        "none": [],
        "none of a visit": [[], balls(9, [(53, "clean")])],
    }
    asked: dict[str, list[Any]] = {
        f"{book}: {name}": [{"$": book}, struck]
        for book in ("empty", "known", "known by eye too")
        for name, struck in visits.items()
    }
    asked["one cell: ten balls"] = [{"$": "one cell"}, [balls(0, TEN)]]
    widths = [(4.0, 0.0004, 6.0), (4.0, 0.0004, 17.4), (3.0, 0.05, 120.0), (4.5, 0.001, 900.0)]
    return {
        "estimate/replay": (books, asked),
        "estimate/halfWidthM": ({}, {f"m {m}, v {v}, df {df}": [m, v, df] for m, v, df in widths}),
    }


def state(struck: list[Ball]) -> dict[str, Any]:
    """The state of a bag of sixteen cells after some balls."""
    return phone.plain(phone.state_of(pool(bag(), struck, stated(), on_a_visit=True), 16))


def balls(cell: int, carries_yd: list[tuple[float | None, str]], judged_by: str = "monitor") -> list[dict[str, Any]]:
    """Balls of one cell as the phone has them."""
    return [
        {"cell": cell, "carry_m": None if yd is None else yd * YARD_M, "contact": contact, "judged_by": judged_by}
        for yd, contact in carries_yd
    ]
