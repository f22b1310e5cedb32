"""The command `clockyard`: what it can be asked to do, its options, its answers and its exit statuses.

Knows no table and no page; every command hands over to the module that does the work, loaded only when asked for.
"""

import json
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .moments import moment_of, text_of

if TYPE_CHECKING:
    from .store.book import Book
    from .store.directory import Directory

FIRST_ALIAS = "mine"  # what a book made by a command is called when no name is given
SOME_REFUSED = 3

data_option = click.option(
    "--data",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path(".data"),
    show_default=True,
    envvar="CLOCKYARD_DATA",
    help="The folder that holds the books.",
)
book_option = click.option("--book", "name", help="The book's name or id; may be left out when there is only one.")


def book_command(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options that say which book of which folder is meant."""
    return data_option(book_option(command))


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="clockyard")
def main() -> None:
    """Know how far each wedge carries at each length of swing, and how far to trust the number."""


@main.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="The address to answer on.")
@click.option("--port", default=8000, show_default=True, type=click.IntRange(1, 65535))
@data_option
@click.option("--demo", is_flag=True, help="Load the demo book and offer it on the start page.")
@click.option("--plain-http", is_flag=True, help="Answer other machines without HTTPS.")
def serve(host: str, port: int, data: Path, demo: bool, plain_http: bool) -> None:
    """Serve the pages until stopped; requests in flight are finished first."""
    from .serving import serve_until_stopped

    serve_until_stopped(host, port, data, demo, plain_http)


@main.command()
@data_option
def demo(data: Path) -> None:
    """Load the demo book, named "demo", unless it is there."""
    from .books.demo import load_demo

    with _directory(data) as directory:
        click.echo(f"The demo book is there: {load_demo(directory, _now())}")


@main.command("import")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@book_command
def import_(file: Path, data: Path, name: str | None) -> None:
    """Take the balls of a CSV file into a book, which is made when it is not there.

    Exit status 0 when every row was taken or known, 3 when some were refused, 1 when none could be read.
    """
    from .books.putting_in import put_in
    from .files.importing import Unreadable

    try:
        # Read whole before the book is made, so that a wrong file leaves no empty book behind.
        text = file.read_bytes().decode("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise click.ClickException(f"Nothing was taken: {file.name} cannot be read as UTF-8 text ({error}).") from error
    with _open(data, name, make=True) as book:
        try:
            answer = put_in(book, text, _now())
        except Unreadable as error:
            raise click.ClickException(f"Nothing was taken: {error}.") from error
    if answer.ignored:
        click.echo(f"Columns not known here and ignored: {', '.join(answer.ignored)}", err=True)
    for row in answer.refused:
        click.echo(f"line {row.line} left out: {row.reason}", err=True)
    click.echo(f"{answer.taken} taken, {answer.known} known already, {len(answer.refused)} left out.")
    if answer.refused:
        sys.exit(SOME_REFUSED if answer.taken or answer.known else 1)


@main.command()
@click.option("--club", required=True, help="The wedge's name; a new one may be named by its loft.")
@click.option("--carry", required=True, type=float, help="Where a full shot lands, most days; not where it stops.")
@click.option("--unit", type=click.Choice(["yd", "m"]), help="The book's unit unless told.")
@book_command
def full(club: str, carry: float, unit: str | None, data: Path, name: str | None) -> None:
    """State how far a wedge carries with a full swing."""
    from .books.putting_in import state_full_carry

    with _open(data, name, make=True) as book:
        problem = state_full_carry(book, club, carry, unit, _now())
    if problem:
        raise click.ClickException(f"Not noted: {problem}.")
    click.echo(f"Noted: {club} full carries {carry:g}{f' {unit}' if unit else ''}.")


@main.command()
@click.option("--at", help="The moment the card is read, ISO 8601; now unless told.")
@click.option("--ball", type=click.Choice(["range", "own"]), help="The kind of ball; the book's choice unless told.")
@click.option("--json", "as_json", is_flag=True, help="Every figure, in metres, unrounded.")
@book_command
def card(at: str | None, ball: str | None, as_json: bool, data: Path, name: str | None) -> None:
    """Show the numbers on a book's card and how far each may be trusted."""
    from .books.book_card import card_of
    from .card.card_text import as_plain, as_text
    from .store.reading import settings

    try:
        now = text_of(moment_of(at)) if at else _now()
    except (ValueError, OverflowError) as error:
        raise click.ClickException(
            f"--at must be an ISO 8601 time such as 2025-05-01T09:30:00Z, not {at!r}."
        ) from error
    with _open(data, name) as book:
        made = card_of(book, now, ball=ball)
        unit = settings(book)["unit"]
    click.echo(json.dumps(as_plain(made), indent=2) if as_json else as_text(made, unit))


@main.command()
@click.option("--carry", required=True, type=float, help="Where the ball has to land; the flag where --roll is given.")
@click.option("--roll", type=float, default=0.0, show_default=True, help="Roll after landing; below 0 it spins back.")
@click.option("--front", type=float, help="Trouble in front reaches this far; the player's own margin unless told.")
@click.option("--back", type=float, help="Trouble at the back begins here; the player's own margin unless told.")
@click.option("--must-carry", is_flag=True, help="Numbers that clear the front nine times in ten come first.")
@click.option("--unit", type=click.Choice(["yd", "m"]), help="The book's unit unless told.")
@click.option("--ball", type=click.Choice(["range", "own"]), help="The kind of ball; the book's choice unless told.")
@click.option("--json", "as_json", is_flag=True, help="Chances as fractions of 1, carries in metres.")
@book_command
def fits(data: Path, name: str | None, unit: str | None, ball: str | None, as_json: bool, **asked: Any) -> None:
    """Rank the card's numbers by their chance of landing where asked."""
    from .books.book_fits import choosing
    from .fits.fitting import NoQuestion, answer, plain, question
    from .fits.fitting_words import as_text
    from .store.reading import settings
    from .units import to_m

    with _open(data, name) as book:
        unit = unit or str(settings(book)["unit"])
        chosen = choosing(book, _now(), ball=ball)
    must_carry = asked.pop("must_carry")
    in_m = {what: None if length is None else to_m(length, unit) for what, length in asked.items()}
    flag_m = in_m["carry"] or 0.0
    try:
        put = question(flag_m, chosen.margin, in_m["roll"] or 0.0, in_m["front"], in_m["back"], must_carry)
    except NoQuestion as problem:
        raise click.ClickException(f"Nothing was worked out. {problem}") from problem
    found = answer(put, chosen.candidates)
    click.echo(json.dumps(plain(found), indent=2) if as_json else as_text(found, put, flag_m, unit))


@main.command()
@click.option("--carry", required=True, type=float, help="Where the ball has to land.")
@click.option("--unit", type=click.Choice(["yd", "m"]), help="The book's unit unless told.")
@click.option("--wind", type=float, default=0.0, show_default=True, help="Forecast wind along the shot, at 10 m.")
@click.option("--wind-unit", type=click.Choice(["mph", "kmh", "mps"]), default="mph", show_default=True)
@click.option("--from", "wind_from", type=click.Choice(["head", "tail"]), default="head", show_default=True)
@click.option("--temperature", type=float, help="In degrees Celsius; as at home unless told.")
@click.option("--altitude", type=float, help="In metres above the sea; as at home unless told.")
@click.option("--up", type=float, default=0.0, help="How much higher the target lies than the ball; below 0 lower.")
@click.option("--json", "as_json", is_flag=True, help="In metres, unrounded.")
@book_command
def conditions(
    carry: float, unit: str | None, wind: float, wind_unit: str, wind_from: str, temperature: float | None,
    altitude: float | None, up: float, as_json: bool, data: Path, name: str | None,
) -> None:  # fmt: skip
    """Say which carry of the card meets a target in today's air and wind, or why none is given."""
    from .books.book_conditions import carry_to_play, home_of
    from .conditions.day import Conditions
    from .store.reading import settings
    from .units import to_m, to_mps

    with _open(data, name) as book:
        unit, home = unit or str(settings(book)["unit"]), home_of(book)
        today = Conditions(
            home.temperature_c if temperature is None else temperature,
            home.altitude_m if altitude is None else altitude,
            to_mps(wind, wind_unit) * (1.0 if wind_from == "tail" else -1.0),
            target_up_m=to_m(up, unit),
        )
        answer, words = carry_to_play(book, _now(), to_m(carry, unit), today, unit)
    found = {
        "plays_m": answer.carry_m,
        "low_m": answer.low_m,
        "high_m": answer.high_m,
        "refused": bool(answer.refused),
        "why": words if answer.refused else "",
    }
    click.echo(json.dumps(found, indent=2) if as_json else words)


@main.command()
@data_option
def books(data: Path) -> None:
    """List the books of a data folder: name, id, balls, when it was made."""
    from .store.connect import DamagedFile
    from .store.reading import count_of_balls

    with _directory(data) as directory:
        for row in directory.books():
            try:
                with directory.open_book(row["id"]) as book:
                    balls = f"{count_of_balls(book)} balls"
            except DamagedFile as error:
                balls = f"damaged ({error})"
            click.echo(f"{row['alias'] or '-'}\t{row['id']}\t{balls}\tmade {row['created_at'][:10]}")


@main.command()
@click.argument("dest", type=click.Path(path_type=Path, file_okay=False))
@data_option
def backup(dest: Path, data: Path) -> None:
    """Copy every book and the directory into the empty folder DEST and verify the copy, also while serving.

    Each file is copied as of one moment. Phones then know which of their balls are safe.
    """
    from .store.copying import BackupFailed, DestinationInUse, back_up

    if not (data / "directory.sqlite").is_file():
        raise click.ClickException(
            f"Nothing was copied: {data} holds no directory of books. Name the folder by --data."
        )
    with _directory(data) as directory:
        try:
            steps = back_up(directory, dest, _now())
            with click.progressbar(length=next(steps), label="Copying", file=sys.stderr) as bar:
                for _ in steps:
                    bar.update(1)
        except DestinationInUse as error:
            raise click.ClickException(str(error)) from error
        except BackupFailed as error:
            raise click.ClickException(f"The backup in {dest} is not whole: {error}. Do not rely on it.") from error
    click.echo(f"Copied to {dest} and verified. To look at it again: clockyard restore-check {dest}")


@main.command("restore-check")
@click.argument("dest", type=click.Path(path_type=Path, file_okay=False, exists=True))
def restore_check(dest: Path) -> None:
    """Open every book of a backup as a server would and compare it with itself; exit status 1 if one fails."""
    from .store.copying import check_copies

    failed = 0
    for checked in check_copies(dest):
        failed += bool(checked.problem)
        words = f"FAILED: {checked.problem}" if checked.problem else f"whole, {checked.facts} facts"
        click.echo(f"{checked.name}\t{words}")
    if failed:
        raise click.ClickException(f"{failed} of the files cannot be restored.")


@main.command()
@click.option("--url", help="The address phones use, to be asked too, such as https://range.example/.")
@data_option
def doctor(url: str | None, data: Path) -> None:
    """Say what is wrong with this installation; exit status 1 if anything is."""
    from .doctor import examine

    findings = list(examine(data, url, datetime.now(UTC)))
    for finding in findings:
        click.echo(f"{'ok  ' if finding.well else 'BAD '} {finding.what}: {finding.words}")
    if not all(finding.well for finding in findings):
        sys.exit(1)


@contextmanager
def _directory(data: Path) -> Iterator["Directory"]:
    from .store.connect import DamagedFile, StoreFull
    from .store.directory import Directory

    try:
        with Directory(data) as directory:
            yield directory
    except StoreFull as error:
        raise click.ClickException("The disk is full; what was being written was left out whole.") from error
    except (DamagedFile, OSError) as error:
        raise click.ClickException(f"{data} cannot be used: {error}.") from error


@contextmanager
def _open(data: Path, name: str | None, make: bool = False) -> Iterator["Book"]:
    """The book of a name or id; without a name the only one there is."""
    with _directory(data) as directory:
        book_id = _book_id(directory, name, make)
        with directory.open_book(book_id) as book:
            yield book


def _book_id(directory: "Directory", name: str | None, make: bool) -> str:
    there = directory.books()
    if name is None and len(there) > 1:
        raise click.ClickException("There are several books: say which one with --book (clockyard books lists them).")
    if name is None and there:
        return str(there[0]["id"])
    found = [row["id"] for row in there if name in (row["alias"], row["id"])]
    if found:
        return str(found[0])
    if not make:
        raise click.ClickException(f"There is no book called {name!r}." if name else "There is no book yet.")
    return directory.new_book(_now(), name or FIRST_ALIAS)


def _now() -> str:
    return text_of(datetime.now(UTC))


if __name__ == "__main__":
    main()
