"""What the estimates read of a book: the balls that count, how balls were struck and launched, and up to when.

Knows the derived tables and nothing of how a number on the card is estimated.
"""

from collections import Counter
from operator import itemgetter
from typing import Any

from ..facts import BALLS
from .book import Book
from .identities import key_of, text_of
from .reading import MOST_BALLS_A_CELL, MOST_OF_A_VISIT, dicts, from_the_bay, read_once, swings


def has_balls(book: Book, ball: str) -> bool:
    """Whether any ball of this kind counts for the card."""
    query = "SELECT 1 FROM shots WHERE club_id = ? AND swing_deg = ? AND ball = ? AND counted = 1 LIMIT 1"
    return any(book.conn.execute(query, (club, deg, ball)).fetchone() for club, deg in _club_swings(book))


@read_once
def cell_balls(
    book: Book,
    until: str = "9",
    without: str = "",
    most: int = MOST_BALLS_A_CELL,
    most_of_a_visit: int = MOST_OF_A_VISIT,
) -> list[dict[str, Any]]:
    """The latest counted balls of every cell and ball kind, oldest first, the bay's offset added to their carry.

    A cell is any club, one that left the bag too, with a swing in use. A day moves all its balls together, so many of
    one visit tell little more than some, and would push the other visits out: of each visit at most `most_of_a_visit`
    are taken, which its balls tell as `at_most` where it has more of the cell (else 0). `until` leaves out what was
    struck later, `without` the balls of one visit. Only what an estimate asks of a ball is read: a card has thousands.
    """
    query = """SELECT shots.id, carry_m, bay_offset_m, landed, contact, bucket_id, visit_id, utc_offset_min,
        struck_at, shots.judged_by
        FROM shots JOIN buckets ON buckets.id = shots.bucket_id
        WHERE club_id = ? AND swing_deg = ? AND shots.ball = ? AND counted = 1 AND struck_at <= ?
        ORDER BY struck_at DESC, shots.id DESC"""
    balls, left_out = [], key_of(without) if without else None
    for club, swing_deg in _club_swings(book):
        for ball in BALLS:
            cell = {"club_id": text_of(club), "swing_deg": swing_deg, "ball": ball, "counted": True}
            of_visit: Counter[bytes] = Counter()
            own = []
            # Asked one by one, so that no more are read than are taken or passed over.
            rows = book.conn.execute(query, (club, swing_deg, ball, until))
            for key, carry_m, offset_m, landed, contact, bucket, visit, ahead_min, struck_at, judged_by in rows:
                of_visit[visit] += 1
                if of_visit[visit] > most_of_a_visit or visit == left_out:
                    continue
                own.append(
                    {
                        **cell, "id": text_of(key), "carry_m": from_the_bay(carry_m, offset_m), "landed": landed,
                        "contact": contact, "bucket_id": text_of(bucket), "visit_id": text_of(visit),
                        "utc_offset_min": ahead_min, "struck_at": struck_at, "judged_by": judged_by, "at_most": 0,
                    }
                )  # fmt: skip
                if len(own) == most:
                    break
            rows.close()
            cut = {text_of(visit) for visit, n in of_visit.items() if n > most_of_a_visit}
            balls += [{**one, "at_most": most_of_a_visit} if one["visit_id"] in cut else one for one in own]
    return sorted(balls, key=itemgetter("struck_at", "id"))


@read_once
def strikes(book: Book, most: int) -> list[dict[str, Any]]:
    """What the latest balls of any call and kind tell of the strike, newest first."""
    query = """SELECT club_id, swing_deg, mode, counted, meant_carry_m, carry_m, bay_offset_m, landed, contact,
        surface, shots.judged_by, shots.ball, lie, shots.aside, buckets.aside AS bucket_aside, course
        FROM shots LEFT JOIN buckets ON buckets.id = shots.bucket_id
        ORDER BY struck_at DESC, shots.id DESC LIMIT ?"""
    return [
        {**row, "club_id": text_of(row["club_id"]), "carry_m": from_the_bay(row["carry_m"], row["bay_offset_m"])}
        for row in dicts(book.conn.execute(query, (most,)))
    ]


def launches(book: Book) -> list[dict[str, Any]]:
    """Launch [deg], spin [rpm] and ball speed [m/s] of the latest plain balls of every cell that have one of them.

    Indoors a monitor reads the launch and works out the carry alone, so such balls tell it as others do.
    """
    rows = book.conn.execute(
        """
        SELECT club_id, swing_deg, launch_deg, spin_rpm, ball_speed_mps FROM (
            SELECT club_id, swing_deg,
                   json_extract(delivery, '$.launch_deg') AS launch_deg,
                   json_extract(delivery, '$.spin_rpm') AS spin_rpm,
                   json_extract(delivery, '$.ball_speed_mps') AS ball_speed_mps,
                   ROW_NUMBER() OVER (PARTITION BY club_id, swing_deg ORDER BY struck_at DESC, shots.id DESC) AS latest
            FROM shots JOIN buckets ON buckets.id = bucket_id WHERE delivery != '{}'
                AND lie = 'level' AND flight = '' AND NOT (shots.aside OR buckets.aside OR course)
        ) WHERE latest <= ? AND coalesce(launch_deg, spin_rpm, ball_speed_mps) IS NOT NULL
        """,
        (MOST_BALLS_A_CELL,),
    )
    return [{**dict(row), "club_id": text_of(row["club_id"])} for row in rows]


@read_once
def last_heard_of(book: Book, until: str) -> str:
    """When the last ball was struck, counted or not, or eye check made, not after `until`; "" without one."""
    query = """SELECT MAX(COALESCE((SELECT MAX(struck_at) FROM shots WHERE struck_at <= :until), ''),
        COALESCE((SELECT MAX(made_at) FROM eye_checks WHERE made_at <= :until), ''))"""
    return str(book.conn.execute(query, {"until": until}).fetchone()[0])


@read_once
def _club_swings(book: Book) -> list[tuple[bytes, float]]:
    """Every club there ever was with every swing in use."""
    in_use = [swing.swing_deg for swing in swings(book)]
    return [(row["id"], swing_deg) for row in book.conn.execute("SELECT id FROM clubs") for swing_deg in in_use]
