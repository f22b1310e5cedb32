"""Ends servers under load and browsers right after "saved", and counts what was promised and is not there.

`python -m tests.faults.kills` does it at length: 30 servers, 20 browsers. Knows no page beyond the patch.
"""

import http.client
import json
import random
import sys
import tempfile
import threading
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
from webapp.store.directory import Directory
from webapp.units import YARD_M

WRITERS = 4
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


def kill_servers(folder: Path, kills: int, seed: int = 1) -> Count:
    """Kill a server that often while four phones write to it; each time look at what the books hold."""
    chance, count = random.Random(seed), Count()
    server = Server(folder)
    writers = [_writer(folder) for _ in range(WRITERS)]
    for _ in range(kills):
        server.start()
        enough = threading.Semaphore(0)
        threads = [threading.Thread(target=_write, args=(writer, server.port, enough)) for writer in writers]
        for thread in threads:
            thread.start()
        for _ in range(chance.randint(_FEWEST_BATCHES, _MOST_BATCHES)):
            assert enough.acquire(timeout=60), "the phones got nothing through"
        _kill(server)
        for thread in threads:
            thread.join()
        count.kills += 1
    count.promised = sum(len(writer.promised) for writer in writers)
    for writer in writers:
        held = _ids(folder, writer.book_id)
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


def _writer(folder: Path) -> Writer:
    bucket, club = a_bucket(), a_club()
    with Directory(folder) as directory:
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


def _ids(folder: Path, book_id: str) -> set[str]:
    with Directory(folder) as directory, directory.open_book(book_id) as book:
        held = {fact["id"] for fact in book.after(0, 10**9)}
        assert reading.count_of_balls(book) == len(held) - 2, "the tables do not follow the facts"
    return held


def main() -> None:
    """Both at length; what was counted, and exit status 1 when anything was lost."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        servers = kill_servers(Path(folder) / "servers", 30)
        print(f"{servers.kills} servers killed: {servers.promised} batches of {BATCH} acknowledged, "
              f"{servers.lost} lost, {servers.partial} partial", flush=True)  # fmt: skip
        browsers = kill_browsers(playwright, Path(folder) / "browsers", 20)
        print(f"{browsers.kills} browsers killed: {browsers.promised} balls saved, "
              f"{browsers.promised - browsers.lost} found")  # fmt: skip
    sys.exit(bool(servers.lost or servers.partial or browsers.lost))


if __name__ == "__main__":
    main()
