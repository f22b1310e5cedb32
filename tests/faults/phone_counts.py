"""Puts one phone through faults of line, store and update, and counts what it saved and what the server has of that.

`python -m tests.faults.phone_counts` does it at length. Knows the faults by name and no page.
"""

import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

from tests.browser.chromium import FILL, HOLD_STORE, facts_of, new_phone, now, open_book, shell_options
from tests.browser.server import Server, copy_program
from tests.browser.waiting import let_pass_until
from tests.factories import the_demo_set

from .phone import Phone
from .proxy import FAULTS, SILENT, Fault, Proxy

TIMES = 20
WAITING = 250  # more than goes in one request
ROOM_BYTES = 3_000_000
# The browser lets the store go, as it may when its disk fails; the page is told by the event alone.
KEEP_STORES = """() => {
  const { open } = IDBFactory.prototype;
  globalThis.stores = [];
  IDBFactory.prototype.open = function (...words) {
    const request = open.apply(this, words);
    request.addEventListener("success", () => stores.push(request.result));
    return request;
  };
}"""
CLOSE = """() => {
  for (const store of stores.splice(0)) {
    store.close();
    store.dispatchEvent(new Event("close"));
  }
}"""
UPGRADES_END = "\n];\n\nlet opening"
NOTE_OR_STATE = """async (book) => {
  try {
    return (await phone.add(book, [phone.newFact("note", { words: "held" })]))[0].id;
  } catch (error) {
    return error.state;
  }
}"""


@dataclass
class Count:
    """What came of a fault met some times: facts called saved, and of those lost or doubled."""

    fault: str
    times: int
    saved: int
    lost: int
    doubled: int

    @property
    def wrong(self) -> int:
        """How many facts are not on the server exactly once."""
        return self.lost + self.doubled

    def told(self) -> str:
        """One line for people."""
        return f"{self.fault}, {self.times} times: {self.saved} saved, {self.lost} lost, {self.doubled} doubled"


