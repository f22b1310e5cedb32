"""What `clockyard import` is told of a table from anywhere, and how it takes one.

Knows the words of the options; tables/ reads the file, and books/take_table.py takes it.
"""

import csv
import tempfile
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ..units import LENGTH_M
from .options import now, opened_book

if TYPE_CHECKING:
    from ..books.take_table import Made
    from ..store.book import Book
    from ..tables.chosen import Chosen
    from ..tables.looking import Look
    from ..tables.row_of_line import Left

_DECIMALS = {"point": ".", "comma": ","}
_OPTIONS = (
    click.option(
        "--columns", multiple=True, help="carry=COLUMN,club=COLUMN[,...]; a COLUMN is a heading, or #3 for the third."
    ),
    click.option("--sheet", default="", help="The sheet of a workbook; the first that holds a value unless told."),
    click.option("--headings", default="", help="The line of its headings, or none; looked for unless told."),
    click.option("--unit", type=click.Choice(list(LENGTH_M)), help="The table's unit of length."),
    click.option("--dates", type=click.Choice(["ymd", "dmy", "mdy"]), help="The order of its days, where in doubt."),
    click.option("--decimal", type=click.Choice(list(_DECIMALS)), help="The sign before decimals, where in doubt."),
    click.option("--day", help="The day of a table that tells none, such as 2025-05-01; today unless told."),
    click.option("--all", "of_all", multiple=True, help="WORD=VALUE, what holds of every row: judged_by=monitor."),
    click.option("--club", "clubs", multiple=True, help="WORD=LOFT, the wedge that a word of the table means."),
)


def table_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options that say what the columns of a table mean."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


def take_any_table(
    file: Path, data: Path, name: str | None, columns: tuple[str, ...], **said: Any
) -> tuple[int, int, list["Left"]]:
    """Take a table into a book: how many balls were taken, were known already, and which rows were left out."""
    from ..books.take_table import made_of, take_made
    from ..store.book import NotWhole
    from ..tables.kept_lines import keep, kept
    from ..tables.lines import lines_of, sheets_of
    from ..tables.looking import look_through
    from ..tables.no_table import NoTable

    named, heading_line = _pairs(columns, "--columns"), _heading_line(said["headings"])
    try:
        with tempfile.TemporaryDirectory() as folder:
            lines = Path(folder) / "lines.csv"
            headings = [heading for heading in named.values() if not heading.startswith("#")]
            # Looked through before the book is made, so that a wrong file leaves no empty book behind.
            look = look_through(keep(lines_of(file, said["sheet"]), lines), heading_line, headings)
            sheets = sheets_of(file)
            chosen = _chosen(look, named, **said)
            with opened_book(data, name, make=True) as book:
                chosen = _with_wedges(book, look, chosen, _pairs(said["clubs"], "--club"))
                made = made_of(book, kept(lines), look, chosen, file.name)
                take_made(book, made, now())
    except OSError as error:
        raise click.ClickException(f"Nothing was taken: {file.name} cannot be read ({error.strerror}).") from error
    except NoTable as error:
        raise click.ClickException(f"Nothing was taken: {error}.") from error
    except NotWhole as error:
        raise click.ClickException(
            "Nothing was taken. " + " ".join(one["message"] for one in error.refused[:8])
        ) from error
    is_told = bool(headings or heading_line)
    for sentence in _how_it_was_read(look, chosen, made, sheets, said["sheet"], is_told):
        click.echo(sentence, err=True)
    return made.n_new, made.n_known, made.left


def _how_it_was_read(
    look: "Look", chosen: "Chosen", made: "Made", sheets: list[str], sheet: str, is_told: bool
) -> Iterator[str]:
    """What was taken for granted, a sentence each; `is_told` is whether the line of the headings was."""
    from ..card.card_words import count
    from ..tables.headings import NO_HEADINGS

    if not is_told:
        none = look.heading_line == NO_HEADINGS
        found = "as having no headings" if none else f"with headings in line {look.heading_line}"
        yield f"It was read {found}; --headings says otherwise."
    if unused := [column.name for at, column in enumerate(look.columns) if at not in chosen.columns.values()]:
        yield f"Columns not chosen and ignored: {', '.join(map(_printable, unused))}"
    if made.n_alike:
        one = made.n_alike == 1
        words = ("says", "a ball", "says", "it counts") if one else ("say", "balls", "say", "they count")
        alike = "{} {} what {} of another table of that day {}, and no time of day: {} as known already."
        yield alike.format(count(made.n_alike, "row"), *words)
    if len(sheets) > 1:
        yield f"Of its {len(sheets)} sheets only {_printable(sheet or sheets[0])} was read; --sheet names another."


