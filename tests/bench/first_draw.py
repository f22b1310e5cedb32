"""How soon a page is there: `python -m tests.bench.first_draw` prints milliseconds a page, first of a first visit.

First visits by two slow lines last until the page's script has begun, beside the health check by the same line. Then
kept pages are drawn without signal: the phone has the worker's pages, the server is stopped, and the processor runs at
a quarter of its speed. Each page is gone to several times, in turn with a page of one line that is kept the same way;
both medians of the first contentful paint are printed, since a busy machine makes every paint late.
"""

import tempfile
from pathlib import Path
from statistics import median

from playwright.sync_api import Browser, CDPSession, Page, sync_playwright

from tests.browser.chromium import new_phone, now, open_book, shell_options
from tests.browser.server import Server
from tests.browser.waiting import until_kept, until_worker_stands
from webapp.books.demo import demo_facts

HEALTH = "/healthz"
FIRST = ("/", "/bucket", "/card")
PAGES = ("/bucket", "/card", "/fits", "/practice", "/more")
ROUNDS, SLOWER = 7, 4
LINES = {"150 ms, 1.6 Mb/s": (150, 1.6e6), "400 ms, 400 kb/s": (400, 4e5)}
VISITS = 3
READY_MS = """() => new Promise((done) => {
  const look = () => document.body?.matches("[data-page].scripted") ? done(performance.now()) : setTimeout(look, 2);
  look();
})"""
PLAIN = "/plain-line"
KEEP_PLAIN = """async (path) => {
  const headers = { "content-type": "text/html" };
  const page = new Response("<!doctype html><title>plain</title><p>one line", { headers });
  await (await caches.open("pages-of-this-bench")).put(path, page);
}"""
PAINTED = """() => new Promise((done) => {
  const look = () => performance.getEntriesByName("first-contentful-paint")[0];
  if (look()) return done(look().startTime);
  new PerformanceObserver((_, watch) => { if (look()) { watch.disconnect(); done(look().startTime); } })
    .observe({ type: "paint", buffered: true });
})"""


def main() -> None:
    """Print the median of each line's first visits, and of each kept page and the plain line beside it."""
    with tempfile.TemporaryDirectory() as data, sync_playwright() as driver:
        server = Server(Path(data)).start()
        browser = driver.chromium.launch(**shell_options())
        for name, line in LINES.items():
            plain = median(_visit_ms(browser, server, HEALTH, line) for _ in range(VISITS))
            for path in FIRST:
                ours = median(_visit_ms(browser, server, path, line) for _ in range(VISITS))
                print(
                    f"first visit to {path}, {name}: {ours:.0f} ms, {plain:.0f} ms, {ours / plain:.1f} times",
                    flush=True,
                )
        context = browser.new_context(viewport={"width": 360, "height": 640}, has_touch=True, is_mobile=True)
        open_book(context, server, demo_facts(now()))
        page = context.new_page()
        page.goto(server.url + "/bucket")
        until_worker_stands(page)
        for path in PAGES:
            until_kept(page, path)
        page.evaluate(KEEP_PLAIN, PLAIN)
        server.stop()
        slow = context.new_cdp_session(page)
        for path in PAGES:
            took: dict[str, list[float]] = {path: [], PLAIN: []}
            for _ in range(ROUNDS):
                for one in took:
                    took[one].append(_drawn_ms(page, slow, server.url + one))
            ours, plain = median(took[path]), median(took[PLAIN])
            print(f"{path}: {ours:.0f} ms, one line {plain:.0f} ms, {ours / plain:.1f} times", flush=True)
        browser.close()


def _visit_ms(browser: Browser, server: Server, path: str, line: tuple[int, float]) -> float:
    """How long a phone that was never here waits for a page by a line of this delay [ms] and rate [bit/s]."""
    latency_ms, bits_a_second = line
    phone = new_phone(browser)
    if path != "/":  # who has a book is led on from there
        open_book(phone, server, demo_facts(now()))
    page = phone.new_page()
    slow = phone.new_cdp_session(page)
    rate = bits_a_second / 8
    told = {"offline": False, "latency": latency_ms, "downloadThroughput": rate, "uploadThroughput": rate}
    slow.send("Network.enable")
    slow.send("Network.emulateNetworkConditions", told)
    slow.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    page.goto(server.url + path, wait_until="commit")
    took = float(page.evaluate("performance.now()" if path == HEALTH else READY_MS))
    phone.close()
    return took


def _drawn_ms(page: Page, slow: CDPSession, address: str) -> float:
    """When the page shows its first word [ms since its navigation began], at a quarter of the processor's speed."""
    page.goto("about:blank")
    slow.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    page.goto(address)
    return float(page.evaluate(PAINTED))


if __name__ == "__main__":
    main()