class Counted:
    """A phone behind a bad line, and the server that it sends to."""

    def __init__(self, browser: Browser, server: Server) -> None:
        self.server, self.proxy = server, Proxy(server.port)
        self.context = new_phone(browser)
        self.context.add_init_script(f"({KEEP_STORES})()")
        # Little room from the first write on: a browser that has seen much of it asks again only half a minute later.
        self._devtools = self.context.new_cdp_session(self.context.new_page())
        self._allow(ROOM_BYTES)
        book_id = open_book(self.context, server, the_demo_set(now()))
        self.phone = Phone(self.context, self.proxy.url, book_id)

    def close(self) -> None:
        """Let the phone and its line go."""
        self.context.close()
        self.proxy.close()

    def line(self, fault: Fault, times: int) -> Count:
        """Meet a fault of the line with one fact each time, and go on until nothing waits."""
        saved = []
        for _ in range(times):
            heard = self.phone.heard()
            self.proxy.fail(fault)
            saved.append(self.phone.note("note", {"words": fault.__name__})["id"])
            assert self.proxy.struck.wait(60), fault.__name__
            if fault in SILENT:
                self.phone.run_out_of_patience()
            self.phone.wait_to_hear(heard)
            self.phone.signal_is_back()
            self.phone.wait_until_nothing_waits()
            self.proxy.let_late_ones_through()
        return self._count(f"line: {fault.__name__}", times, saved)

    def full(self, times: int) -> Count:
        """Let the phone run full while more waits than one request takes; it hands all over, and has room again."""
        saved, page = [], self.phone.page
        for number in range(1, times + 1):
            self.context.set_offline(True)
            made = """async ([book, many]) => (await phone.add(book, Array.from({ length: many }, (_, at) =>
              phone.newFact("note", { words: `${at}` })))).map((row) => row.id)"""
            saved += page.evaluate(made, [self.phone.book_id, WAITING])
            page.evaluate(FILL)
            heard = self.phone.heard()
            self.context.set_offline(False)
            self.phone.signal_is_back()
            self.phone.wait_to_hear(heard)
            self.phone.let_a_try_end()
            missing = set(saved) - {fact["id"] for fact in facts_of(self.server, self.phone.book_id)}
            assert not missing, f"a full phone kept {len(missing)} facts to itself"
            self._allow((number + 1) * ROOM_BYTES)
            self.phone.signal_is_back()
            self.phone.wait_until_nothing_waits()
        return self._count("store: full", times, saved)

    def held(self, times: int) -> Count:
        """Let another page hold the store: what cannot be saved is said so, and what is said to be saved arrives."""
        saved, page = [], self.phone.page
        for _ in range(times):
            self.phone.wait_until_idle()
            holder = self.context.new_page()
            holder.goto(f"{self.proxy.url}/healthz")
            holder.evaluate(HOLD_STORE)
            page.evaluate("() => { globalThis.came = ''; }")
            trying = f"(book) => {{ ({NOTE_OR_STATE})(book).then((came) => {{ globalThis.came = came; }}); }}"
            page.evaluate(trying, self.phone.book_id)
            let_pass_until(page, lambda: page.evaluate("Boolean(globalThis.came)"))
            assert page.evaluate("globalThis.came") == "held"
            holder.close()
            saved.append(page.evaluate(NOTE_OR_STATE, self.phone.book_id))
            self.phone.signal_is_back()
            self.phone.wait_until_nothing_waits()
        return self._count("store: held by another page", times, saved)

    def closed(self, times: int) -> Count:
        """Let the browser close the store before each fact."""
        saved = []
        for _ in range(times):
            self.phone.wait_until_idle()
            self.phone.page.evaluate(CLOSE)
            saved.append(self.phone.note("note", {"words": "closed"})["id"])
            self.phone.signal_is_back()
            self.phone.wait_until_nothing_waits()
        return self._count("store: closed by the browser", times, saved)

    def updated(self, times: int, program: Path) -> Count:
        """Serve a newer program, whose store has another version, while facts wait: its page hands all over.

        The older page says that it is older and saves nothing more, so this is the last that a phone goes through.
        """
        self.context.set_offline(True)
        saved = [self.phone.note("note", {"words": "waiting"})["id"] for _ in range(times)]
        newer = Server(self.server.data, root=a_newer_program(program))
        newer.port = self.server.port
        self.server.stop()
        newer.start()
        try:
            self.context.set_offline(False)
            page = Phone(self.context, self.proxy.url, self.phone.book_id)
            page.rows()
            assert self.phone.page.evaluate(NOTE_OR_STATE, self.phone.book_id) == "older"
            page.signal_is_back()
            page.wait_until_nothing_waits()
        finally:
            newer.stop()
            self.server.start()
        return self._count("program: a newer one with facts waiting", times, saved)

    def _allow(self, size_bytes: int) -> None:
        """Let the browser keep so much of the phone's origin."""
        self._devtools.send("Storage.overrideQuotaForOrigin", {"origin": self.proxy.url, "quotaSize": size_bytes})

    def _count(self, fault: str, times: int, saved: list[str]) -> Count:
        held = [fact["id"] for fact in facts_of(self.server, self.phone.book_id)]
        there = [held.count(one) for one in saved]
        return Count(fault, times, len(saved), there.count(0), sum(many > 1 for many in there))


def a_newer_program(folder: Path) -> Path:
    """A copy of the program in a folder, with one more version of the phone's store."""
    copy_program(folder)
    script = folder / "static" / "db.js"
    before, end, after = script.read_text().partition(UPGRADES_END)
    assert end
    script.write_text(f"{before}\n  () => {{}},{end}{after}")
    return folder


def count(
    browser: Browser, server: Server, times: int, program: Path, faults: tuple[Fault, ...] = FAULTS
) -> Iterator[Count]:
    """Every fault of the line, then those of the store and a newer program, each so many times.

    `program` is a folder that is not there yet, for the newer program.
    """
    counted = Counted(browser, server)
    try:
        for fault in faults:
            yield counted.line(fault, times)
        yield counted.held(times)
        yield counted.closed(times)
        yield counted.full(max(1, times // 10))
        yield counted.updated(times, program)
    finally:
        counted.close()


def main() -> None:
    """All of it at length; exit status 1 when anything was lost or doubled."""
    wrong = 0
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        browser = playwright.chromium.launch(**shell_options())
        server = Server(Path(folder) / "data").start()
        try:
            for one in count(browser, server, TIMES, Path(folder) / "program"):
                print(one.told(), flush=True)
                wrong += one.wrong
        finally:
            server.stop()
            browser.close()
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
