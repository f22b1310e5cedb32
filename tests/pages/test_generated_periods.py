"""Every figure of two periods, for the player and through a coach's link, worked out again with pandas from the balls.

Three books made by chance hold what real ones do: two kinds of ball, rough lies, balls set aside, lost from sight and
off the scale, an offset of the bay, a bucket set aside, next-visit nines, evenings ahead of and behind UTC.
"""

import json
import math
import random
import re
import sqlite3
from typing import Any

import pandas as pd
import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.factories import NOW, Raw, a_bucket, a_shot, the_demo_set
from webapp.moments import moment_of, moved
from webapp.store.book import Book
from webapp.store.directory import Directory
from webapp.units import YARD_M

from .test_periods import NAMES, rows, tenths
from .visitor import words

LATER = moved(NOW, days=40)
CONTACTS = ("fat", "heavy", "clean", "clean", "clean", "clean", "thin", "bladed", "shank", "")
LOSES = {"fat": 14, "heavy": 6, "thin": -3, "bladed": -20, "shank": 25}


def a_book(seed: int) -> list[Raw]:
    """Eight visits of about forty balls."""
    chance = random.Random(seed)
    clubs = the_demo_set(moved(NOW, days=-1))[:4]
    full = dict(zip((club["id"] for club in clubs), (112, 99, 85, 72), strict=True))
    share = {45.0: 0.5, 90.0: 0.72, 135.0: 0.86, 180.0: 1.0}
    facts: list[Raw] = [*clubs]
    for visit in range(8):
        begun = moved(NOW, days=4.6 * visit, hours=chance.randrange(12))
        nine = visit % 3 == 2
        plan = [f"{clubs[2]['id']}:90:distance:{60 * YARD_M:.2f}:nine"] * 9 if nine else []
        bucket = a_bucket(
            begun, surface=chance.choice(("mat", "grass")), ball=chance.choice(("range", "range", "own")),
            utc_offset_min=chance.choice((-420, 0, 540)), bay_offset_m=chance.choice((None, 3 * YARD_M)),
            aside=visit == 4, plan=plan, judged_by=chance.choice(("monitor", "markers")),
        )  # fmt: skip
        facts.append(bucket)
        for at in range(40):
            of_nine = nine and at < 9
            club, deg = (clubs[2]["id"], 90.0) if of_nine else (chance.choice(clubs)["id"], chance.choice(list(share)))
            contact = chance.choice(CONTACTS)
            aimed = of_nine or chance.random() < 0.3
            meant = 60 if of_nine else round(full[club] * share[deg])
            carry = max(3.0, chance.gauss(full[club] * share[deg] * (1 + 0.01 * visit), 3) - LOSES.get(contact, 0))
            landed = chance.choices(("seen", "unseen", "under", "over"), (90, 5, 3, 2))[0]
            facts.append(
                a_shot(
                    bucket, club, round(carry, 1) if landed == "seen" else None, moved(begun, seconds=40 * (at + 1)),
                    swing_deg=deg, contact=contact, mode="distance" if aimed else "swing", meant_carry_m=meant * YARD_M,
                    landed=landed, aside=chance.random() < 0.05, lie=chance.choices(("level", "rough"), (9, 1))[0],
                    run_index=chance.randrange(1, 6), plan_ref=str(at + 1) if of_nine else "",
                )
            )  # fmt: skip
    return facts


def the_balls(book: Book) -> pd.DataFrame:
    """Every ball with what its bucket says; carries in yards from the bay, days by the player's clock."""
    with sqlite3.connect(book.path) as conn:
        balls = pd.read_sql(
            """SELECT name, swing_deg, mode, counted, carry_m, meant_carry_m, landed, contact, struck_at, surface,
            shots.ball, lie, shots.aside, buckets.aside AS bucket_aside, course, run_index, plan_ref, plan,
            shots.judged_by, bay_offset_m, hex(visit_id) AS visit, hex(bucket_id) AS bucket, utc_offset_min
            FROM shots JOIN buckets ON buckets.id = bucket_id JOIN clubs ON clubs.id = club_id ORDER BY struck_at""",
            conn,
        )
    balls["at"] = pd.to_datetime(balls["struck_at"]) + pd.to_timedelta(balls["utc_offset_min"].fillna(0), unit="min")
    balls["yd"] = (balls["carry_m"] + balls["bay_offset_m"].fillna(0)) / YARD_M
    balls["meant"] = balls["meant_carry_m"] / YARD_M
    balls["left_in"] = (balls[["aside", "bucket_aside", "course"]] == 0).all(axis=1)
    planned = [
        bool(ref) and int(ref) <= len(plan) and plan[int(ref) - 1].endswith(":nine")
        for ref, plan in zip(balls["plan_ref"], map(json.loads, balls["plan"]), strict=True)
    ]
    balls["nine"] = pd.Series(planned, index=balls.index) & (balls["aside"] == 0)  # visits lie days apart: all cold
    return balls


def margin(ball: Any) -> float:
    """What is "in" by the usual rule: 8% of the meant carry, at least 4 yd and the step of judging."""
    return max(0.08 * ball.meant, 4, {"monitor": 1, "markers": 5}[ball.judged_by])


def to_a_number(side: pd.DataFrame) -> pd.DataFrame:
    level = side[side["left_in"] & (side["lie"] == "level")]
    return level[(level["mode"] == "distance") & (level["landed"] == "seen")]


