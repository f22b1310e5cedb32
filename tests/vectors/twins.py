"""Python's own rule behind each function that the phone holds too; arguments and answers are plain JSON.

Knows how the phone calls a rule and how Python does, and no numbers.
"""

from collections.abc import Callable, Sequence
from dataclasses import asdict
from datetime import UTC, datetime
from types import SimpleNamespace
from typing import Any

import numpy as np

from webapp import typed, units
from webapp.card import card_words
from webapp.card.card_data import CardClub, CardSwing, cell_key
from webapp.card.names import Names, given_names
from webapp.card.shots_behind import reason_not
from webapp.card.strike import Margin
from webapp.conditions.day import Conditions, doubts
from webapp.estimate import doubt, phone, trust
from webapp.estimate.chance import Chances, Table, chances, percents, twenty
from webapp.estimate.every_table import every_table
from webapp.facts import KINDS, Fact, fold
from webapp.fits import fitting, fitting_words, leave_words
from webapp.fits.fitting import Answer, Candidate, Choice, Question
from webapp.fits.leave import Ahead, Distance, Leave, Valley, at_flag, in_reach, lay_up, leave, listed
from webapp.moments import local, moment_of, text_of
from webapp.practice import homework, homework_code, limits, plan_words, plans, visit_words
from webapp.practice.plan_words import Call
from webapp.practice.visit_words import Change
from webapp.store.derived import in_strong_wind
from webapp.trends import eye_check

Json = Any


def replayed(state: Json, visits: Json) -> Json:
    """estimate.js replay: state and balls come as plain objects."""
    found = phone.replay(phone.read(state), [[phone.Heard(**ball) for ball in balls] for balls in visits])
    return {"m": found.m.tolist(), "v": found.v.tolist(), "weights": [list(weights) for weights in found.weights]}


def chances_of(table: Json, front_m: float, back_m: float) -> Json:
    """cell.js chances."""
    return asdict(chances(table_of(table), front_m, back_m))


def percents_of(found: Json) -> Json:
    """cell.js percents."""
    return dict(zip(("short", "inside", "long"), percents(Chances(**found)), strict=True))


def twenty_of(table: Json, front_m: float, back_m: float) -> Json:
    """cell.js twenty."""
    counts, carries_m = twenty(table_of(table), front_m, back_m)
    return {**dict(zip(("short", "inside", "long"), counts, strict=True)), "carries": list(carries_m)}


def parsed(word: str) -> Json:
    """plan.js parse."""
    call = plan_words.parse(word)
    return None if call is None else asdict(call)


def next_call(plan: list[str], shots: list[Json]) -> Json:
    """plan.js nextCall: the first word from where the plan stands that can be read."""
    done = plan_words.done(shots)
    for place, word in enumerate(plan[done:], done + 1):
        if call := plan_words.parse(word):
            return {**asdict(call), "plan_ref": str(place)}
    return None


def nine_opens_at(last_struck_ms: float | None, now_ms: float) -> float:
    """nine.js nineOpensAt, whose moments are milliseconds since 1970 and whose "now" is 0."""
    last = None if last_struck_ms is None else _moment(last_struck_ms)
    opens_at = plans.nine_opens_at(last, _moment(now_ms))
    return moment_of(opens_at).timestamp() * 1000 if opens_at else 0


def balls_struck(counted: list[Json], here: list[Json], now_ms: float, utc_offset_min: int) -> Json:
    """limits.js struck: the server has one list of buckets, a phone also those that it alone knows, or knows better."""
    n: dict[str, int] = {}
    for one in (*counted, *here):
        n[one["id"]] = max(one["n"], n.get(one["id"], 0))
    buckets = [
        {
            "local_at": local(one["begun_at"], one["utc_offset_min"]), "begun_at": one["begun_at"],
            "n": n[one["id"]], "warm_up_balls": None,
        }
        for one in {one["id"]: one for one in (*here, *counted)}.values()
    ]  # fmt: skip
    found = limits.struck(buckets, None, _moment(now_ms), utc_offset_min)
    return {"today": found.today, "week": found.week}


