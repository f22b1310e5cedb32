"""What several commands share: the data folder, the environment file, the book, and the sentence for each fault.

Knows the store's faults; no command's own work.
"""

import os
from collections.abc import Callable, Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ..moments import text_of

if TYPE_CHECKING:
    from ..store.book import Book
    from ..store.directory import Directory

FIRST_ALIAS = "mine"  # what a book made by a command is called when no name is given
SERVICE_FILE = Path("/etc/clockyard.env")
_DATA, _DEFAULT_DATA = "CLOCKYARD_DATA", ".data"
_KEY = "clockyard.environment"
_Command = Callable[..., Any]


def folder_options(command: _Command) -> _Command:
    """Add --data and --env to a command."""
    return _env_option(of_service=False)(_data_option(command))


def service_options(command: _Command) -> _Command:
    """Add --data and --env to a command of the server's owner: the service's own file is read unless told."""
    return _env_option(of_service=True)(_data_option(command))


def book_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options that say which book of which folder is meant."""
    option = click.option("--book", "name", help="The book's name or id; may be left out when there is only one.")
    return folder_options(option(command))


def environment() -> Mapping[str, str]:
    """The settings' environment of this command: what the file says, unless a variable says otherwise."""
    told: Mapping[str, str] = click.get_current_context().meta.get(_KEY, os.environ)
    return told


def store_url() -> str:
    """The log of many hosts that this command works with; "" for none."""
    from ..config import BadSetting
    from ..config import store_url as told

    try:
        return told(environment())
    except BadSetting as error:
        raise click.ClickException(f"Nothing was done: {error}") from error


@contextmanager
def opened_directory(data: Path, make: bool = False) -> Iterator["Directory"]:
    """The directory of a data folder; unless it may be made, a folder without one is refused in words."""
    from ..opening import journal_folder
    from ..store.directory import DIRECTORY
    from ..store.folder_lock import FolderInUse, side_by_side
    from ..store.open_directory import open_directory

    url = store_url()
    with said_in_words(data):
        if not url and not make and not any((data / name).exists() for name in (DIRECTORY, "books")):
            raise click.ClickException(
                f"Nothing was done: there is no book yet in {data}. "
                "Name the folder by --data, or a file of settings by --env."
            )
        journal = journal_folder(environment().get("CLOCKYARD_JOURNAL", ""))
        try:
            with side_by_side(data), open_directory(data, journal, url) as it:
                yield it
        except FolderInUse as error:
            raise click.ClickException(f"Nothing was done: {data} is being restored.") from error


def said_in_words(data: Path) -> AbstractContextManager[None]:
    """Tell a fault of the store in one sentence."""
    return faults_said("Nothing was done", f"{data} cannot be used")


@contextmanager
def faults_said(away: str, fault: str) -> Iterator[None]:
    """Tell a fault of the store in one sentence: it begins with `away` when the log is away, else with `fault`."""
    from ..fault_words import words_of
    from ..store.faults import LogAway, StoreFault

    try:
        yield
    except LogAway as error:
        raise click.ClickException(f"{away}: the log cannot be reached ({error}).") from error
    except StoreFault as error:
        raise click.ClickException(f"{fault}: {words_of(error).message} ({error})") from error
    except OSError as error:
        raise click.ClickException(f"{fault}: {error}.") from error


@contextmanager
def opened_book(data: Path, name: str | None, make: bool = False) -> Iterator["Book"]:
    """The book of a name or id; without a name the only one there is."""
    with (
        opened_directory(data, make) as directory,
        _book_id(directory, name, make) as book_id,
        directory.open_book(book_id) as book,
    ):
        yield book


def now() -> str:
    """The present as facts write it."""
    return text_of(datetime.now(UTC))


@contextmanager
def _book_id(directory: "Directory", name: str | None, make: bool) -> Iterator[str]:
    """The id of the book that is meant; one that is made for a command which then takes nothing goes with it."""
    there = directory.books()
    if name is None and len(there) > 1:
        raise click.ClickException("There are several books: say which one with --book (clockyard books lists them).")
    found = [str(row["id"]) for row in there if name is None or name in (row["alias"], row["id"])]
    if not found and not make:
        raise click.ClickException(f"There is no book called {name!r}." if name else "There is no book yet.")
    if found:
        yield found[0]
        return
    made_id = directory.new_book(now(), name or FIRST_ALIAS)
    try:
        yield made_id
    finally:
        with directory.open_book(made_id) as book:
            took_nothing = not book.cursor
        if took_nothing:
            directory.delete_book(made_id, now())


def _env_option(of_service: bool) -> Callable[[_Command], _Command]:
    return click.option(
        "--env",
        type=click.Path(path_type=Path, dir_okay=False),
        help=f"A file of settings, such as the service's {SERVICE_FILE}"
        + (", which is read unless another is named." if of_service else "; none is read unless named."),
        is_eager=True,
        expose_value=False,
        callback=lambda context, _, path: _read_environment(context, path, of_service),
    )


_data_option = click.option(
    "--data",
    type=click.Path(path_type=Path, file_okay=False),
    help=f"The folder that holds the books.  [default: {_DATA}, else {_DEFAULT_DATA}]",
    callback=lambda context, _, path: path or Path(context.meta[_KEY].get(_DATA) or _DEFAULT_DATA),
)


def _read_environment(context: click.Context, path: Path | None, of_service: bool) -> None:
    from ..config import BadSetting, environment_file

    told: dict[str, str] = {}
    chosen = path or (SERVICE_FILE if of_service and SERVICE_FILE.exists() else None)
    if chosen:
        try:
            told = environment_file(chosen)
        except BadSetting as error:
            raise click.ClickException(str(error)) from error
    context.meta[_KEY] = {**told, **os.environ}
