"""What a coach is told first of a player: the periods' lines and how far homework has got.

Knows an opened link and what its address asks; which page shows the lines it does not know.
"""

from .coach_door import Opened
from .trends import since
from .trends.compare import Comparison
from .views import periods_view


def since_last(opened: Opened) -> tuple[list[since.Line], periods_view.Asked, Comparison | None]:
    """The first lines of the card: what happened since the last mark, else on the last three visits."""
    found = opened.asked()
    if found.pair is None or not opened.book.profile.has_shots:
        return [], found, None
    margin_m = opened.said["margin_m"]
    compared = periods_view.compared(found, opened.card, margin_m)
    told = since.lines(compared, found.pair, found.shots, opened.names.cell, opened.book.day, opened.unit, margin_m)
    return told, found, compared


def of_homework(opened: Opened) -> list[tuple[str, str]]:
    """How far the latest homework has got, and where its balls are."""
    return [
        (f"Homework: {one.progress.words(opened.unit)}.", opened.homework_balls_at(one.key))
        for one in opened.book.homework()[:1]
    ]