def names_of(data: Json, call: Json) -> Json:
    """visit.js namesOf, which finds names among what the page was told of wedges and swings."""
    clubs = {one["id"]: one["name"] for one in (*data["clubs"], *data.get("left_bag", ()))}
    left = {float(swing_deg): name for swing_deg, name in data.get("left_swings", {}).items()}
    names = Names(clubs, left | {one["swing_deg"]: one["name"] for one in data["swings"]}, mirrored=False)
    place = (call["club_id"], call["swing_deg"])
    return {"club": names.club(place[0]), "swing": names.swing(place[1]), "named": names.cell(place)}


def asked(question: Json, margin: Json) -> Json:
    """fitting.js question."""
    return asdict(fitting.question(margin=Margin(**margin), **question))


def answered(question: Json, candidates: Json) -> Json:
    """fitting.js answer: a choice tells its candidate's name, its chances and its whole per cent."""
    found = fitting.answer(Question(**question), tuple(candidate_of(one) for one in candidates))
    closest = None if found.closest is None else _told(found.closest)
    return {"ranked": [_told(one) for one in found.ranked], "closest": closest, "missing_m": found.missing_m}


def best_of(question: Json, candidates: Json) -> Json:
    """fitting.js best: the first of fitting.answer, or the closest; None of an empty card."""
    found = answered(question, candidates)
    choice = found["ranked"][0] if found["ranked"] else found["closest"]
    return choice and {name: choice[name] for name in ("candidate", "short", "inside", "long")}


def left(candidates: Json, margin: Json, unit: str, ahead: Json = None) -> Json:
    """leave.js leave: a best shot tells its name alone, which tells the candidates of a card apart."""
    among = tuple(candidate_of(one) for one in candidates)
    found = leave(among, Margin(**margin), unit, Ahead(**ahead) if ahead else None)
    valleys = [{"at": _told_left((one.at,))[0], "low_m": one.low_m, "high_m": one.high_m} for one in found.valleys]
    return {"distances": _told_left(found.distances), "peaks": _told_left(found.peaks), "valleys": valleys}


def left_of(told: Json) -> Leave:
    """What to leave as the phone holds it, without what no word needs of a best shot."""
    valleys = tuple(Valley(**{**one, "at": distance_of(one["at"])}) for one in told["valleys"])
    return Leave(tuple(map(distance_of, told["distances"])), tuple(map(distance_of, told["peaks"])), valleys)


def distance_of(told: Json) -> Distance:
    """One distance as the phone holds it; whether it is a guess follows from its best shot."""
    best = SimpleNamespace(**told["best"], name=f"{told['best']['club']} {told['best']['swing']}")
    return Distance(**{**{name: value for name, value in told.items() if name != "guess"}, "best": best})


def _told_if(one: Distance | None) -> Json:
    return None if one is None else _told_left([one])[0]


def _told_left(some: Sequence[Distance]) -> Json:
    named = ("left_m", "carry_m", "chance", "in_100", "miss_m", "clears", "guess")
    best = [{name: getattr(one.best, name) for name in ("club", "swing", "trust", "n")} for one in some]
    return [
        {
            **{name: getattr(one, name) for name in named if name != "guess"},
            "best": shot,
            "guess": shot["trust"] == "guess",
        }
        for one, shot in zip(some, best, strict=True)
    ]


def shown(facts: list[Json]) -> Json:
    """shot.js fold: the id of what is shown, by root."""
    return {root: {"id": fact.id} for root, fact in fold(Fact.of(raw) for raw in facts).items()}


def why_a_ball_does_not_count(shot: Json, bucket: Json, ball: str) -> str:
    """counts.js whyNot, of a shot's and a bucket's bodies."""
    filled = {name: field.default for name, field in KINDS["shot"].items()} | shot
    visit = {name: field.default for name, field in KINDS["bucket"].items()} | bucket
    indoors = {name: visit[name] for name in ("monitor_note", "indoor_counts")}
    windy = in_strong_wind(filled, visit)
    row = {**filled, **indoors, "bucket_aside": visit["aside"], "ball": visit["ball"], "strong_wind": windy}
    return str(reason_not(row, ball))


def number_typed_of(text: str) -> Json:
    """typed.js numberTyped."""
    number = typed.number_typed(text)
    return None if number is None else float(number)


def eye_words(pairs: list[Json], unit: str) -> str:
    """eye.js eyeWords."""
    parts = eye_check.words(eye_check.finding(pairs), len(pairs))
    return "".join(part if isinstance(part, str) else str(units.whole(part.length_m, unit)) for part in parts)


