"""What plans are worth and plots cost: `python -m tests.bench.practice [players] [seed]` prints it.

Knows invented players (generator.py); never part of a test's verdict.
"""

import random
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from flask import Flask

from tests.bench.generator import Player, player
from tests.bench.players import moving, which_next
from tests.demo_card import demo_card
from webapp import create_app, doors
from webapp.books.demo import demo_facts
from webapp.books.read_card import made_of
from webapp.draw import charts
from webapp.draw.svg import Svg
from webapp.moments import moment_of, moved
from webapp.pages import trends
from webapp.practice import plans
from webapp.store.directory import Directory
from webapp.trends import trend_rows
from webapp.trends.series import number_series
from webapp.units import YARD_M

NOW = "2025-05-01T09:30:00.000Z"
GREEDY_AT_MOST = 0.92
FALSE_ALARMS_AT_MOST, FOUND_AT_LEAST = 0.10, 0.88


def deal(rounds: int, seed: int) -> dict[str, float]:
    """Thirty mixed calls of six cells: the fewest and the most that any cell came, over many deals."""
    cells = [(str(at), 90.0) for at in range(6)]
    counts = [
        plans.dealt(cells, 30, random.Random(seed + at)).count(cell) for at in range(rounds) for cell in cells
    ]  # fmt: skip
    return {"fewest": float(min(counts)), "most": float(max(counts))}


def drawing(seed: int) -> dict[str, float]:
    """One plot, drawn for the first time, drawn again, and a plan made: milliseconds of this machine."""
    someone, shots = player(np.random.default_rng(seed)), []
    for visit in range(8):
        shots += _visit(someone, visit)
    series = number_series(("56", 90.0), shots, 0.06)
    said = trend_rows.number_said(series, "56 9:00", "yd")

    def draw() -> object:
        return charts.number_over_visits(trend_rows.number(series, "yd"), [], "yd", said)

    card = demo_card()
    return {
        "first ms": _ms(draw),
        "again ms": min(_ms(draw) for _ in range(5)),
        "series ms": min(_ms(lambda: number_series(("56", 90.0), shots, 0.06)) for _ in range(5)),
        "plan ms": min(
            _ms(lambda: plans.plan(card, [("56", 90.0)], 60, "yd", random.Random(1), True)) for _ in range(5)
        ),
    }


def reading_trends() -> dict[str, float]:
    """The demo book's page of five charts, first and kept, against a bare hello, and one kept chart alone.

    Measured before anything else is drawn: the first page loads what draws.
    """
    hello = Flask("hello")
    hello.add_url_rule("/", "hello", lambda: "hello")
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder)
        app = create_app({"DATA": data, "SECRET": "a secret for benches only, 0123456789abcdef"})
        with Directory(data) as directory:
            book_id = directory.new_book(NOW)
            token = directory.new_device(book_id, "phone", NOW)
            with directory.open_book(book_id) as book:
                book.add(demo_facts(NOW), None, NOW)
        app.config["NOW"] = lambda: moment_of(NOW)
        client, hello_client = app.test_client(), hello.test_client()
        client.set_cookie("book", token)
        client.get("/card")
        first = _ms(lambda: client.get("/trends"))
        kept = statistics.median(_ms(lambda: client.get("/trends")) for _ in range(20))
        card = statistics.median(_ms(lambda: client.get("/card")) for _ in range(20))
        bare = statistics.median(_ms(lambda: hello_client.get("/")) for _ in range(200))
        with app.test_request_context("/trends", headers={"Cookie": f"book={token}"}):
            _kept_plot(lambda: Svg("<svg/>"))
            chart = statistics.median(_ms(lambda: _kept_plot(_never_drawn)) for _ in range(200))
    return {"first page ms": first, "kept page ms": kept, "kept page / card page": kept / card,
            "kept page / hello": kept / bare, "one kept chart ms (<= 10)": chart}  # fmt: skip


def _kept_plot(draw: Callable[[], Svg]) -> Svg:
    """A drawing of the open book that is looked up as a page does."""
    return trends.kept_plot(made_of(doors.book(), NOW), "yd", ("bench",), draw)


def main(players: int, seed: int) -> None:
    """Print every figure."""
    _say("trends of the demo book", reading_trends())
    print(f"{players} players, seed {seed}")
    _say(f"which cell next, 60 balls (ratio <= {GREEDY_AT_MOST})", which_next(players, seed))
    _say(f"moved numbers (false <= {FALSE_ALARMS_AT_MOST}, found >= {FOUND_AT_LEAST})", moving(players, seed))
    _say("thirty mixed calls of six cells (3 to 8)", deal(1000, seed))
    _say("one plot, its series and a plan, ms", drawing(seed))


def _visit(someone: Player, visit: int) -> list[dict[str, object]]:
    struck_at = moved(NOW, days=visit)
    return [
        {
            "id": str(at), "bucket_id": str(visit), "visit_id": str(visit), "struck_at": struck_at,
            "local_at": struck_at[:19], "counted": True, "landed": "seen", "carry_m": ball.carry_m or YARD_M,
            "contact": ball.contact,
        }
        for at, ball in enumerate(someone.visit([5] * 30, visit, 0.0))
    ]  # fmt: skip


def _never_drawn() -> Svg:
    raise AssertionError("the chart was not kept")


def _ms(work: Callable[[], object]) -> float:
    begun = time.perf_counter()
    work()
    return (time.perf_counter() - begun) * 1000


def _say(what: str, found: dict[str, float]) -> None:
    print(f"{what}: " + ", ".join(f"{name} {value:.3g}" for name, value in found.items()))


if __name__ == "__main__":
    main(*(int(word) for word in (*sys.argv[1:3], "200", "7")[:2]))
