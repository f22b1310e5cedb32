"""One row of a table of eye checks as the fact it stands for.

Knows neither file nor book.

| column | meaning | when it is left out or empty |
|---|---|---|
| said | the distance as it was judged by eye, in `unit` | the row is refused |
| measured | the same distance measured afterwards, in `unit` | the row is refused |
| by | laser, markers, monitor or paces | laser |
| unit | yd or m | the book's unit |
| made_at | when, ISO 8601 | the row is refused |
"""

from collections import Counter

from ..facts import EYE_CHECKED_BY
from ..units import LENGTH_M, to_m
from .ball_row import Raw, Row, check, fact_of, number_of, own_id, time_of

NEEDED = ("said", "measured", "made_at")
COLUMNS = ("said", "measured", "unit", "by", "made_at")
_ALSO = {"marker": "markers", "pace": "paces"}


def eye_check_of(row: Row, usual_unit: str, seen_content: Counter[str]) -> Raw:
    """The fact of one row; ValueError says what is wrong with it. Equal rows are told apart by their order."""
    made_at = time_of(row.get("made_at", ""))
    unit = row.get("unit", "").lower() or usual_unit
    if unit not in LENGTH_M:
        raise ValueError(f"unit must be {' or '.join(LENGTH_M)}, not {unit[:20]!r}")
    by = row.get("by", "").lower() or EYE_CHECKED_BY[0]
    body: Raw = {
        "said_m": to_m(number_of("said", row.get("said", "")), unit),
        "measured_m": to_m(number_of("measured", row.get("measured", "")), unit),
        "by": _ALSO.get(by, by),
    }
    check("eye_check", body)
    content = own_id("eye check", made_at, *body.values())
    seen_content[content] += 1
    times = seen_content[content]
    return fact_of("eye_check", body, made_at, content if times == 1 else own_id(content, times))
