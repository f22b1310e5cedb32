"""Puts a verified copy in the place of a data folder, whole or not at all, and closes what was closed since.

Knows files, owners and modes; what was closed is told by the revocation journal (revocations.py).
"""

import ctypes
import errno
import os
import shutil
import sqlite3
from collections.abc import Iterable
from contextlib import ExitStack, nullcontext, suppress
from dataclasses import dataclass
from itertools import chain, count
from pathlib import Path

from . import revocations
from .connect import settle_on_disk
from .copying import check_copies, told_problems
from .directory import DIRECTORY, Directory
from .faults import StoreFault, telling_faults
from .folder_lock import alone
from .revocations import Journal, Revocation

SECRET = "secret"
_AT_CWD, _EXCHANGE = -100, 2  # of renameat2(2)


class CopyNotWhole(Exception):
    """The copy cannot be restored; nothing was changed."""


class CannotSwap(Exception):
    """The system does not let one folder take the other's place; nothing was changed."""


@dataclass(frozen=True)
class Restored:
    """What a restore did: books and facts put back, where the earlier folder lies, and what was closed again.

    `journals` names where the journal was read; where there was none, all links and codes were ended. `left_out` names
    the books that were damaged when the copy was made, and are not in it.
    """

    books: int
    facts: int
    kept: Path | None
    journals: list[Path]
    closed: list[Revocation]
    new_secret: bool
    left_out: list[str]


def restore(
    copy: Path,
    data: Path,
    now: str,
    journal: Path | None = None,
    new_secret: bool = False,
    owner: tuple[int, int] | None = None,
) -> Restored:
    """Put `copy` in the place of `data`; FolderInUse when a server runs there, CopyNotWhole, CannotSwap, a fault.

    `journal` is the second folder of the revocation journal; `owner` (user, group) owns the files, the earlier
    folder's owner unless told. Killed at any moment it leaves the one folder or the other, each whole.
    """
    checked = list(check_copies(copy))
    if wrong := told_problems(one for one in checked if not one.left_out):
        raise CopyNotWhole(wrong)
    data = data.resolve()
    staged = data.with_name(f".{data.name}.restoring")
    with ExitStack() as held, telling_faults(data):
        if data.exists():
            held.enter_context(alone(data))
        shutil.rmtree(staged, ignore_errors=True)  # of a restore that was killed
        _stage(copy, staged, [one.name for one in checked if not one.left_out])
        with Directory(staged) as directory:
            found = _journals(directory.revocation_journal(), copy, data, journal)
            if found:
                entries = {one.number: one for told in found.values() for one in told.revocations}
                closed = directory.close_again(entries[number] for number in sorted(entries))
            else:
                closed = []
                directory.close_all(now)
            directory.end_codes_that_are_used_up()
            copied = {one.book_id: one.newest for one in checked if one.newest}
            left_out = [one for one in checked if one.left_out and not directory.is_deleted(one.book_id)]
            directory.note_backup(now, told_problems(left_out), str(copy.resolve()), copied)
            whole = directory.revocation_journal()
            books = len(directory.books()) - len(left_out)
        renewed = _keep_secret(data, staged, new_secret)
        _own(staged, owner or _owner_of(data))
        kept = _swap(staged, data, now)
        revocations.copy_off(whole, [data, copy, *([journal] if journal else [])])
    facts = sum(one.facts for one in checked)
    return Restored(books, facts, kept, list(found), closed, renewed, [one.book_id for one in left_out])


def _stage(copy: Path, staged: Path, names: Iterable[str]) -> None:
    (staged / "books").mkdir(parents=True)
    for name in names:
        place = Path(name) if name == DIRECTORY else Path("books") / name
        shutil.copyfile(copy / place, staged / place)


def _journals(own: Journal, copy: Path, data: Path, second: Path | None) -> dict[Path, Journal]:
    """Every journal that is the copy's own gone on, by where it lay.

    A file beside the copy counts only where it was written: a copy that travelled knows nothing of what was closed
    after it left.
    """
    found: dict[Path, Journal] = {}
    # The directory itself may be why the copy is put back.
    with suppress(StoreFault, sqlite3.Error), Directory(data) if (data / DIRECTORY).exists() else nullcontext() as old:
        if old is not None:
            found[data / DIRECTORY] = old.revocation_journal()
    for folder in (data, copy, *([second] if second else [])):
        path = folder / revocations.file_name(own.id)
        told = revocations.read(path)
        if told and (folder != copy or Path(told.folder) == copy.resolve()):
            found[path] = told
    return {path: told for path, told in found.items() if told.id == own.id}


def _keep_secret(data: Path, staged: Path, new: bool) -> bool:
    """Take the secret of the earlier folder along unless another is asked for; True when the next start makes one."""
    if new or not (data / SECRET).exists():
        return True
    shutil.copyfile(data / SECRET, staged / SECRET)
    return False


def _own(staged: Path, owner: tuple[int, int] | None) -> None:
    for path in (staged, *staged.rglob("*")):
        path.chmod(0o700 if path.is_dir() else 0o600)
        if owner is not None and os.geteuid() == 0:
            os.chown(path, *owner)
        settle_on_disk(path)


def _owner_of(data: Path) -> tuple[int, int] | None:
    if not data.exists():
        return None
    there = data.stat()
    return there.st_uid, there.st_gid


def _swap(staged: Path, data: Path, now: str) -> Path | None:
    """Let the two folders change names in one step; gives where the earlier one lies now.

    The staged folder first takes the name that the earlier one is to have: so the earlier one never bears the name that
    the next restore clears, whenever this one is killed.
    """
    if data.exists():
        kept = staged.rename(_unused(data, f"before-{now[:19].replace(':', '')}Z"))
        try:
            _exchange(kept, data)
        except BaseException:
            kept.rename(staged)
            raise
    else:
        staged.rename(data)
        kept = None
    settle_on_disk(data.parent)
    return kept


def _unused(data: Path, ending: str) -> Path:
    """The folder's name with an ending that no folder beside it has: two restores may end within one second."""
    more = chain([""], (f"-{n}" for n in count(2)))
    return next(path for path in (data.with_name(f"{data.name}.{ending}{one}") for one in more) if not path.exists())


def _exchange(one: Path, other: Path) -> None:
    """Swap two names at once (renameat2 of Linux); Python offers no such call itself."""
    call = ctypes.CDLL(None, use_errno=True).renameat2
    if call(_AT_CWD, os.fsencode(one), _AT_CWD, os.fsencode(other), _EXCHANGE) == 0:
        return
    number = ctypes.get_errno()
    if number in (errno.EBUSY, errno.EXDEV):
        words = "it is a disk of its own: use a folder inside it as data folder"
    else:
        words = os.strerror(number)
    raise CannotSwap(f"{other} and its copy cannot change places: {words}")