def homework_of(told: Json) -> homework_code.Homework:
    """Homework as the phone holds it."""
    rows = [
        homework_code.Row(tuple(homework_code.Asked(**cell) for cell in row["cells"]), *_of_row(row))
        for row in told["rows"]
    ]
    return homework_code.Homework(told["id"], tuple(rows), told["nine_by"], told["focus"])


def rows_of(told: list[Json]) -> list[homework.Matched]:
    """Rows of homework that were matched, as the phone holds them."""
    return [homework.Matched(_cells(row["cells"]), *_of_row(row), tuple(row["asks"])) for row in told]


def bag_of(clubs: list[Json], swings: list[Json]) -> tuple[list[CardClub], list[CardSwing]]:
    """The wedges and swings of a bag as they were sent."""
    return [CardClub(**club) for club in clubs], [CardSwing(**swing) for swing in swings]


def _of_row(row: Json) -> tuple[int, str, float | None]:
    return row["balls"], row["mode"], row["carry_m"]


def _cells(told: list[Json]) -> tuple[tuple[str, float], ...]:
    return tuple((club_id, swing_deg) for club_id, swing_deg in told)


def table_of(told: Json) -> Table:
    """A table of chances as it was sent."""
    return Table(told["first"], told["step_m"], tuple(told["below"]))


def candidate_of(told: Json) -> Candidate:
    """A candidate as it was sent; words need no table."""
    table = table_of(told["table"]) if "table" in told else Table(0, 1.0, (0.0, 1.0))
    return Candidate(**{**told, "twins": tuple(told["twins"]), "table": table})


def choice_of(told: Json) -> Choice:
    """A choice as the phone holds it."""
    return Choice(candidate_of(told["candidate"]), Chances(0.0, 1.0, 0.0), **told["percents"])


def answer_of(told: Json) -> Answer:
    """An answer as the phone holds it."""
    closest = None if told["closest"] is None else choice_of(told["closest"])
    return Answer(tuple(choice_of(one) for one in told["ranked"]), closest, told["missing_m"])


def _moment(milliseconds: float) -> str:
    return text_of(datetime.fromtimestamp(milliseconds / 1000, UTC))


def _told(choice: Choice) -> Json:
    named = {name: getattr(choice.candidate, name) for name in ("club", "swing")}
    whole = {"short": choice.short, "inside": choice.inside, "long": choice.long}
    return {"candidate": named, **asdict(choice.chances), "percents": whole}


def moved_words(changes: list[Json], unit: str) -> str:
    """ending.js movedWords: the sentence's parts as the page would set them."""
    parts = visit_words.moved_words([Change(**one) for one in changes], unit)
    return "".join(part if isinstance(part, str) else f"{units.whole(part.length_m, unit)}" for part in parts)


