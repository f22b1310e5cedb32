"""The commands between a data folder and the log of many hosts: move-in, move-out.

Knows neither side's tables; store/log/moving_in.py and moving_out.py move.
"""

import sys
from collections.abc import Iterator
from pathlib import Path

import click

from .options import faults_said, opened_directory, service_options, store_url

_NOTHING = "Nothing was moved"


@click.command("move-in")
@service_options
def move_in(data: Path) -> None:
    """Move the data folder's books and directory into the empty log that STORE_URL names; the server must be stopped.

    All of it is moved or nothing. The folder stays as it is: serve it no more without STORE_URL.
    """
    from ..config import kept_secret
    from ..store.directory import DIRECTORY, Directory
    from ..store.folder_lock import FolderInUse, alone
    from ..store.log.moving_in import LogInUse
    from ..store.log.moving_in import move_in as moved

    url = _named_log()
    if not (data / DIRECTORY).exists():
        raise click.ClickException(f"Nothing was moved: {data} holds no directory of books.")
    with faults_said(_NOTHING, _NOTHING):
        try:
            with alone(data), Directory(data) as directory:
                steps = moved(directory, url, kept_secret(data, make=False))
                books = next(steps)
                _follow(steps, books, "Moving in")
        except FolderInUse as error:
            raise click.ClickException(
                f"Nothing was moved: the server or another command works in {data}. Stop it first."
            ) from error
        except LogInUse as error:
            raise click.ClickException(
                f"Nothing was moved: the log holds {error} books already, and a folder moves into an empty one only."
            ) from error
    click.echo(f"Moved {books} books of {data} into the log. The folder stays as it was: from now on it is a copy, and")
    click.echo("a server that serves it without STORE_URL would let the two go different ways.")


@click.command("move-out")
@click.argument("folder", type=click.Path(path_type=Path))
@service_options
def move_out(folder: Path, data: Path) -> None:
    """Write everything the log of STORE_URL holds as the new data folder FOLDER, and verify it.

    Each book is written as of one moment. What hosts take later is not in it: stop them first to move for good.
    """
    from ..store.copying import BackupFailed, DestinationInUse
    from ..store.log.moving_out import move_out as moved
    from ..store.log.secret import kept_secret

    url = _named_log()
    with opened_directory(data) as directory, faults_said(_NOTHING, _NOTHING):
        try:
            steps = moved(directory, folder, kept_secret(url, 0, make=False))
            _follow(steps, next(steps), "Moving out")
        except DestinationInUse as error:
            raise click.ClickException(str(error)) from error
        except BackupFailed as error:
            raise click.ClickException(f"Nothing was moved: what was written is not whole ({error}).") from error
        listed = len(directory.books())
    click.echo(f"Moved {listed} books into {folder} and verified them. To serve it: clockyard serve --data {folder}")


def _named_log() -> str:
    url = store_url()
    if not url:
        raise click.ClickException("Nothing was moved: STORE_URL names no log.")
    return url


def _follow(steps: Iterator[int], length: int, label: str) -> None:
    with click.progressbar(length=length, label=label, file=sys.stderr) as bar:
        for _ in steps:
            bar.update(1)
