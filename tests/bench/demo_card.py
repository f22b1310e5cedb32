"""The demo card by the first and by the second version of the estimate: `python -m tests.bench.demo_card`.

Knows no band; both hear the same balls in the same run, and every cell is printed in yards.
"""

import tempfile
from pathlib import Path

import numpy as np

from tests.bench.first import pool as first
from webapp.books.demo import load_demo
from webapp.books.read_card import estimate_of
from webapp.clock import clock_name
from webapp.store.directory import Directory
from webapp.units import YARD_M

NOW = "2026-06-30T12:00:00.000Z"


def main() -> None:
    """A line for each cell, the largest move last."""
    with tempfile.TemporaryDirectory() as folder:
        directory = Directory(Path(folder))
        with directory.open_book(load_demo(directory, NOW)) as book:
            made = estimate_of(book, NOW)
    card, pooled = made.card, made.pooled
    if pooled is None:
        raise ValueError("The demo book has no cell.")
    cells = list(card.cells)
    levels = first.pool(pooled.cells, pooled.balls, pooled.told).m
    # Cells of the other kind of ball and of replaced wedges follow those of the card.
    before_yd, now_yd = (np.exp(m[: len(cells)]) / YARD_M for m in (levels, pooled.m))
    names = {club.id: club.name for club in card.clubs}
    for (club_id, swing_deg), before, now in zip(cells, before_yd, now_yd, strict=True):
        cell = card.cells[club_id, swing_deg]
        name = f"{names[club_id]} {clock_name(swing_deg, False)}"
        print(f"{name:10} {before:6.1f} -> {now:6.1f} yd  {now - before:+.1f}  ({cell.trust}, {cell.n} balls)")
    print(f"largest move {np.max(np.abs(now_yd - before_yd)):.1f} yd")


if __name__ == "__main__":
    main()