def expected(side: pd.DataFrame) -> dict[str, str]:
    """The rows of a side that are no cell's own."""
    found = {}
    struck = side[side["left_in"] & (side["lie"] == "level") & (side["contact"] != "")]
    counts = struck["contact"].value_counts()
    remainders = sorted(counts.index, key=lambda one: (-(100 * counts[one] % len(struck)), CONTACTS.index(one)))
    missing = 100 - sum(100 * n // len(struck) for n in counts)  # the largest remainders are rounded up
    for contact, n in counts.items():
        whole = 100 * n // len(struck) + (contact in remainders[:missing])
        found[contact] = f"{whole}% ({n} of {len(struck)})"
    told = side[(side["counted"] == 1) & (side["landed"] == "seen") & (side["contact"] != "")].copy()
    clean = told[told["contact"] == "clean"].groupby(["name", "swing_deg"])["yd"].mean()
    cells = zip(told["yd"], told["name"], told["swing_deg"], strict=True)
    told["lost"] = [yd - clean.get((name, deg), math.nan) for yd, name, deg in cells]
    told = told.dropna(subset=["lost"])
    by_contact = told[told["contact"] != "clean"].groupby("contact")["lost"].sum() / max(len(told), 1)
    found["strike costs, yd a ball"] = tenths(-by_contact[by_contact < 0].sum())
    aimed = to_a_number(side)
    off = aimed["yd"] - aimed["meant"]
    wide = pd.Series([margin(ball) for ball in aimed.itertuples()], index=aimed.index) + 1e-9
    short, long = int((off < -wide).sum()), int((off > wide).sum())
    found["against the meant, yd"] = f"{'+' if off.mean() >= 0.05 else ''}{tenths(off.mean())}"
    found["short, in, long"] = f"{short} short, {len(off) - short - long} in, {long} long"
    nine = side[side["nine"]]
    within = int(((nine["yd"] - nine["meant"]).abs() <= 5 + 1e-9)[nine["landed"] == "seen"].sum())
    found["next-visit nine, within 5 yd"] = f"{within} of {len(nine)}" if len(nine) else "no balls"
    return found


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_every_figure_agrees_for_player_and_coach(
    player: FlaskClient, app: Flask, directory: Directory, book: Book, seed: int
) -> None:
    app.config["NOW"] = lambda: moment_of(LATER)
    assert not book.add(a_book(seed), None, LATER).refused
    link = "/w/" + directory.new_link(book.id, "", LATER, moved(LATER, days=7), {})
    every = the_balls(book)
    begins = every.groupby("visit")["at"].min().sort_values(ascending=False).iloc[2]
    for query, chosen in (
        ("ball=range", every["ball"] == "range"),
        ("ball=&first=1", every["run_index"] == 1),
        ("ball=&surface=grass", every["surface"] == "grass"),
    ):
        balls = every[chosen]
        sides = [balls[balls["at"] < begins], balls[balls["at"] >= begins]]
        asked = f"what=three&{query}"
        for page in (player.get(f"/trends/periods?{asked}"), app.test_client().get(f"{link}/periods?{asked}")):
            shown, text = rows(page.text), words(page)
            for at, side in enumerate(sides):
                counted = side[side["counted"] == 1]
                clean = counted[(counted["landed"] == "seen") & counted["contact"].isin(["clean", ""])]
                for (name, deg), own in clean.groupby(["name", "swing_deg"])["yd"]:
                    told = shown[f"{name} {NAMES[deg]}"][at]
                    assert told.startswith(tenths(own.mean())), (name, deg)
                    assert f"{len(own)} clean of " in told
                    if own.nunique() > 1:
                        assert f"± {tenths(own.std() / len(own) ** 0.5)} spread {tenths(own.std())};" in told
                for what, figure in expected(side).items():
                    assert shown[what][at] == figure, (query, at, what)
                assert f"{len(counted)} for the card, {len(to_a_number(side))} to a number" in text
            shares = [side[side["left_in"] & (side["lie"] == "level") & (side["contact"] != "")] for side in sides]
            change = [(part["contact"] == "fat").mean() for part in shares]
            said = re.search(r"([+−]?)(\d+)%(?: ±|, chance|$)", shown["fat"][2])
            assert said
            assert int(said[2]) == math.floor(100 * abs(change[1] - change[0]) + 0.5 + 1e-9)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_every_line_of_the_coach_opens_balls_that_come_to_its_figures(
    app: Flask, directory: Directory, book: Book, seed: int
) -> None:
    app.config["NOW"] = lambda: moment_of(LATER)
    assert not book.add(a_book(seed), None, LATER).refused
    coach = app.test_client()
    link = "/w/" + directory.new_link(book.id, "", LATER, moved(LATER, days=7), {})
    block = re.search(r'<ul class="sentences">.*?</ul>', coach.get(link).text, re.DOTALL)
    assert block
    lines = re.findall(r'href="([^"]+periods/balls[^"]+)">(.*?)</a>', block[0], re.DOTALL)
    assert lines
    for address, said in lines:
        line = re.sub(r"<[^>]+>", "", said)
        listed = words(coach.get(address.replace("&amp;", "&")))
        n = re.search(r"visits?[,:] (\d+) balls|(\d+) clean ball|\((\d+) of|\((\d+) balls? to", line)
        assert n, line
        assert f"{next(one for one in n.groups() if one)} ball" in listed
        if cost := re.search(r"costs (\d+\.\d) yd a ball", line):
            assert f"costs {cost[1]} yd a ball" in listed
        if moved_to := re.search(r" to (\d+) ±", line):
            mean = re.search(r"They carried (\d+\.\d) yd", listed)
            assert mean
            assert abs(float(mean[1]) - int(moved_to[1])) <= 0.55
        if aim := re.search(r"(short|long) by (\d+)", line):
            off = re.search(r"On average ([+−])(\d+\.\d) yd against", listed)
            assert off
            assert (off[1] == "−") is (aim[1] == "short")
            assert abs(float(off[2]) - int(aim[2])) <= 0.55
