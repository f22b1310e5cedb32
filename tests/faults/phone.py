"""A phone's own code in a real browser, driven below its pages: what is noted, what waits, what it was told.

Knows the names of the phone's modules; nothing of the line it sends over.
"""

from typing import Any

from playwright.sync_api import BrowserContext

from tests.browser.waiting import until, until_all_taken, until_idle

_LOAD = """async () => {
  const base = document.querySelector("script[type=module]").src;
  const from = async (name) => (await import(base)).take(name);
  const names = ["outbox.js", "rules/shot.js", "sync.js", "db.js"];
  const [outbox, { fold }, sync, { transact }] = await Promise.all(names.map(from));
  globalThis.phone = { ...outbox, fold, transact, told: [] };
  sync.states.addEventListener("state", ({ detail }) => globalThis.phone.told.push(detail));
}"""


class Phone:
    """One phone on a page of the app that has no work of its own."""

    def __init__(self, context: BrowserContext, url: str, book_id: str) -> None:
        self.page, self.book_id = context.new_page(), book_id
        self.page.clock.install()
        self.page.goto(f"{url}/settings")
        self.page.evaluate(_LOAD)

    def note(self, kind: str, body: dict[str, Any] | None, root: str | None = None) -> dict[str, Any]:
        """Save a new fact, or with a body of None a withdrawal of `root`; its row."""
        return self.page.evaluate(
            "async ([book, ...fact]) => (await phone.add(book, [phone.newFact(...fact)]))[0]",
            [self.book_id, kind, body, *([root] if root else [])],
        )

    def change(self, row: dict[str, Any], **fields: Any) -> dict[str, Any]:
        """Save what some fields of a row should be from now on."""
        changed = {"root": row["root"], "kind": row["kind"], "body": {**row["body"], **fields}, "after": row["made_at"]}
        return self.page.evaluate(
            "async ([book, one]) => (await phone.revise(book, [one]))[0]", [self.book_id, changed]
        )

    def rows(self) -> list[dict[str, Any]]:
        """Everything this phone holds of its book."""
        return self.page.evaluate("(book) => phone.rowsOf(book)", self.book_id)

    def run_out_of_patience(self) -> None:
        """Let the time pass in which an answer could still have come."""
        self.page.clock.fast_forward(16_000)

    def heard(self) -> int:
        """How often the phone was told how its sending went."""
        return int(self.page.evaluate("phone.told.length"))

    def wait_to_hear(self, before: int) -> str:
        """Wait until its sending has gone one way or the other since `before`; which way."""
        self.page.wait_for_function("(before) => phone.told.length > before", arg=before)
        return str(self.page.evaluate("phone.told.at(-1)"))

    def let_a_try_end(self) -> None:
        """Whatever exchange has begun by now is over, and the next one is planned.

        The phone reads its rows to plan; a browser begins no write before the reads that were asked for earlier end.
        """
        self.page.evaluate("() => navigator.locks.request('clockyard-send', () => {})")
        self.page.evaluate("() => phone.transact('readwrite', async () => {})")

    def signal_is_back(self) -> None:
        """What a browser says when a network has come back."""
        self.page.evaluate("() => { dispatchEvent(new Event('online')); }")

    def wait_until_idle(self) -> None:
        """No exchange with the server is under way; one would take a new row along without asking for its session."""
        until_idle(self.page)

    def wait_until_it_has(self, id: str) -> None:
        """This phone holds a row of that id."""
        until(
            self.page,
            "async ([book, id]) => (await phone.rowsOf(book)).some((row) => row.id === id)",
            [self.book_id, id],
        )

    def wait_until_nothing_waits(self) -> None:
        """Every row is with the server, by the server's own word."""
        until_all_taken(self.page, self.book_id)