def _heading_line(told: str) -> int:
    """What was told of the line of the headings, 0 for nothing."""
    from ..tables.headings import NO_HEADINGS

    if told == "none":
        return NO_HEADINGS
    if told and not (told.isdecimal() and told.isascii() and len(told) < 10 and int(told)):
        raise click.UsageError(f"--headings must be a line's number or none, not {told!r}.")
    return int(told or 0)


def _chosen(
    look: "Look", named: dict[str, str], unit: str | None, dates: str | None, decimal: str | None, day: str | None,
    of_all: tuple[str, ...], **_: Any,
) -> "Chosen":  # fmt: skip
    from ..tables.chosen import ASKED, NEEDED, SAME_WORD, Chosen
    from ..tables.looking import place_of
    from ..tables.no_table import NoTable
    from ..tables.told_moment import day_told

    columns = {SAME_WORD.get(word, word): place_of(look.columns, heading) for word, heading in named.items()}
    for_all = {SAME_WORD.get(word, word): value for word, value in _pairs(of_all, "--all").items()}
    if unknown := [word for word in (*columns, *for_all) if word not in ASKED]:
        raise click.UsageError(f"No column of ours is called {unknown[0]!r}; clockyard import --help names them.")
    if missing := [word for word in NEEDED if word not in columns]:
        raise click.UsageError(f"--columns has to say which column is {' and which is '.join(missing)}.")
    if not unit and "unit" not in columns:
        raise click.UsageError("Say by --unit in which unit the carries are: it is never guessed.")
    chosen = Chosen(columns, unit or "", dates or "", _DECIMALS.get(decimal or "", ""), day or now()[:10])
    if day and not day_told(day, "ymd"):
        raise click.UsageError(f"--day must be a day such as 2025-05-01, not {day!r}.")
    if not chosen.tells_when and not day:
        click.echo(f"No column says when: the balls are put down to {chosen.day}; --day says otherwise.", err=True)
    orders = look.columns[columns[chosen.when_column]].orders if chosen.tells_when else ()
    if len(orders) > 1 and not dates:
        raise NoTable(f"its days can be read as {' or '.join(orders)}: say which by --dates")
    if "swing" not in columns:
        for_all.setdefault("swing", "full")
    return Chosen(columns, chosen.unit, dates or (orders[0] if orders else ""), chosen.decimal, chosen.day, {}, for_all)


def _with_wedges(book: "Book", look: "Look", chosen: "Chosen", told: dict[str, str]) -> "Chosen":
    """The answers for the table's wedges: what was told, else what the bag's names and lofts say, said aloud."""
    from dataclasses import replace

    from ..books.known_names import known_of
    from ..files.ball_row import folded
    from ..store import reading
    from ..tables.looking import MOST_WORDS
    from ..tables.matching import Known, answer_for
    from ..tables.no_table import NoTable

    column = look.columns[chosen.columns["club"]]
    if column.n and not column.words:
        raise NoTable(f"column {column.name!r} names more than {MOST_WORDS} wedges: is it the right one?")
    bag = [Known(club.id, club.name, club.loft_deg) for club in reading.clubs(book)]
    names = {club.id: club.name for club in bag}
    ids = known_of(book).clubs
    answers = {folded(word): ids.get(folded(named), named) for word, named in told.items()}
    for word in column.words:
        answer = answer_for(word, bag) if folded(word) not in answers and "loft_deg" not in chosen.columns else ""
        if answer:
            answers[folded(word)] = answer
            if folded(names.get(answer, answer)) != folded(word):
                click.echo(f"{_printable(word)} is taken for the wedge {names.get(answer, answer)}.", err=True)
    return replace(chosen, answers={"club": answers})


def _pairs(told: Iterable[str], option: str) -> dict[str, str]:
    """WORD=VALUE, parted by commas; a value with a comma stands in quotes, as in CSV."""
    found: dict[str, str] = {}
    for part in [part for row in csv.reader(told, skipinitialspace=True) for part in row]:
        word, equals, value = part.partition("=")
        word = word.strip().lower() if option != "--club" else word.strip()
        if not equals or not word or not value.strip() or word in found:
            raise click.UsageError(f"{option} wants WORD=VALUE, each word once, not {part!r}.")
        found[word] = value.strip()
    return found


def _printable(text: str) -> str:
    return "".join(sign if sign.isprintable() else "?" for sign in text)
