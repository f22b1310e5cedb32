"""The commands of whoever keeps a server: books, backup, restore, restore-check, doctor, delete.

Knows no table; copies are made in store/copying.py and put back in store/restoring.py.
"""

import sys
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from .options import environment, now, opened_directory, said_in_words, service_options, store_url

if TYPE_CHECKING:
    from ..doctor import Finding
    from ..store.restoring import Restored

_CLOSED = {
    "book_deleted": "a book was deleted",
    "link_ended": "a coach link was ended",
    "phone_cut_off": "a phone was cut off",
    "sheet_replaced": "a recovery sheet was replaced",
    "pin_reset": "a guardian's PIN was reset",
}


@click.command()
@service_options
def books(data: Path) -> None:
    """List the books of a data folder: name, id, balls, when it was made."""
    from ..store.faults import DamagedFile
    from ..store.reading import count_of_balls

    with opened_directory(data) as directory:
        for row in directory.books():
            try:
                with directory.open_book(row["id"]) as book:
                    balls = f"{count_of_balls(book)} balls"
            except DamagedFile as error:
                balls = f"damaged ({error})"
            click.echo(f"{row['alias'] or '-'}\t{row['id']}\t{balls}\tmade {row['created_at'][:10]}")


@click.command()
@click.argument("dest", type=click.Path(path_type=Path, file_okay=False))
@service_options
def backup(dest: Path, data: Path) -> None:
    """Copy every book and the directory into the empty folder DEST and verify the copy, also while serving.

    Each file is copied as of one moment. Phones then know which of their balls are safe.
    """
    from ..card.card_words import count
    from ..store.copying import BackupFailed, BooksLeftOut, DestinationInUse, back_up

    left_out = ""
    with opened_directory(data) as directory:
        try:
            steps = back_up(directory, dest, now())
            with click.progressbar(length=next(steps), label="Copying", file=sys.stderr) as bar:
                for _ in steps:
                    bar.update(1)
        except DestinationInUse as error:
            raise click.ClickException(str(error)) from error
        except BackupFailed as error:
            raise click.ClickException(
                f"The backup to {dest} is not whole: {error}. Do not rely on what was copied."
            ) from error
        except BooksLeftOut as error:
            left_out = str(error)
        lost = directory.copy_off_journal()
        listed = len(directory.books())
    for problem in lost:
        click.echo(f"The journal of what was closed could not be copied off: {problem}.", err=True)
    if left_out:
        raise click.ClickException(
            f"The backup in {dest} lacks these books, so do not rely on it for them: {left_out}. All others are in it. "
            'Earlier backups are kept until these are mended: "One damaged book" in RUNBOOK.md.'
        )
    click.echo(f"Copied {count(listed, 'book')} to {dest}, verified. To look again: clockyard restore-check {dest}")


@click.command("restore-check")
@click.argument("dest", type=click.Path(path_type=Path, file_okay=False, exists=True))
def restore_check(dest: Path) -> None:
    """Open every book of a backup as a server would and compare it with itself; exit status 1 if one fails."""
    from ..store.copying import check_copies

    failed, left_out = 0, 0
    for checked in check_copies(dest):
        failed += bool(checked.problem) and not checked.left_out
        left_out += checked.left_out
        wrong = f"{'LEFT OUT' if checked.left_out else 'FAILED'}: {checked.problem}"
        click.echo(f"{checked.name}\t{wrong if checked.problem else f'whole, {checked.facts} facts'}")
    if failed:
        raise click.ClickException(f"{failed} of the files cannot be restored.")
    if left_out:
        raise click.ClickException(f"{left_out} of the books cannot be restored from this copy; all others can.")


