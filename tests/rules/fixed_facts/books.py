"""Two books of fixed facts: the demo book as of one moment, and an odd one that uses nearly every kind of entry.

Knows facts only; what the program answers to them is in answers.py.
"""

import json
from typing import Any

from tests import factories as make
from webapp.books.demo import demo_facts
from webapp.moments import moved

NOW = make.NOW
Raw = dict[str, Any]


def demo() -> list[Raw]:
    """The demo book's facts with ids that are the same in every run."""
    return _with_fixed_ids(demo_facts(NOW))


def odd() -> list[Raw]:
    """A left-handed junior in metres: replaced and retired wedges, two kinds of ball, corrections, visits set aside."""
    home, spring, lately, today = (moved(NOW, days=-days) for days in (200, 50, 9, 0.1))
    clubs = make.the_demo_set(home)
    wedge_46, wedge_51, wedge_56, wedge_60 = clubs[:4]
    old = make.a_club("50", made_at=home, retired=True, sole_note="=1+1")
    new = make.a_club("bent", 51.5, spring, follows=old["id"])
    settings = {"hand": "left", "unit": "m", "junior": True, "judged_by": "eye", "ball": "own", "margin_m": 4.0}
    settings |= {"hidden_cells": [f"{wedge_60['id']}:45"], "moved_cells": [f"{wedge_56['id']}:90 {lately}"]}
    facts = [*clubs, old, new, *(make.a_setting(name, value, home) for name, value in settings.items())]
    facts += [make.a_swing(swing_deg, name, home) for swing_deg, name in ((60, "hip"), (90, ""), (150, ""))]
    facts += [make.a_swing(180, "", home)]
    visits = [
        make.a_bucket(home, ball="own", surface="grass", place="Pellow Fen", wind="into", temperature_c=4.5),
        make.a_bucket(spring, ball="own", judged_by="eye", bay_offset_m=-3.0, monitor_note="indoor"),
        make.a_bucket(lately, ball="range", aside=True, aside_reason="@wrong balls"),
        make.a_bucket(lately, ball="own", surface="grass", ended_at=moved(lately, hours=1)),
        make.a_bucket(today, ball="own", place="Pellow Fen, bay 4"),
    ]
    facts += visits
    for at, visit in enumerate(visits):
        begun = visit["made_at"]
        facts += make.f1_balls(visit, wedge_56, begun, judged_by="eye")
        for number, club in enumerate((wedge_46, wedge_51, wedge_60, old, new)):
            struck = moved(begun, seconds=400 + 30 * number)
            more: Raw = {"swing_deg": (60.0, 90.0, 150.0, 180.0)[(at + number) % 4], "mode": "distance"}
            facts.append(make.a_shot(visit, club, 40 + 11 * number + at, struck, **more))
            facts.append(make.a_shot(visit, club, None, moved(struck, seconds=5), **more, contact="heavy", lie="wet"))
    last = [fact for fact in facts if fact["kind"] == "shot"]
    delivery = {"club_speed_mps": 31.5, "attack_deg": -4.0, "launch_deg": 29.0, "spin_rpm": 8800.0}
    facts.append(make.corrected(last[-2], delivery=delivery, direction="left", swing_check="longer"))
    facts.append(make.corrected(last[-4], aside=True))
    facts.append(make.voided(last[-6]))
    over = make.a_shot(visits[3], wedge_56, None, moved(lately, minutes=30), landed="over", contact="bladed")
    course = make.a_shot(visits[3], wedge_51, 52.5, moved(lately, minutes=40), course=True, roll_m=2.0, mode="distance")
    mark = make.raw("mark", {"what": "lesson", "words": "shoulder first", "on": spring}, spring)
    note = make.raw("note", {"words": "odd, but sound", "about": ""}, lately)
    return _with_fixed_ids([*facts, over, course, mark, note])


def _with_fixed_ids(facts: list[Raw]) -> list[Raw]:
    text = json.dumps(facts)
    for number, own in enumerate(fact["id"] for fact in facts):
        text = text.replace(own, make.numbered(number + 1))
    told: list[Raw] = json.loads(text)
    return told


BOOKS = {"demo": demo, "odd": odd}
