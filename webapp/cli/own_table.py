"""How a command takes a table with this program's own headings, and says what became of its rows.

Knows the file's limit; tables/own_lines.py reads its lines, books/import_balls.py takes what they say.
"""

import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from .options import now, opened_book

if TYPE_CHECKING:
    from ..books.import_balls import Imported
    from ..files.importing import Refused
    from ..store.book import Book
    from ..tables.lines import Line
    from ..tables.row_of_line import Left

SOME_REFUSED = 3

Put = Callable[["Book", Iterable["Line"], str], "Imported"]


def take_own_table(file: Path, data: Path, name: str | None, put: Put) -> None:
    """Put a table into a book and say what became of its rows."""
    from ..files.importing import Unreadable
    from ..tables.no_table import NoTable
    from ..tables.own_lines import own_lines

    broken: list[Refused] = []
    with tempfile.NamedTemporaryFile() as kept:
        kept.write(_content_of(file))
        kept.flush()
        with opened_book(data, name, make=True) as book:
            try:
                answer = put(book, _up_to_a_broken_line(own_lines(Path(kept.name)), broken), now())
            except (NoTable, Unreadable) as error:
                raise click.ClickException(f"Nothing was taken: {error}.") from error
    if answer.ignored:
        click.echo(f"Columns not known here and ignored: {', '.join(answer.ignored)}", err=True)
    if answer.withdrawn:
        click.echo(f"Of those known {answer.withdrawn} were taken out of the book before and stay out.", err=True)
    say_taken(answer.taken, answer.known, [*answer.refused, *broken])


def _content_of(file: Path) -> bytes:
    """What a file or a pipe holds, which cannot be read twice; read no further than the limit, since it may not end."""
    from ..tables.lines import MOST_BYTES

    try:
        with file.open("rb") as opened:
            content = opened.read(MOST_BYTES + 1)
    except OSError as error:
        raise click.ClickException(f"Nothing was taken: {file.name} cannot be read ({error.strerror}).") from error
    if len(content) > MOST_BYTES:
        raise click.ClickException(f"Nothing was taken: it is larger than {MOST_BYTES / 1e6:g} MB.")
    return content


def _up_to_a_broken_line(lines: Iterator["Line"], broken: list["Refused"]) -> Iterator["Line"]:
    """The lines above one that cannot be read, which `broken` hears of; a broken first line breaks the table."""
    from ..files.importing import Refused
    from ..tables.no_table import BrokenLine

    yield next(lines)
    try:
        yield from lines
    except BrokenLine as error:
        broken.append(Refused(error.line, f"{error.reason}; nothing after it was read"))


def say_taken(taken: int, known: int, left_out: Sequence["Refused | Left"]) -> None:
    """Say what became of a table's rows; the exit status tells a program the same."""
    for row in left_out:
        click.echo(f"line {row.line} left out: {row.reason}", err=True)
    click.echo(f"{taken} taken, {known} known already, {len(left_out)} left out.")
    if left_out:
        sys.exit(SOME_REFUSED if taken or known else 1)
