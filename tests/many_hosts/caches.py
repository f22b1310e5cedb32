"""Does to the caches of a running host what disks, people and failovers do, and sees that the log alone counts.

Knows that a book's cache is a SQLite file of the book's id; nothing of what lies in it.
"""

import shutil
from collections.abc import Callable
from pathlib import Path

from .hosts import Host, Phone, amiss, notes
from .kills import both, two_hosts
from .load import Count
from .postgres import Cluster, until

_PAGE_BYTES = 4096
_BATCH = 60  # so that a cache has pages enough to be damaged in the middle


def _delete(cache: Path) -> None:
    for path in _files_of(cache):
        path.unlink()


def _empty(cache: Path) -> None:
    cache.resolve().write_bytes(b"")


def _cut_short(cache: Path) -> None:
    held = cache.resolve().read_bytes()
    cache.resolve().write_bytes(held[: len(held) // 2 // _PAGE_BYTES * _PAGE_BYTES])


def _scribble(cache: Path) -> None:
    """Write over every page but the first one."""
    with cache.resolve().open("r+b") as file:
        pages = cache.resolve().stat().st_size // _PAGE_BYTES
        for page in range(1, pages):
            file.seek(page * _PAGE_BYTES)
            file.write(b"\xa5" * _PAGE_BYTES)


def _scribble_head(cache: Path) -> None:
    with cache.resolve().open("r+b") as file:
        file.write(b"\xa5" * _PAGE_BYTES)


def _no_log_of_writes(cache: Path) -> None:
    for path in _files_of(cache):
        if path.name.endswith(("-wal", "-shm")):
            path.unlink()


DAMAGES: dict[str, Callable[[Path], None]] = {
    "deleted": _delete,
    "empty": _empty,
    "cut short": _cut_short,
    "written over": _scribble,
    "without a header": _scribble_head,
    "without its -wal": _no_log_of_writes,
}


def damaged(hosts: list[Host], times: int, what: str) -> Count:
    """Damage a book's cache on a running host; its next answers are the log's, and it takes facts as before."""
    phone = Phone().start_book(hosts[0])
    for place in range(times):
        here, there = hosts[place % 2], hosts[(place + 1) % 2]
        assert phone.send(here, notes(_BATCH)) == (200, "")
        want = phone.held(there)
        assert phone.held(here) == want
        DAMAGES[what](_cache(here, phone))
        answer = phone.ask(here, "GET", "/card")
        assert answer.status in (200, 503), answer.said  # met in the middle of a page it may say so, once
        assert phone.held(here) == want
        assert phone.ask(here, "GET", "/card").status == 200
        phone.send_until_taken(here, notes(1))
    lost, doubled = amiss([phone], hosts)
    return Count(f"a cache {what}", times, len(phone.promised), lost, doubled)


def anothers(hosts: list[Host], times: int) -> Count:
    """Put another book's cache in the place of a book's own: nothing of it is shown."""
    phone, other = Phone().start_book(hosts[0]), Phone().start_book(hosts[0])
    for place in range(times):
        here = hosts[place % 2]
        for one in (phone, other):
            assert one.send(here, notes(2)) == (200, "")
            assert one.send(here, notes(2)) == (200, "")
        own, strange = _cache(here, phone).resolve(), _cache(here, other).resolve()
        for ending in ("", "-wal", "-shm"):
            Path(f"{own}{ending}").unlink(missing_ok=True)
            if Path(f"{strange}{ending}").exists():
                shutil.copy(f"{strange}{ending}", f"{own}{ending}")
    lost, doubled = amiss([phone, other], hosts)
    return Count("another book's cache in the place of a book's own", times, len(phone.promised), lost, doubled)


def forked(primary: Cluster, standby: Cluster, folder: Path) -> Count:
    """Lose the log's end with a primary whose commits did not wait, and go on from the standby on another host.

    The first host's cache then is ahead of the log, and later as long as the log and of another history: whatever it
    shows must be the log's. What was acknowledged without a standby is lost, which is what waiting for one is for.
    """
    with two_hosts(folder, both(primary, standby)) as hosts:
        ahead, fork = (Phone().start_book(hosts[0]) for _ in range(2))
        for phone in (ahead, fork):
            assert phone.send(hosts[0], notes(3)) == (200, "")
        primary.wait_for()
        standby.hold_still()
        for phone in (ahead, fork):
            kept = set(phone.promised)
            assert phone.send(hosts[0], notes(4)) == (200, "")
            assert len(phone.held(hosts[0])) > len(kept)
            phone.promised = kept
        primary.kill()
        standby.go_on()
        standby.promote()
        fork.send_until_taken(hosts[1], notes(4))
        until(lambda: ahead.ask(hosts[0], "GET", "/card").status == 200)
        return Count("a cache ahead of its log", 2, len(ahead.promised | fork.promised), *amiss([ahead, fork], hosts))


def _cache(host: Host, phone: Phone) -> Path:
    return host.data / "cache" / f"{phone.book_id}.sqlite"


def _files_of(cache: Path) -> list[Path]:
    """Everything that belongs to a cache: its name, the file it leads to, and what lies beside both."""
    return list(cache.parent.glob(f"{cache.stem}*"))
