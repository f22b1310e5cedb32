"""What one touch costs on the phone: `python -m tests.bench.touch` prints ratios against a bare write of the same page.

The baseline is the least a touch can cost that is safe at once: a tap on an empty box whose handler puts one small row
into a store of its own with strict durability. Both are tapped in turn in the same page, with the processor at full and
at a quarter of its speed, with an empty store and with 10,000 rows of older visits.
"""

import statistics
import tempfile
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, expect, sync_playwright

from tests.browser.chromium import new_phone, now, open_book, shell_options
from tests.browser.server import Server
from tests.factories import the_demo_set

BALLS = 40
ROWS = 10_000
WANTED = "drawn <= 1.2, saved <= 1.5, p95 <= 100 ms at a quarter, 10,000 rows <= 1.2"

# Moments between balls pass at once; every clock of the page goes along.
AHEAD = """
globalThis.ahead = 0;
const real = Date.now.bind(Date);
Date.now = () => real() + globalThis.ahead;
"""
WATCH = """async () => {
  const db = await new Promise((resolve) => {
    const request = indexedDB.open("baseline", 1);
    request.onupgradeneeded = () => request.result.createObjectStore("rows");
    request.onsuccess = () => resolve(request.result);
  });
  const box = Object.assign(document.createElement("div"), { id: "box" });
  box.style.cssText = "position:fixed;right:0;bottom:0;width:60px;height:60px;z-index:99;touch-action:none";
  document.body.append(box);
  const took = globalThis.took = { put: [], drawn: [], saved: [] };
  box.addEventListener("pointerup", () => {
    const begun = performance.now();
    const writing = db.transaction("rows", "readwrite", { durability: "strict" });
    writing.objectStore("rows").put({ n: took.put.length }, took.put.length);
    writing.oncomplete = () => took.put.push(performance.now() - begun);
  });
  let begun = 0;
  let touched = 0;
  const part = (id) => document.getElementById(id);
  part("patch").addEventListener("pointerup", () => { begun = performance.now(); touched += 1; }, { capture: true });
  // Drawn: the frame that holds the ball begins. Saved: the page says so.
  const told = (name) => { if (took[name].length < touched) took[name].push(performance.now() - begun); };
  const frame = () => requestAnimationFrame(() => told("drawn"));
  for (const [hears, id] of [[frame, "patch"], [() => told("saved"), "said"]]) {
    new MutationObserver(hears).observe(part(id), { childList: true, characterData: true, subtree: true });
  }
}"""
FILL = """async ([book, rows]) => {
  const base = document.querySelector("script[type=module]").src;
  const { transact } = await (await import(base)).take("db.js");
  const day = 24 * 3600 * 1000;
  const body = {
    bucket_id: "older", club_id: "x", swing_deg: 90, mode: "swing", carry_m: 50, contact: "clean", landed: "seen",
  };
  await transact("readwrite", async ({ facts }) => {
    for (let n = 0; n < rows; n += 1) {
      const id = crypto.randomUUID();
      const made_at = new Date(Date.now() - 20 * day + 1000 * n).toISOString();
      const mark = { state: "taken", seq: n + 1, fresh_until: 0, refusal: null };
      facts.put({ id, root: id, kind: "shot", made_at, book, body, ...mark });
    }
  });
}"""


def main() -> None:
    """Print each figure beside what is wanted."""
    print(WANTED)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        server = Server(Path(folder)).start()
        browser = driver.chromium.launch(**shell_options())
        found = {(rate, rows): measured(browser, server, rate, rows) for rate in (1, 4) for rows in (0, ROWS)}
        browser.close()
        server.stop()
    for (rate, rows), took in found.items():
        put = statistics.median(took["put"])
        ratios = "  ".join(f"{name} {statistics.median(took[name]) / put:.2f}" for name in ("drawn", "saved"))
        p95 = statistics.quantiles(took["drawn"], n=20)[-1]
        print(f"1/{rate} of the speed, {rows:>6} rows: bare write {put:.1f} ms  {ratios}  drawn p95 {p95:.0f} ms")
    for rate in (1, 4):
        full, empty = (statistics.median(found[rate, rows]["drawn"]) for rows in (ROWS, 0))
        print(f"1/{rate} of the speed: touch with {ROWS} rows / with none {full / empty:.2f}")


def measured(browser: Any, server: Server, rate: int, rows: int) -> dict[str, list[float]]:
    """How long [ms] bare writes and touches took, tapped in turn."""
    context = new_phone(browser)
    book_id = open_book(context, server, the_demo_set(now()))
    page: Page = context.new_page()
    page.add_init_script(AHEAD)
    page.goto(server.url + "/bucket")
    page.get_by_role("button", name="Start the bucket").tap()
    expect(page.locator("#patch")).to_be_visible()
    context.set_offline(True)
    if rows:
        page.evaluate(FILL, [book_id, rows])
    page.evaluate(WATCH)
    context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": rate})
    patch = page.locator("#patch").bounding_box()
    assert patch
    for ball in range(BALLS):
        page.locator("#box").tap()
        page.wait_for_function("(n) => globalThis.took.put.length === n", arg=ball + 1)
        page.touchscreen.tap(patch["x"] + patch["width"] * 0.5, patch["y"] + patch["height"] * (0.4 + 0.005 * ball))
        page.wait_for_function(
            "(n) => globalThis.took.drawn.length === n && globalThis.took.saved.length === n", arg=ball + 1
        )
        page.wait_for_function("() => document.body.dataset.busy !== 'true'")
        page.evaluate("globalThis.ahead += 4100")
    took: dict[str, list[float]] = page.evaluate("globalThis.took")
    context.close()
    return took


if __name__ == "__main__":
    main()
