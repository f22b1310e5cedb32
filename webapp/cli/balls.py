"""The commands about one book's balls: import, eye-check, full, card, fits, conditions.

Knows no server; what is worked out is worked out by the modules each command loads.
"""

import json
import math
from pathlib import Path
from typing import Any

import click

from ..facts import BALLS
from ..moments import moment_of, text_of
from ..units import LENGTH_M
from .any_table import table_options, take_any_table
from .options import book_options, now, opened_book
from .own_table import say_taken, take_own_table


@click.command("import")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@table_options
@book_options
def import_(file: Path, data: Path, name: str | None, columns: tuple[str, ...], **said: Any) -> None:
    """Take the balls of a table into a book, which is made when it is not there.

    A table with this program's own headings needs no more, however a spreadsheet saved it. Of any other table (CSV,
    with any separator, or XLSX; at most 50,000 rows) --columns says which column is what, as below. No file may be
    larger than 20 MB.

    \b
        clockyard import balls.xlsx --columns "carry=Flight,club=Stick,date=Day" --unit m --dates dmy

    \b
    The words before the = are: carry and club, which are needed; made_at (day and time in one), or date, or date and
    time; swing (full unless told), contact, visit (one a day unless told), surface, ball, place, judged_by, direction,
    meant, mode, landed, unit, loft_deg, roll, club_speed, ball_speed, speed_unit, attack_deg, path_deg, face_deg,
    dynamic_loft_deg, launch_deg, spin_rpm, and the others of the program's own table.

    Wedges are found by name, else by the loft in their name; a new one has to show its loft. A row that cannot be read
    is named with its line and left out; the others are taken together or not at all.

    Exit status 0 when every row was taken or known, 3 when some were refused, 1 when none could be read.
    """
    if columns:
        taken, known, left = take_any_table(file, data, name, columns, **said)
        say_taken(taken, known, left)
        return
    if any(said.values()):
        raise click.UsageError("Only with --columns is there more to say of a table.")
    from ..books.import_balls import import_balls

    take_own_table(file, data, name, import_balls)


@click.command("eye-check")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@book_options
def eye_check(file: Path, data: Path, name: str | None) -> None:
    """Take distances said by eye and then measured out of a table: said, measured, unit, by, made_at.

    Exit status as of `import`.
    """
    from ..books.import_balls import import_eye_checks

    take_own_table(file, data, name, import_eye_checks)


@click.command()
@click.option("--club", required=True, help="The wedge's name; a new one may be named by its loft.")
@click.option("--carry", required=True, type=float, help="Where a full shot lands, most days; not where it stops.")
@click.option("--unit", type=click.Choice(list(LENGTH_M)), help="The book's unit unless told.")
@book_options
def full(club: str, carry: float, unit: str | None, data: Path, name: str | None) -> None:
    """State how far a wedge carries with a full swing."""
    from ..books.full_carry import state_full_carry

    with opened_book(data, name, make=True) as book:
        problem = state_full_carry(book, club, carry, unit, now())
    if problem:
        raise click.ClickException(f"Not noted: {problem}.")
    click.echo(f"Noted: {club} full carries {carry:g}{f' {unit}' if unit else ''}.")


@click.command()
@click.option("--at", help="The moment the card is read, ISO 8601; now unless told.")
@click.option("--ball", type=click.Choice(BALLS), help="The kind of ball; the book's choice unless told.")
@click.option("--json", "as_json", is_flag=True, help="Every figure, in metres, unrounded.")
@book_options
def card(at: str | None, ball: str | None, as_json: bool, data: Path, name: str | None) -> None:
    """Show the numbers on a book's card and how far each may be trusted."""
    from ..books.read_card import card_of
    from ..card.card_text import as_plain, as_text
    from ..store.reading import settings

    try:
        moment = text_of(moment_of(at)) if at else now()
    except (ValueError, OverflowError) as error:
        raise click.ClickException(
            f"--at must be an ISO 8601 time such as 2025-05-01T09:30:00Z, not {at!r}."
        ) from error
    with opened_book(data, name) as book:
        made = card_of(book, moment, ball=ball)
        unit = settings(book)["unit"]
    click.echo(json.dumps(as_plain(made), indent=2) if as_json else as_text(made, unit))


