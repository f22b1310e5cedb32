"""How a command takes a CSV file with this program's own headings, and says what became of its rows.

Knows the file's limit; books/import_balls.py reads the rows and takes them.
"""

import io
import sys
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from .options import now, opened_book

if TYPE_CHECKING:
    from ..books.import_balls import Imported
    from ..files.importing import Refused
    from ..store.book import Book
    from ..tables.row_of_line import Left

SOME_REFUSED = 3


def take_own_table(
    file: Path, data: Path, name: str | None, put: Callable[["Book", Iterable[str], str], "Imported"]
) -> None:
    """Put a CSV file into a book and say what became of its rows."""
    from ..files.importing import Unreadable

    text = _text_of(file)
    with opened_book(data, name, make=True) as book:
        try:
            answer = put(book, io.StringIO(text, newline=""), now())
        except Unreadable as error:
            raise click.ClickException(f"Nothing was taken: {error}.") from error
    if answer.ignored:
        click.echo(f"Columns not known here and ignored: {', '.join(answer.ignored)}", err=True)
    say_taken(answer.taken, answer.known, answer.refused)


def _text_of(file: Path) -> str:
    """A table of this program's own, which is UTF-8; read no further than its limit, since a pipe may have no end."""
    from ..tables.lines import MOST_BYTES, WORKBOOK

    try:
        with file.open("rb") as opened:
            content = opened.read(MOST_BYTES + 1)
        if len(content) > MOST_BYTES:
            problem = f"it is larger than {MOST_BYTES / 1e6:g} MB"
        elif content.startswith(WORKBOOK):
            problem = f"{file.name} is a workbook: clockyard import takes it when --columns says which column is what"
        else:
            return content.decode("utf-8-sig")
    except OSError as error:
        problem = f"{file.name} cannot be read ({error.strerror})"
    except UnicodeDecodeError as error:
        problem = f"{file.name} is no text in UTF-8 ({error})"
    raise click.ClickException(f"Nothing was taken: {problem}.")


def say_taken(taken: int, known: int, left_out: Sequence["Refused | Left"]) -> None:
    """Say what became of a table's rows; the exit status tells a program the same."""
    for row in left_out:
        click.echo(f"line {row.line} left out: {row.reason}", err=True)
    click.echo(f"{taken} taken, {known} known already, {len(left_out)} left out.")
    if left_out:
        sys.exit(SOME_REFUSED if taken or known else 1)
