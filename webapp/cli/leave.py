"""The command about what to leave: which distances a book's card answers best.

Knows no server; what is worked out is worked out by fits/leave.py.
"""

import json
from pathlib import Path

import click

from ..facts import BALLS
from ..units import LENGTH_M
from .options import book_options, now, opened_book


@click.command()
@click.option("--left", type=float, help="How far is left to the flag; the card by itself is asked unless told.")
@click.option("--roll", type=float, default=0.0, show_default=True, help="Roll after landing; below 0 it spins back.")
@click.option(
    "--front", type=float, help="Trouble in front of the flag reaches this far, from where the ball lies now."
)
@click.option("--back", type=float, help="Trouble behind the flag begins here, from where the ball lies now.")
@click.option("--must-carry", is_flag=True, help="Numbers that clear the front nine times in ten come first.")
@click.option("--unit", type=click.Choice(list(LENGTH_M)), help="The book's unit unless told.")
@click.option("--ball", type=click.Choice(BALLS), help="The kind of ball; the book's choice unless told.")
@click.option("--json", "as_json", is_flag=True, help="Chances as fractions of 1, lengths in metres.")
@book_options
def leave(
    left: float | None, roll: float, front: float | None, back: float | None, must_carry: bool, unit: str | None,
    ball: str | None, as_json: bool, data: Path, name: str | None,
) -> None:  # fmt: skip
    """Say which distances the card answers best, for every whole unit within reach."""
    from ..books.choose_shot import choosing
    from ..fits import leave as leaving
    from ..fits.fitting import NoQuestion
    from ..fits.leave_words import FLAG_MISSING, as_text
    from ..store.reading import settings
    from ..units import to_m

    if left is None and (roll or must_carry or front is not None or back is not None):
        raise click.ClickException(f"Nothing was worked out. {FLAG_MISSING}")
    with opened_book(data, name) as book:
        unit = unit or str(settings(book)["unit"])
        chosen = choosing(book, now(), ball=ball)
    front_m, back_m = (None if length is None else to_m(length, unit) for length in (front, back))
    ahead = None
    if left is not None:
        ahead = leaving.Ahead(to_m(left, unit), to_m(roll, unit), front_m, back_m, must_carry)
    try:
        found = leaving.leave(chosen.candidates, chosen.margin, unit, ahead)
    except NoQuestion as problem:
        raise click.ClickException(f"Nothing was worked out. {problem}") from problem
    click.echo(
        json.dumps(leaving.plain(found, ahead is not None), indent=2)
        if as_json
        else as_text(found, chosen.candidates, ahead, unit)
    )
