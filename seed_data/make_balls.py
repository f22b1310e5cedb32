"""Makes balls.csv, the invented balls of the demo book: `python seed_data/make_balls.py` writes the same file again.

Knows nothing of the estimate; that the card comes out as the demo card is for a test to say.
"""

import csv
import sys
from pathlib import Path

import numpy as np

SEED = 4615
SPREAD = 0.05  # of a clean ball, as a share of the carry
DAY_SHIFT = 0.012  # of all balls of one cell on one visit
SECONDS_A_BALL = 38

# Carry [yd] the clean balls of a cell have in the middle, and the balls of it on visits 1 to 8.
CELLS = {
    ("46", "9:00"): (80, (0, 4, 4, 0, 4, 0, 4, 4)),
    ("46", "10:30"): (96, (0, 0, 0, 0, 0, 3, 0, 4)),
    ("46", "full"): (112, (5, 0, 4, 0, 4, 0, 4, 0)),
    ("51", "7:30"): (49, (0, 0, 4, 4, 0, 4, 0, 4)),
    ("51", "9:00"): (71, (4, 0, 0, 4, 0, 4, 0, 4)),
    ("51", "10:30"): (85, (5, 4, 4, 0, 0, 0, 0, 0)),
    ("51", "full"): (99, (0, 5, 0, 4, 0, 0, 4, 4)),
    ("56", "7:30"): (42, (0, 0, 5, 0, 5, 5, 0, 4)),
    ("56", "9:00"): (61, (5, 5, 0, 5, 5, 0, 5, 5)),
    ("56", "10:30"): (73, (0, 4, 0, 4, 4, 0, 4, 0)),
    ("56", "full"): (85, (0, 0, 4, 4, 4, 0, 4, 0)),
    ("60", "7:30"): (35, (0, 0, 0, 4, 0, 4, 4, 4)),
    ("60", "9:00"): (52, (0, 4, 0, 0, 4, 4, 0, 4)),
    ("60", "full"): (72, (0, 0, 0, 0, 0, 0, 4, 4)),
}
# Two full swings take more balls, at the end of their visits, until they are known well enough to be settled.
MORE_BALLS = {("46", "full"): (0, 5, 0, 5, 0, 5, 0, 5), ("51", "full"): (0, 0, 5, 0, 0, 0, 0, 0)}
# The card leans a little on neighbouring cells; what these carry more [yd] makes it show the number above.
MORE = {("46", "10:30"): 0.7, ("46", "full"): 0.6, ("51", "full"): 1.0, ("60", "9:00"): 0.5}
# The contact of a ball: its share, and the mean and standard deviation of ln(carry / clean carry).
CONTACTS = {
    "clean": (0.78, 0.0, SPREAD),
    "heavy": (0.08, -0.11, 0.04),
    "thin": (0.07, -0.03, 0.06),
    "fat": (0.05, -0.30, 0.10),
    "bladed": (0.02, 0.18, 0.08),
}
# Balls hit at a distance: visit, club, swing, meant carry and each carry with its contact.
AT_A_DISTANCE = (
    (
        7,
        "56",
        "9:00",
        54,
        "52 clean, 55 clean, 49 clean, 54 clean, 57 clean, 53 clean, 41 fat, 55 clean, 60 thin, 54 clean",
    ),
    (
        6,
        "51",
        "9:00",
        70,
        "68 clean, 72 clean, 66 clean, 71 clean, 69 clean, 63 heavy, 70 clean, 67 clean, 69 clean, 72 clean",
    ),
)


def main() -> None:
    """Write balls.csv beside this file, or to the path given."""
    path = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).with_name("balls.csv")
    random = np.random.default_rng(SEED)
    carries = {
        cell: iter(_balls(random, middle + MORE.get(cell, 0), counts)) for cell, (middle, counts) in CELLS.items()
    }
    random = np.random.default_rng(SEED + 1)
    more = {cell: iter(_balls(random, CELLS[cell][0] + MORE.get(cell, 0), MORE_BALLS[cell])) for cell in MORE_BALLS}
    with path.open("w", newline="", encoding="utf-8") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(["visit", "second", "club", "swing", "mode", "meant", "carry", "contact", "run_index"])
        for visit in range(1, 9):
            second = 240
            for (club, swing), (middle, counts) in CELLS.items():
                for place in range(counts[visit - 1]):
                    carry, contact = next(carries[club, swing])
                    table.writerow((visit, second, club, swing, "swing", middle, carry, contact, place + 1))
                    second += SECONDS_A_BALL
            for (club, swing), counts in MORE_BALLS.items():
                for place in range(counts[visit - 1]):
                    carry, contact = next(more[club, swing])
                    middle = CELLS[club, swing][0]
                    table.writerow((visit, second, club, swing, "swing", middle, carry, contact, place + 1))
                    second += SECONDS_A_BALL
            for at, club, swing, meant, balls in AT_A_DISTANCE:
                for place, ball in enumerate(balls.split(", ") if at == visit else ()):
                    table.writerow((visit, second, club, swing, "distance", meant, *ball.split(), place + 1))
                    second += SECONDS_A_BALL


def _balls(random: np.random.Generator, middle_yd: float, counts: tuple[int, ...]) -> list[tuple[int, str]]:
    """The balls of one cell in the order of the visits; their clean ones lie round the middle as a whole."""
    names = list(CONTACTS)
    shares = [share for share, _, _ in CONTACTS.values()]
    struck = [names[place] for place in random.choice(len(names), sum(counts), p=shares)]
    shifts = np.concatenate([np.full(n, random.normal(0, DAY_SHIFT)) for n in counts])
    off = shifts + np.array([random.normal(*CONTACTS[contact][1:]) for contact in struck])
    clean = np.array([contact == "clean" for contact in struck])
    off -= off[clean].mean()
    return [(round(middle_yd * float(np.exp(ball))), contact) for ball, contact in zip(off, struck, strict=True)]


if __name__ == "__main__":
    main()
