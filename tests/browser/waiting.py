"""Waiting for what only a promise tells, such as which pages the worker keeps, and looking at what is drawn anew."""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from playwright.sync_api import Error, Page

LONGEST_MS = 60_000
LOOKS, LOOK_MS, HUNG_MS = 25, 20, 2000


def until(page: Page, condition: str, arg: Any = None) -> None:
    """Wait until an asynchronous JavaScript function says yes, also over a reload of the page.

    `wait_for_function` takes a promise itself for a yes. Between two looks a signal waits, which goes by Playwright's
    clock as the page's timers do: a page whose clock a test has stopped is looked at once and no more.
    """
    looks = f"""async (arg) => {{
      const pass = (ms) => new Promise((done) => {{ AbortSignal.timeout(ms).onabort = () => done(false); }});
      for (let look = 0; look < {LOOKS}; look += 1) {{
        if (await Promise.race([({condition})(arg).catch(() => false), pass({HUNG_MS})])) return true;
        await pass({LOOK_MS});
      }}
      return false;
    }}"""
    last = time.monotonic() + LONGEST_MS / 1000
    while not _said_before_it_left(page, looks, arg):
        assert time.monotonic() < last, f"never came true: {condition}"


def _said_before_it_left(page: Page, question: str, arg: Any) -> bool:
    try:
        return bool(page.evaluate(question, arg))
    except Error as gone:
        if "navigation" not in gone.message:
            raise
        return False


@contextmanager
def case(name: str) -> Iterator[None]:
    """Say of a failure in which of a test's cases it came."""
    try:
        yield
    except BaseException as failure:
        failure.add_note(f"the case: {name}")
        raise


@contextmanager
def while_time_stands(page: Page) -> Iterator[None]:
    """Let time pass on this page only where the test says so, until it ends or fails: others may share the page."""
    at = page.evaluate("Date.now()") / 1000
    page.clock.set_fixed_time(at)  # first, since a moment that is over cannot be paused at
    page.clock.pause_at(at)
    page.clock.set_system_time(at)
    try:
        yield
    finally:
        page.clock.resume()


def let_pass_until(page: Page, came: Callable[[], bool]) -> None:
    """Let time pass on this page, a second at a time, until something came: what is under way sets clocks."""
    last = time.monotonic() + LONGEST_MS / 1000
    while not came():
        assert time.monotonic() < last, "it never came"
        page.clock.run_for(1000)


def let_worker_stand(page: Page) -> None:
    """Pages of this phone that come from now on may have a worker (chromium.py)."""
    page.evaluate("localStorage.workerMayStand = 'yes'")


def until_worker_stands(page: Page) -> None:
    """Let a worker stand on this phone and wait until it serves this page.

    A page that came without it, or was on its way while it came up, is asked for again.
    """
    let_worker_stand(page)
    if not page.evaluate("Boolean(navigator.serviceWorker)"):
        page.reload()
    until(page, "async () => (await navigator.serviceWorker.getRegistration())?.active?.state === 'activated'")
    if not page.evaluate("Boolean(navigator.serviceWorker.controller)"):
        page.reload()
    until(page, "async () => navigator.serviceWorker.controller !== null")


def until_kept(page: Page, path: str) -> None:
    """Wait until the worker holds a page for the day without signal."""
    until(page, "async (path) => Boolean(await caches.match(path, { ignoreVary: true }))", path)


def until_kept_with(page: Page, path: str, words: str) -> None:
    """Wait until what the worker holds of a page has these words: it may hold what the server said before a deed."""
    until(
        page,
        """async ([path, words]) => {
          const kept = await caches.match(path, { ignoreVary: true });
          return (await kept?.text())?.includes(words);
        }""",
        [path, words],
    )


def until_forgotten(page: Page, path: str) -> None:
    """Wait until the worker holds a page no longer."""
    until(page, "async (path) => !(await caches.match(path, { ignoreVary: true }))", path)


def until_idle(page: Page) -> None:
    """Wait until no page of this phone has an exchange with the server under way."""
    until(page, "async () => (await navigator.locks.query()).held.length === 0")


def until_at_rest(page: Page, book_id: str) -> None:
    """Wait until this phone has what the server holds of a book that is new to it, and its exchange is over."""
    until(
        page,
        """async (book) => {
          const base = document.querySelector("script[type=module]").src;
          const { reached } = await (await import(base)).take("outbox.js");
          return Boolean((await reached(book)).fetched);
        }""",
        book_id,
    )
    until_idle(page)


def until_stands(page: Page) -> None:
    """Wait until a page's script has run, its fonts are there, and a bucket has what it loads behind the ground.

    Chromium asks for a font once a word of it is laid out: a place measured before that is the place in another font.
    The page is asked once: what Playwright brings to a page before its first look at an element takes as long as the
    page itself.
    """
    page.evaluate(
        """async (longest) => {
          const { body, fonts } = document;
          const late = new Promise((_, fail) => { AbortSignal.timeout(longest).onabort = fail; });
          const scripted = new Promise((done) => {
            const look = () => body.classList.contains("scripted") && done();
            new MutationObserver(look).observe(body, { attributeFilter: ["class"] });
            look();
          });
          await Promise.race([scripted, late]);
          await Promise.allSettled([...fonts].map((font) => font.load()));
          if (!document.querySelector("#patch")) return;
          const base = document.querySelector("script[type=module]").src;
          const names = ["pages/sheets.js", "pages/opening.js", "pages/lane_words.js", "ui/storage_words.js"];
          await Promise.all(names.map((await import(base)).take));
        }""",
        LONGEST_MS,
    )


def until_all_taken(page: Page, book_id: str) -> None:
    """Wait until the server has everything this phone holds of a book, by the server's own word.

    What a deed under way will write is not among the rows yet.
    """
    until(
        page,
        """async (book) => {
          if (document.body.dataset.busy === "true") return false;
          const base = document.querySelector("script[type=module]").src;
          const { rowsOf } = await (await import(base)).take("outbox.js");
          return (await rowsOf(book)).every((row) => row.state === "taken");
        }""",
        book_id,
    )


def look_at_all(page: Page, selector: str, script: str) -> Any:
    """What `script` makes of all elements of a selector, found and looked at in one step.

    Playwright's evaluate_all takes two, and what the page drew anew in between has neither place nor style any more.
    """
    return page.evaluate(f"(selector) => ({script})([...document.querySelectorAll(selector)])", selector)