TWINS: dict[str, Callable[..., Json]] = {
    "estimate/replay": replayed,
    "estimate/halfWidthM": phone.half_width_m,
    "cell/chances": chances_of,
    "cell/keyOf": lambda body: cell_key(**body),
    "cell/percents": percents_of,
    "cell/twenty": twenty_of,
    "cell/trust": trust.trust,
    "plan/parse": parsed,
    "plan/written": lambda call: plan_words.written(Call(**call)),
    "plan/done": plan_words.done,
    "plan/nextCall": next_call,
    "fitting/question": asked,
    "fitting/answer": answered,
    "fitting/best": best_of,
    "fitting_words/askedWords": lambda ask, flag_m, unit: fitting_words.asked_words(Question(**ask), flag_m, unit),
    "fitting_words/chanceWords": lambda choice: fitting_words.chance_words(choice_of(choice)),
    "fitting_words/restsWords": lambda one, unit: fitting_words.rests_words(candidate_of(one), unit),
    "fitting_words/nineWords": lambda one, ask, u: fitting_words.nine_words(candidate_of(one), Question(**ask), u),
    "fitting_words/moreWords": lambda one, ask, u: fitting_words.more_words(candidate_of(one), Question(**ask), u),
    "fitting_words/nothingWords": lambda f, ask, u: fitting_words.nothing_words(answer_of(f), Question(**ask), u),
    "fitting_words/mustWords": lambda f, ask, u: fitting_words.must_words(answer_of(f), Question(**ask), u),
    "leave/leave": left,
    "leave/byChance": lambda found: _told_left(left_of(found).by_chance),
    "leave/atFlag": lambda found, flag_m, unit: _told_if(at_flag(left_of(found), flag_m, unit)),
    "leave/inReach": lambda found, flag_m, unit: _told_if(in_reach(left_of(found), flag_m, unit)),
    "leave/layUp": lambda found, flag_m, unit: _told_if(lay_up(left_of(found), flag_m, unit)),
    "leave/listed": lambda found, flag_m, unit: _told_left(listed(left_of(found), flag_m, unit)),
    "leave/standingOf": lambda one: distance_of(one).standing,
    "leave/missM": lambda table, meant_m: float(every_table([table_of(table)]).miss_m(np.array(0), np.array(meant_m))),
    "leave_words/bestWords": lambda found, among, unit: leave_words.best_words(
        left_of(found), tuple(map(candidate_of, among)), unit
    ),
    "leave_words/chancesWords": lambda found: leave_words.chances_words(left_of(found)),
    "leave_words/worstM": lambda found: [list(ends) for ends in leave_words.worst_m(left_of(found))],
    "leave_words/answerWords": lambda found, among, flag_m, unit: leave_words.answer_words(
        left_of(found), tuple(map(candidate_of, among)), flag_m, unit
    ),
    "leave_words/troubleWords": lambda found, ahead, unit: leave_words.trouble_words(
        left_of(found), Ahead(**ahead), unit
    ),
    "leave_words/inWords": lambda one: leave_words.in_words(distance_of(one)),
    "leave_words/missWords": lambda one, unit: leave_words.miss_words(distance_of(one), unit),
    "words/counted": card_words.count,
    "card_words/trustOf": lambda cell: card_words.trust_of(SimpleNamespace(**cell)),
    "card_words/restsOn": lambda cell: card_words.rests_on(SimpleNamespace(**cell)),
    "card_words/howMany": lambda cell: card_words.how_many(SimpleNamespace(**cell)),
    "lengths/fromM": units.from_m,
    "lengths/toM": units.to_m,
    "lengths/whole": units.whole,
    "lengths/halfUp": units.round_half_up,
    "limits/struck": balls_struck,
    "limits/limitWords": lambda struck, limit, more=0: limits.words(limits.Struck(struck, struck, limit), more),
    "eye/eyeWords": eye_words,
    "doubt/likelierM": doubt.likelier_m,
    "condition_words/doubts": lambda today, *asked: doubts(Conditions(**today), *asked),
    "counts/whyNot": why_a_ball_does_not_count,
    "readings/temperature.toStored": units.to_degc,
    "readings/temperature.shown": units.temperature_shown,
    "readings/altitude.toStored": units.to_altitude_m,
    "readings/altitude.shown": units.altitude_shown,
    "readings/toMps": units.to_mps,
    "readings/temperature.fromStored": units.from_degc,
    "typed/numberTyped": number_typed_of,
    "typed/boundsWords": typed.bounds_words,
    "nine/nineOpensAt": nine_opens_at,
    "ending/movedWords": moved_words,
    "shot/fold": shown,
    "homework_code/read": lambda code: asdict(homework_code.read(code)),
    "homework/matched": lambda told, clubs, swings: [
        asdict(row) for row in homework.matched(homework_of(told), *bag_of(clubs, swings))
    ],
    "homework/planOf": lambda own_id, rows, nine: homework.plan_of(own_id, rows_of(rows), nine),
    "homework/dealt": lambda cells, balls, seed: homework.dealt(_cells(cells), balls, seed),
    "homework/placesStruck": lambda work, *asked: homework.places_of(homework.struck(work, *asked)),
    "homework/left": homework.left,
    "homework/ofNine": homework.of_nine,
    "homework/strikable": homework.strikable,
    "homework/goneWords": homework.gone_words,
    "homework/runsOf": lambda words: [asdict(row) for row in homework.runs_of(words)],
    "homework/headWords": homework.head_words,
    "homework/nineWords": homework.nine_words,
    "visit/namesOf": names_of,
    "homework/rowWords": lambda row, clubs, swings, unit: homework.row_words(
        rows_of([row])[0], given_names(*bag_of(clubs, swings)), unit
    ),
}