@click.command()
@click.option("--carry", required=True, type=float, help="Where the ball has to land; the flag where --roll is given.")
@click.option("--roll", type=float, default=0.0, show_default=True, help="Roll after landing; below 0 it spins back.")
@click.option("--front", type=float, help="Trouble in front reaches this far; the player's own margin unless told.")
@click.option("--back", type=float, help="Trouble at the back begins here; the player's own margin unless told.")
@click.option("--must-carry", is_flag=True, help="Numbers that clear the front nine times in ten come first.")
@click.option("--unit", type=click.Choice(list(LENGTH_M)), help="The book's unit unless told.")
@click.option("--ball", type=click.Choice(BALLS), help="The kind of ball; the book's choice unless told.")
@click.option("--json", "as_json", is_flag=True, help="Chances as fractions of 1, carries in metres.")
@book_options
def fits(data: Path, name: str | None, unit: str | None, ball: str | None, as_json: bool, **asked: Any) -> None:
    """Rank the card's numbers by their chance of landing where asked."""
    from ..books.choose_shot import choosing
    from ..fits.fitting import NoQuestion, answer, plain, question
    from ..fits.fitting_words import as_text
    from ..store.reading import settings
    from ..units import to_m

    with opened_book(data, name) as book:
        unit = unit or str(settings(book)["unit"])
        chosen = choosing(book, now(), ball=ball)
    must_carry = asked.pop("must_carry")
    in_m = {what: None if length is None else to_m(length, unit) for what, length in asked.items()}
    flag_m = in_m["carry"] or 0.0
    try:
        put = question(flag_m, chosen.margin, in_m["roll"] or 0.0, in_m["front"], in_m["back"], must_carry)
    except NoQuestion as problem:
        raise click.ClickException(f"Nothing was worked out. {problem}") from problem
    found = answer(put, chosen.candidates)
    click.echo(json.dumps(plain(found), indent=2) if as_json else as_text(found, put, flag_m, unit))


@click.command()
@click.option("--carry", required=True, type=float, help="Where the ball has to land.")
@click.option("--unit", type=click.Choice(list(LENGTH_M)), help="The book's unit unless told.")
@click.option("--wind", type=float, default=0.0, show_default=True, help="Forecast wind along the shot, at 10 m.")
@click.option("--wind-unit", type=click.Choice(["mph", "kmh", "mps"]), default="mph", show_default=True)
@click.option("--from", "wind_from", type=click.Choice(["head", "tail"]), default="head", show_default=True)
@click.option("--temperature", type=float, help="In degrees Celsius; as at home unless told.")
@click.option("--altitude", type=float, help="In metres above the sea; as at home unless told.")
@click.option("--up", type=float, default=0.0, help="How much higher the target lies than the ball; below 0 lower.")
@click.option("--json", "as_json", is_flag=True, help="In metres, unrounded.")
@book_options
def conditions(
    carry: float, unit: str | None, wind: float, wind_unit: str, wind_from: str, temperature: float | None,
    altitude: float | None, up: float, as_json: bool, data: Path, name: str | None,
) -> None:  # fmt: skip
    """Say which carry of the card meets a target in today's air and wind, or why none is given.

    Exit status 1 when that cannot be worked out; with --json `refused` says so instead.
    """
    from ..books.book_conditions import carry_to_play, home_of
    from ..conditions.day import Conditions
    from ..conditions.today import OUTSIDE
    from ..store.reading import settings
    from ..units import to_m, to_mps

    if not math.isfinite(carry):
        raise click.ClickException("Nothing was worked out. A distance must be a plain number.")
    with opened_book(data, name) as book:
        unit, home = unit or str(settings(book)["unit"]), home_of(book)
        today = Conditions(
            home.temperature_c if temperature is None else temperature,
            home.altitude_m if altitude is None else altitude,
            to_mps(wind, wind_unit) * (1.0 if wind_from == "tail" else -1.0),
            target_up_m=to_m(up, unit),
        )
        answer, words = carry_to_play(book, now(), to_m(carry, unit), today, unit)
    if answer.refused == OUTSIDE and not as_json:
        raise click.ClickException(f"Nothing was worked out. {words}")
    found = {
        "plays_m": answer.carry_m,
        "low_m": answer.low_m,
        "high_m": answer.high_m,
        "refused": bool(answer.refused),
        "why": words if answer.refused else "",
    }
    click.echo(json.dumps(found, indent=2) if as_json else words)
