"""Asks Lighthouse about the pages people look at: `python -m tests.bench.lighthouse`.

Wants Node, npm and Chromium; npm's `lighthouse` is fetched into a folder that is gone afterwards. The browser that is
asked has opened a demo book, and its worker stands. It is the headless shell, since the whole Chromium loads scripts of
its own beside the page (for its address line), and Lighthouse counts the time they take as the page's.

Processor and network are slowed while the page loads (`devtools`). Lighthouse's other way loads it at full speed and
multiplies what it saw, whatever else the machine did with it. Each page is asked RUNS times, the middle answer is told.
"""

import json
import subprocess
import tempfile
from pathlib import Path

from playwright.sync_api import Page, expect, sync_playwright

from tests.browser.chromium import PHONE, shell_options
from tests.browser.server import Server, free_port
from tests.browser.waiting import until_worker_stands

PACKAGE = "lighthouse@12"
PAGES = {
    "start": "/", "bucket": "/bucket", "card": "/card", "what fits": "/fits", "practice": "/practice",
    "what changed": "/trends", "coach": "{link}",
}  # fmt: skip
WANTED = {"performance": 95, "accessibility": 100, "best-practices": 100, "seo": 100}
TIMES = ("total-blocking-time", "largest-contentful-paint")
RUNS = 3


def main() -> None:
    """A line for each page: its four scores, the lowest and highest performance, what falls short, two times [ms]."""
    with tempfile.TemporaryDirectory() as place, sync_playwright() as driver:
        folder, port = Path(place), free_port()
        subprocess.run(["npm", "install", "--silent", "--prefix", folder, PACKAGE], check=True)
        server = Server(folder / "data", "--demo").start()
        options = shell_options()
        options["args"] = [*options["args"], f"--remote-debugging-port={port}"]
        context = driver.chromium.launch_persistent_context(folder / "profile", **options, **PHONE)
        print("page", *WANTED, "performance from - to", "what falls short", *TIMES, sep="  ")
        _tell(folder, port, "start", server.url)
        link = _opened(context.new_page(), server.url)
        for name, address in PAGES.items():
            if name != "start":
                _tell(folder, port, name, server.url + address.format(link=link))
        context.close()
        server.stop()


def _opened(page: Page, url: str) -> str:
    """Open the demo book and let its worker stand; gives a coach link's path."""
    page.goto(url)
    page.get_by_role("button", name="See a filled-in book").tap()
    expect(page.locator("body.scripted .dial")).to_be_visible()
    until_worker_stands(page)
    page.goto(url + "/links")
    page.get_by_role("button", name="Make a coach link").tap()
    link = page.locator("a.secret").inner_text().removeprefix(url)
    page.close()
    return link


def _tell(folder: Path, port: int, name: str, address: str) -> None:
    answers = sorted((_ask(folder, port, address) for _ in range(RUNS)), key=_performance)
    told = answers[RUNS // 2]
    scores = {kind: round(100 * told["categories"][kind]["score"]) for kind in WANTED}
    short = [
        one["id"]
        for kind, score in scores.items()
        if kind != "performance" and score < WANTED[kind]
        for one in told["categories"][kind]["auditRefs"]
        if one["weight"] and told["audits"][one["id"]]["score"] not in (1, None)
    ]
    times = [round(told["audits"][key]["numericValue"]) for key in TIMES]
    spread = f"{_performance(answers[0])} - {_performance(answers[-1])}"
    print(f"{name:13}", *scores.values(), spread, *sorted(set(short)), *times, sep="  ", flush=True)


def _ask(folder: Path, port: int, address: str) -> dict:
    """Lighthouse's answer about the page at `address`, asked once."""
    program = folder / "node_modules" / "lighthouse" / "cli" / "index.js"
    words = [
        address,
        f"--port={port}",
        "--disable-storage-reset",
        "--throttling-method=devtools",
        "--quiet",
        "--output=json",
    ]
    answer = subprocess.run(["node", program, *words], capture_output=True, text=True, check=True)
    return json.loads(answer.stdout)


def _performance(told: dict) -> int:
    return round(100 * told["categories"]["performance"]["score"])


if __name__ == "__main__":
    main()