@click.command()
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False, exists=True))
@service_options
@click.option("--new-secret", is_flag=True, help="Leave the server's old secret behind; the next start makes another.")
@click.option("--owner", help="The user who owns the files; the earlier folder's owner unless told.")
def restore(folder: Path, data: Path, new_secret: bool, owner: str | None) -> None:
    """Put the backup FOLDER in the place of the data folder, which is kept beside it; the server must be stopped.

    What was closed since the backup is closed again: links, phones, recovery sheets, deleted books. Then the doctor
    looks at the result.
    """
    from ..opening import journal_folder
    from ..store.folder_lock import FolderInUse
    from ..store.restoring import CannotSwap, CopyNotWhole
    from ..store.restoring import restore as put_back

    if store_url():
        raise click.ClickException(
            "Nothing was changed: the books lie in the log of STORE_URL, which PostgreSQL's own backup brings back. A "
            "folder goes into an empty log with clockyard move-in."
        )
    second = journal_folder(environment().get("CLOCKYARD_JOURNAL", ""))
    with said_in_words(data):
        try:
            done = put_back(folder, data, now(), second, new_secret, _user(owner) if owner else None)
        except CopyNotWhole as error:
            raise click.ClickException(f"Nothing was changed: {folder} is not whole ({error}).") from error
        except FolderInUse as error:
            raise click.ClickException(
                f"Nothing was changed: the server or another command works in {data}. Stop it first."
            ) from error
        except CannotSwap as error:
            raise click.ClickException(f"Nothing was changed: {error}.") from error
    for line in _told(done, folder, data):
        click.echo(line)
    _say(_findings(data, None))


@click.command()
@click.argument("book")
@service_options
@click.option("--yes", is_flag=True, help="Do not ask again.")
def delete(book: str, data: Path, yes: bool) -> None:
    """Delete the book of an id for good: its file, every phone's access, every link and code."""
    with opened_directory(data) as directory:
        if book not in [row["id"] for row in directory.books()]:
            raise click.ClickException(f"Nothing was deleted: there is no book of the id {book!r}.")
        if not yes:
            click.confirm(f"Delete the book {book} for good?", abort=True)
        directory.delete_book(book, now())
    click.echo("The book is deleted. Copies of it are in the backups until those are let go.")


@click.command()
@click.option("--url", help="The address phones use, to be asked too, such as https://range.example/.")
@service_options
def doctor(url: str | None, data: Path) -> None:
    """Say what is wrong with this installation and change nothing; exit status 1 if anything is wrong."""
    if not all(finding.well for finding in _say(_findings(data, url))):
        sys.exit(1)


def _findings(data: Path, url: str | None) -> Iterable["Finding"]:
    from ..doctor import examine

    return examine(data, url, datetime.now(UTC), environment())


def _say(findings: Iterable["Finding"]) -> list["Finding"]:
    said = list(findings)
    for finding in said:
        click.echo(f"{'ok  ' if finding.well else 'BAD '} {finding.what}: {finding.words}")
    return said


def _told(done: "Restored", folder: Path, data: Path) -> Iterable[str]:
    from ..card.card_words import count

    yield f"Restored: {data} now holds {count(done.books, 'book')} and {count(done.facts, 'fact')} of {folder}."
    for book in done.left_out:
        yield f'{book} is not in this copy. Take it from an earlier one: "One damaged book" in RUNBOOK.md.'
    if done.kept:
        yield f"The folder as it was before lies in {done.kept}."
    if done.journals:
        yield f"The journal of what was closed was read in {', '.join(map(str, done.journals))}."
        yield from (f"Closed again: {_CLOSED.get(one.what, one.what)} ({one.at[:10]})." for one in done.closed)
        if not done.closed:
            yield "Nothing that this backup holds open was closed since."
    else:
        yield (
            "There was no journal of what was closed since. So every coach link, every recovery sheet and every "
            "other code was ended; make new ones. Phones that were cut off since may open their book again: each "
            "owner should look at /phones."
        )
    yield "The server's secret is new: the next start makes it." if done.new_secret else "The server's secret was kept."


def _user(name: str) -> tuple[int, int]:
    import pwd

    try:
        found = pwd.getpwnam(name)
    except KeyError as error:
        raise click.ClickException(f"Nothing was changed: there is no user {name!r} here.") from error
    return found.pw_uid, found.pw_gid
