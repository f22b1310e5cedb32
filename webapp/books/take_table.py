"""Takes a table of balls from anywhere into a book, by what its player said of its columns; whole or not at all.

Knows books; tables/ reads the file, and files/importing.py makes facts of its rows. A ball's id is made from what its
row says of when, wedge, visit and carry, and from how often that ball was taken back: the same table changes nothing,
and after it was taken back it brings the same balls under new ids. What tells no time of day may be another ball than
the one that has its id; alike.py finds those.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from datetime import date
from functools import cache, partial
from itertools import chain, count, islice
from operator import itemgetter
from typing import Any

from ..files.ball_row import Known, Row, club_id_of, fact_of, folded, own_id
from ..files.importing import read_rows
from ..moments import local
from ..store import reading, tables
from ..store.book import Book, NotWhole
from ..tables.chosen import LEAVE_OUT, Chosen
from ..tables.headings import below_headings
from ..tables.lines import Line
from ..tables.looking import Look
from ..tables.row_of_line import Left, Wedge, by_reason, read_lines
from .alike import in_doubt, noted_here, told_that_day, with_another_swing
from .known_names import known_of, living_id
from .make_facts import correction, without_phone
from .reporting import Tell, of_reading, of_taking, reporting
from .same_wedge import named_anew

_SHOWN_BALLS = 5


@dataclass
class Made:
    """The facts that a table would bring, and what is to be said of it: `left` are the rows left out, by line.

    It `is_there` when the same rows under the same headings were taken in before, whatever was said of them.
    `n_alike` rows tell no time of day and say what balls of another table say, and may be `others`; `n_noted` are like
    balls that were noted here, of which `leave_noted` takes none in. `wedges` and `swings` [deg] are new to the book.
    """

    facts: list[dict[str, Any]] = field(default_factory=list)
    n_new: int = 0
    n_known: int = 0
    n_visits: int = 0
    is_there: bool = False
    n_alike: int = 0
    others: bool = False
    n_noted: int = 0
    leave_noted: bool = False
    wedges: list[str] = field(default_factory=list)
    swings: list[float] = field(default_factory=list)
    first: list[dict[str, Any]] = field(default_factory=list)
    left: list[Left] = field(default_factory=list)
    line_of: dict[str, int] = field(default_factory=dict)

    def plain(self, most_reasons: int) -> dict[str, Any]:
        """What is shown before anything is taken, as JSON can say it."""
        shown = {name: value for name, value in asdict(self).items() if name not in ("facts", "line_of", "left")}
        return {**shown, "n_left": len(self.left), "reasons": by_reason(self.left)[:most_reasons]}


def made_of(
    book: Book,
    lines: Iterable[Line],
    look: Look,
    chosen: Chosen,
    name: str,
    tell: Tell = lambda share: None,
    others: bool = False,
    leave_noted: bool = False,
    ahead_min: int = 0,
) -> Made:
    """What a table would bring into the book; nothing is changed. `tell` hears which share is done.

    The player's clock is `ahead_min` ahead of UTC in a book that does not know it.
    """
    table_id, known = living_id(book, "table", own_id("table", look.digest)), known_of(book)
    wedges = _wedges(book, look, chosen, known)
    made = Made(is_there=tables.is_shown(book, "table", table_id), others=others, leave_noted=leave_noted)
    seen, untimed = Counter[tuple[str, ...]](), set[int]()
    own_bucket = partial(own_id, "bucket of a table", table_id)
    bucket_of = cache(lambda visit, kind: living_id(book, "bucket", own_bucket(visit, kind)))
    ahead_of_buckets, clocks = tables.ahead_min_of_buckets(book), tables.clocks_told(book)

    def ahead_of(visit: str, kind: str, told: int | None) -> int:
        """A bucket's clock is what the book or its first row says of it; else it is the player's of that day."""
        bucket_id = bucket_of(visit, kind)
        if bucket_id not in ahead_of_buckets:
            own = _clock_of(clocks, date.fromisoformat(visit[:10]), ahead_min) if told is None else told
            ahead_of_buckets[bucket_id] = own
        return ahead_of_buckets[bucket_id]

    def rows() -> Iterator[tuple[int, Row]]:
        told = reporting(below_headings(lines, look.heading_line), of_reading(tell), look.n_rows)
        for one in read_lines(told, look, chosen, wedges, ahead_of):
            if isinstance(one, Left):
                made.left.append(one)
                continue
            seen[one.essence] += 1
            if not one.tells_time:
                untimed.add(one.line)
            ball_id = own_id("ball of a table", *one.essence, seen[one.essence])
            yield one.line, {**one.row, "bucket": bucket_of(one.visit, one.kind), "id": ball_id}

    table = read_rows(rows(), known)
    made.left = sorted([*made.left, *(Left(row.line, row.reason) for row in table.refused)])
    balls = [fact for fact in table.facts if fact["kind"] == "shot"]
    made.line_of = _told_apart(
        book, balls, table.line_of, untimed, table_id, made, None if chosen.tells_when else ahead_of_buckets
    )
    there = tables.there(book, (ball["id"] for ball in balls))
    new = [ball for ball in balls if ball["id"] not in there]
    noted = noted_here(book, new, _of_lines(made.line_of, untimed), ahead_of_buckets)
    made.n_noted = len(noted)
    if leave_noted:
        new = [ball for ball in new if ball["id"] not in noted]
    made.n_new, made.n_known = len(new), len(there)
    made.n_visits = len({ball["body"]["bucket_id"] for ball in new})
    if new:
        ids = {word: wedge.id if (wedge := wedges[word]) else LEAVE_OUT for word in chosen.answers.get("club", {})}
        found = replace(chosen, answers={**chosen.answers, "club": ids})  # whatever those wedges are called later
        made.facts = _with_its_own(book, table.facts, new, table_id, look, found, name)
    made.wedges = [fact["body"]["name"] for fact in made.facts if fact["kind"] == "club"]
    here = {swing.swing_deg for swing in reading.swings(book)}
    said = [fact["body"]["swing_deg"] for fact in made.facts if fact["kind"] == "swing"]
    made.swings = [swing_deg for swing_deg in said if swing_deg not in here]
    made.first = _shown(book, made, new, ahead_of_buckets)
    return made


def take_made(book: Book, made: Made, now: str, most_bytes: int = 0, tell: Tell = lambda share: None) -> None:
    """Put what `made_of` gave into the book in one transaction; NotWhole, by line, and TooLarge as `Book.add_whole`."""
    tell_taken, whole = of_taking(tell), max(len(made.facts), 1)
    try:
        anew = partial(named_anew, book)
        book.add_whole(made.facts, None, now, most_bytes, lambda seen: tell_taken(seen / whole), anew)
    except NotWhole as error:
        raise NotWhole([_in_line(made.line_of.get(one["id"], 0), one["message"]) for one in error.refused]) from error


def _wedges(book: Book, look: Look, chosen: Chosen, known: Known) -> dict[str, Wedge | None]:
    """The wedge of each word of the table; an answer that is a loft means the wedge named by it, there or new.

    A word that nobody answered for is a wedge's name as it stands, whose loft the rows have to tell if it is new.
    """
    there = {club.id: club for club in reading.clubs(book, retired=True)}
    found: dict[str, Wedge | None] = {}
    for word in look.columns[chosen.columns["club"]].words:
        found[folded(word)] = Wedge(club_id_of(word, known), " ".join(word.split()))
    for word, answer in chosen.answers.get("club", {}).items():
        if answer == LEAVE_OUT:
            found[word] = None
        elif answer in there:
            found[word] = Wedge(answer, there[answer].name)
        else:
            lofts = {name: there[club_id].loft_deg for name, club_id in known.clubs.items()}
            name = _name_of_loft(answer, lofts)
            named = club_id_of(name, known)
            found[word] = Wedge(named, name, "" if named in there else answer)
    return found


def _name_of_loft(loft: str, lofts: Mapping[str, float]) -> str:
    """What a wedge of a loft is called: by the loft, with a number behind it where one of another loft is called so."""
    names = chain([loft], (f"{loft} ({place})" for place in count(2)))
    return next(name for name in names if folded(name) not in lofts or f"{lofts[folded(name)]:g}" == loft)


def _told_apart(
    book: Book,
    balls: list[dict[str, Any]],
    line_of: Mapping[str, int],
    untimed: Collection[int],
    table_id: str,
    made: Made,
    dayless_min: Mapping[str, int] | None,
) -> dict[str, int]:
    """Give balls that are others than the book's a new id; the line of each by its id. Says in `made` which may be.

    `dayless_min` are the clocks of the buckets, as of `noted_here`, of a table that tells no day.
    """
    lines = _renewed(book, balls, line_of)
    same = {} if dayless_min is None else told_that_day(book, balls, dayless_min)
    own = {there: one for one, there in same.items()}  # the id that a ball had, which it gets back if it is another one
    lines = _renamed(book, balls, lines, same)
    others = with_another_swing(book, balls, _of_lines(lines, untimed), table_id)
    lines = _renamed(book, balls, lines, {**others, **{one: own[one] for one in others.keys() & own.keys()}})
    doubtful = in_doubt(book, balls, _of_lines(lines, untimed), table_id)
    doubtful |= {one: own[one] for one in doubtful.keys() & own.keys()}
    taken = tables.came_with(book, doubtful.values())
    made.n_alike = len(doubtful) - len(taken)
    apart = {one: other for one, other in doubtful.items() if made.others or other in taken}
    return _renamed(book, balls, lines, apart)


def _clock_of(told: Sequence[tuple[date, int | None, bool]], day: date, else_min: int) -> int:
    """How far the player's clock was ahead of UTC on a day [min]; `told` as of `tables.clocks_told`.

    As a table of that day has it, so that a longer one goes on with it; else as the bucket that tells it nearest to
    that day, the later of two; `else_min` without one.
    """
    by_tables = [ahead_min for own, ahead_min, by_table in told if by_table and own == day]
    if by_tables:
        return by_tables[-1] or 0
    telling = [(abs(own - day), ahead_min) for own, ahead_min, _ in reversed(told) if ahead_min is not None]
    return min(telling, key=itemgetter(0), default=(None, else_min))[1]


def _of_lines(line_of: Mapping[str, int], lines: Collection[int]) -> set[str]:
    return {ball_id for ball_id, line in line_of.items() if line in lines}


def _renamed(
    book: Book, balls: list[dict[str, Any]], line_of: Mapping[str, int], ids: Mapping[str, str]
) -> dict[str, int]:
    """Give balls the ids that stand for those they have; the line of each by its id."""
    lines = dict(line_of)
    for ball in balls:
        if new := ids.get(ball["id"]):
            lines[new] = lines.pop(ball["id"])
            ball["id"] = ball["root"] = new
    return _renewed(book, balls, lines)


def _renewed(book: Book, balls: list[dict[str, Any]], line_of: Mapping[str, int]) -> dict[str, int]:
    """Give balls that were taken back a new id, as often as they were; the line of each ball by its id."""
    by_id = {ball["id"]: ball for ball in balls}
    lines = dict(line_of)
    waiting = set(by_id)
    while waiting:
        gone = tables.taken_back(book, waiting)
        waiting = set()
        for ball_id in gone:
            ball, again = by_id.pop(ball_id), own_id("again", ball_id)
            ball["id"] = ball["root"] = again
            by_id[again] = ball
            lines[again] = lines[ball_id]
            waiting.add(again)
    return lines


def _with_its_own(
    book: Book,
    facts: list[dict[str, Any]],
    new: list[dict[str, Any]],
    table_id: str,
    look: Look,
    chosen: Chosen,
    name: str,
) -> list[dict[str, Any]]:
    """The new balls with the wedges, swings and buckets that they need, and the table itself."""
    needed = {ball["body"]["bucket_id"] for ball in new} | {ball["body"]["club_id"] for ball in new}
    beside, made = [], []
    for fact in facts:
        if fact["kind"] == "shot" or (fact["kind"] != "swing" and fact["id"] not in needed):
            continue
        if fact["kind"] == "bucket":
            fact["body"]["table_id"] = table_id
        else:
            made.append(fact["id"])
        beside.append(fact)
    return [_table(book, table_id, min(ball["made_at"] for ball in new), look, chosen, name, made), *beside, *new]


def _table(
    book: Book, table_id: str, made_at: str, look: Look, chosen: Chosen, name: str, made: list[str]
) -> dict[str, Any]:
    """The fact of a table; of one that is there, which now brings more, a correction."""
    plain = "".join(sign for sign in name if sign.isprintable() and sign not in "<>")
    body = {"name": plain[:40], "headings": look.headings, "chosen": chosen.plain(), "made": made}
    there = book.history(table_id)
    if not there:
        return fact_of("table", body, made_at, table_id)
    return correction(book, "table", table_id, {**body, "made": [*there[-1]["body"]["made"], *made]}, made_at)


def _shown(book: Book, made: Made, new: list[dict[str, Any]], ahead_min: Mapping[str, int]) -> list[dict[str, Any]]:
    """The first balls that come in, each at the player's clock."""
    names = {club.id: club.name for club in reading.clubs(book, retired=True)}
    names |= {fact["id"]: fact["body"]["name"] for fact in made.facts if fact["kind"] == "club"}
    return [
        {
            "line": made.line_of[ball["id"]],
            "made_at": local(ball["made_at"], ahead_min[ball["body"]["bucket_id"]]),
            "club": names[ball["body"]["club_id"]],
            "swing_deg": ball["body"]["swing_deg"],
            "carry_m": ball["body"].get("carry_m"),
            "contact": ball["body"].get("contact", ""),
        }
        for ball in islice(new, _SHOWN_BALLS)
    ]


def _in_line(line: int, message: str) -> dict[str, str]:
    words = without_phone(message)
    return {"id": "", "message": f"Line {line}: {words}." if line else f"{words}."}
