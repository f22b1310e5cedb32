"""How long the phone needs for one answer of what fits: `python -m tests.bench.fits_speed` prints it.

A real Chromium with its processor slowed four times; one answer is one change of the question, worked out and drawn.
The figure depends on the machine, so its ratio to a plain page change of the same browser is printed beside it.
"""

import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.browser.chromium import PHONE, chromium_options, now, open_book
from tests.browser.server import Server
from webapp.books.demo import demo_facts

SLOWED = 4
TARGET_MS = 50
MEASURE = """async () => {
  const flag = document.getElementById("flag");
  const said = document.getElementById("said");
  const layout = () => document.body.offsetHeight;
  const time = (work) => { const begun = performance.now(); work(); layout(); return performance.now() - begun; };
  const answers = [];
  const plain = [];
  for (let carry = 30; carry <= 120; carry += 1) {
    answers.push(time(() => { flag.value = carry; flag.dispatchEvent(new Event("input", { bubbles: true })); }));
    const copy = said.innerHTML;
    plain.push(time(() => { said.innerHTML = copy; }));
    await new Promise(requestAnimationFrame);
  }
  const at = (list, share) => [...list].sort((one, other) => one - other)[Math.floor(share * (list.length - 1))];
  return { median: at(answers, 0.5), p95: at(answers, 0.95), worst: at(answers, 1), plain: at(plain, 0.5) };
}"""


def main() -> None:
    """Print the median, the 95% point and the worst of 91 answers."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        server = Server(Path(folder) / "data").start()
        browser = driver.chromium.launch(**chromium_options())
        context = browser.new_context(**PHONE)
        open_book(context, server, demo_facts(now()))
        page = context.new_page()
        page.goto(server.url + "/fits")
        page.locator("#slide").wait_for()
        context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWED})
        found = page.evaluate(MEASURE)
        browser.close()
        server.stop()
    print(f"one answer at 1/{SLOWED} of the processor's speed (<= {TARGET_MS} ms):", end=" ")
    print(f"median {found['median']:.1f} ms, 95% {found['p95']:.1f} ms, worst {found['worst']:.1f} ms;", end=" ")
    print(f"{found['median'] / found['plain']:.1f} times the same list set as text")


if __name__ == "__main__":
    main()
