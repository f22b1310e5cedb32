"""Ends servers under load and browsers right after "saved", and counts what was promised and is not there.

`python -m tests.faults.kills` does it at length. Knows no page beyond the patch.
"""

import http.client
import json
import random
import sys
import tempfile
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

from playwright.sync_api import Playwright, sync_playwright

from tests.browser.chromium import PHONE, chromium_options, now, open_book
from tests.browser.player import Player
from tests.browser.server import Server
from tests.browser.test_signal import kill_browser_of
from tests.factories import Raw, a_bucket, a_club, a_shot, the_demo_set
from webapp.store import reading
from webapp.units import YARD_M

from . import command_kills, disks

COMMANDS = {
    "import": command_kills.kill_imports,
    "job": command_kills.kill_jobs,
    "backup": command_kills.kill_backups,
    "delete": command_kills.kill_deletions,
}
OF_FILES = {"restore": command_kills.kill_restores, "migration": command_kills.kill_migrations}
WRITERS = 8
BATCH = 20
_FEWEST_BATCHES, _MOST_BATCHES = 3, 40


@dataclass
class Count:
    """What came of some kills: batches or balls promised, of those lost, and batches of which only a part is there."""

    kills: int = 0
    promised: int = 0
    lost: int = 0
    partial: int = 0


@dataclass
class Writer:
    """A phone that sends one batch after the other until the line breaks."""

    book_id: str
    cookie: str
    bucket: Raw
    club: Raw
    sent: list[set[str]] = field(default_factory=list)
    promised: list[set[str]] = field(default_factory=list)


def kill_servers(folder: Path, kills: int, seed: int = 1, processes: int = 1) -> Count:
    """Kill a server that often while eight phones write to it; then look at what the books hold.

    With more than one process all of them serve one folder, each to some of the phones; they die one after the other.
    """
    chance, count = random.Random(seed), Count()
    servers = [Server(folder) for _ in range(processes)]
    writers = [_writer(servers[0]) for _ in range(WRITERS)]
    for _ in range(kills):
        for server in servers:
            server.start()
        enough = threading.Semaphore(0)
        threads = [
            threading.Thread(target=_write, args=(writer, servers[place % processes].port, enough))
            for place, writer in enumerate(writers)
        ]
        for thread in threads:
            thread.start()
        for _ in range(chance.randint(_FEWEST_BATCHES, _MOST_BATCHES)):
            assert enough.acquire(timeout=60), "the phones got nothing through"
        for server in servers:
            _kill(server)
        for thread in threads:
            thread.join()
        count.kills += 1
    count.promised = sum(len(writer.promised) for writer in writers)
    for writer in writers:
        held = _ids(servers[0], writer.book_id)
        count.lost += sum(not batch <= held for batch in writer.promised)
        count.partial += sum(bool(batch & held) and not batch <= held for batch in writer.sent)
    return count


def kill_browsers(playwright: Playwright, folder: Path, kills: int) -> Count:
    """Kill a browser that often the moment a ball is called saved, without signal; each time count the balls found."""
    server = Server(folder / "data").start()
    profile = folder / "profile"
    options = {**chromium_options(), **PHONE}
    count = Count()
    context = playwright.chromium.launch_persistent_context(profile, **options)
    book_id = open_book(context, server, the_demo_set(now()))
    player = Player(context, server.url, book_id)
    player.open()
    player.wait_until_kept()
    player.start_bucket()
    context.close()  # a browser writes its cookies down lazily; a phone that has a book has had it for days
    server.stop()
    carries: list[int] = []
    begun = datetime.now(UTC)
    for place in range(kills + 1):
        player = Player(playwright.chromium.launch_persistent_context(profile, **options), server.url, book_id)
        player.page.clock.set_system_time(begun + timedelta(seconds=10 * place))  # no ball is fresh any more
        player.open()
        found = [round(shot["carry_m"] / YARD_M) for shot in player.shots()]
        count.lost += len([carry for carry in carries if carry not in found])
        if place == kills:
            assert found == carries
            player.context.close()
            break
        carries.append(45 + place)
        player.touch(carries[-1], "clean")
        kill_browser_of(profile)
        count.kills += 1
        count.promised += 1
    return count


def _kill(server: Server) -> None:
    assert server.process
    server.process.kill()
    server.stop()


def _writer(server: Server) -> Writer:
    bucket, club = a_bucket(), a_club()
    with server.directory() as directory:
        book_id = directory.new_book(now())
        with directory.open_book(book_id) as book:
            book.add([bucket, club], None, now())
        return Writer(book_id, f"book={directory.new_device(book_id, 'phone', now())}", bucket, club)


def _write(writer: Writer, port: int, enough: threading.Semaphore) -> None:
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    try:
        line.request("GET", "/api/session", headers={"Cookie": writer.cookie})
        answer = line.getresponse()
        token = json.loads(answer.read())["csrf"]
        cookies = "; ".join([writer.cookie, str(answer.headers["Set-Cookie"]).partition(";")[0]])
        headers = {"Cookie": cookies, "X-CSRFToken": token, "Content-Type": "application/json"}
        while True:
            facts = [a_shot(writer.bucket, writer.club) for _ in range(BATCH)]
            writer.sent.append({fact["id"] for fact in facts})
            line.request("POST", "/api/facts", json.dumps({"book": writer.book_id, "facts": facts}), headers)
            told = json.loads(line.getresponse().read())
            assert not told["refused"]
            writer.promised.append(set(told["taken"]))
            enough.release()
    except (OSError, http.client.HTTPException, ValueError):
        return  # the server died; what was not answered was not promised
    finally:
        line.close()


def _ids(server: Server, book_id: str) -> set[str]:
    with server.directory() as directory, directory.open_book(book_id) as book:
        held = {fact["id"] for fact in book.after(0, 10**9)}
        assert reading.count_of_balls(book) == len(held) - 2, "the tables do not follow the facts"
    return held


def main() -> None:
    """All of it at length; what was counted, and exit status 1 when anything was lost, doubled or half there."""
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        folder = Path(name)
        wrong = 0
        for what, kills, processes in (("a server", 100, 1), ("two servers on one folder", 20, 2)):
            count = kill_servers(folder / what, kills, processes=processes)
            print(f"{what} under {WRITERS} phones, killed {kills} times: {count.promised} batches of {BATCH} "
                  f"acknowledged, {count.lost} lost, {count.partial} partial", flush=True)  # fmt: skip
            wrong += count.lost + count.partial
        for what, kill in {**COMMANDS, **OF_FILES}.items():
            of_command = kill(folder / what, 30)
            print(of_command.told(what), flush=True)
            wrong += len(of_command.wrong or [])
        for line in on_bad_disks(folder):
            print(line, flush=True)
        browsers = kill_browsers(playwright, folder / "browsers", 40)
        print(f"{browsers.kills} browsers killed: {browsers.promised} balls saved, "
              f"{browsers.promised - browsers.lost} found")  # fmt: skip
    sys.exit(bool(wrong or browsers.lost))


def on_bad_disks(folder: Path) -> Iterator[str]:
    """What a server does on bad disks and under a clock years off, a line each; it raises where anything was lost."""
    if disks.may_mount(folder / "mounted"):
        yield disks.full_disk(folder / "full")
        yield disks.full_disk_during_a_job(folder / "full in a job")
        yield disks.read_only_disk(folder / "read-only")
    else:
        yield "full and read-only disk: left out, since no disk may be mounted here"
    yield disks.log_removed(folder / "log")
    yield disks.clock_years_off(folder / "clock")


if __name__ == "__main__":
    main()
