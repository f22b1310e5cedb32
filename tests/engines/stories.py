"""What holds in Chromium holds in WebKitGTK and Firefox: a book is started, balls are saved, copied, and sent after an
outage, and card, shots and plan are there without signal.

Run by `./deploy/test --engines`, which gets these browsers; no other run collects this file. Knows a page by its ids.
"""

import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.browser.server import Server
from tests.factories import the_demo_set
from webapp.moments import text_of

from .engine import ENGINES, Engine

# Selenium's own: it opens its line to WebKit in a way that it calls old itself.
pytestmark = pytest.mark.filterwarnings("ignore:setting remote_server_addr:DeprecationWarning")

BALLS = 5
LONGEST_S = 60
LOOK_S = 0.1

ROWS = """
const base = document.querySelector("script[type=module]").src;
const { isFresh, rowsOf } = await (await import(base)).take("outbox.js");
const rows = await rowsOf(document.body.dataset.book);
const shots = rows.filter((row) => row.kind === "shot");
"""
START = """
const form = document.querySelector("form:has(fieldset)");
for (const name of new Set([...form.querySelectorAll("[type=radio]")].map((radio) => radio.name))) {
  form.querySelector(`[name="${name}"]`).checked = true;
}
[...document.querySelectorAll("button")].find((one) => one.textContent.trim() === "Start the bucket").click();
"""
MIDDLE = """
const patch = document.getElementById("patch");
patch.scrollIntoView({ block: "center" });
const { left, top, width, height } = patch.getBoundingClientRect();
return [Math.round(left + width / 2), Math.round(top + height / 2)];
"""
NEVER_ENDING = """
const base = document.querySelector("script[type=module]").src;
const { done, transact } = await (await import(base)).take("db.js");
transact("readwrite", async ({ meta }) => { for (;;) await done(meta.get("nothing")); });
"""


TOUCH = """
const one = [...document.querySelectorAll("button, a, summary")]
  .find((it) => it.checkVisibility() && it.textContent.trim().startsWith(args[0]));
one?.click();
return Boolean(one);
"""
SEEN = "return Boolean([...document.querySelectorAll(args[0])].find((one) => one.checkVisibility()));"


class Player:
    """Somebody in one browser, who has no book yet."""

    def __init__(self, engine: Engine, server: Server) -> None:
        self.engine, self.server, self.book_id = engine, server, ""

    def with_the_demo_set(self) -> "Player":
        """The player of a new book, on the bucket's page."""
        moment = text_of(datetime.now(UTC))
        with self.server.directory() as directory:
            self.book_id = directory.new_book(moment)
            token = directory.new_device(self.book_id, "phone", moment)
            with directory.open_book(self.book_id) as book:
                assert not book.add(the_demo_set(moment), None, moment).refused
        self.engine.set_cookie("book", token, self.server.url)
        self.open("/bucket")
        return self

    def open(self, path: str) -> None:
        self.engine.open(self.server.url + path)

    def touch(self, name: str) -> None:
        """Touch the first button or link that is seen and whose words begin so."""
        assert self.engine.run(TOUCH, name), name

    def until_seen(self, what: str) -> None:
        """Wait until something of this selector is seen."""
        self.until(SEEN, what, what)

    def until(self, script: str, wanted: str, *args: str) -> None:
        """Wait until the script says yes."""
        end = time.monotonic() + LONGEST_S
        while not self.engine.run(script, *args):
            assert time.monotonic() < end, wanted
            time.sleep(LOOK_S)  # these engines' drivers can be asked again, but not be told to wait for a condition

    def start_bucket(self) -> None:
        self.until("return document.body.classList.contains('scripted');", "the page starts")
        self.until("return Boolean(await caches.match('/more', { ignoreVary: true }));", "the last page is kept")
        self.engine.run(START)
        self.until("return document.body.classList.contains('hitting');", "the bucket is open")
        self.until(f"{ROWS} return rows.every((row) => row.state === 'taken');", "the bucket is copied")

    def hit(self, balls: int) -> None:
        """So many touches in the middle of the patch, each once the ball before has its four seconds behind it."""
        self.until("return document.body.classList.contains('hitting');", "the bucket is open")
        for place in range(balls):
            self.engine.tap(*self.engine.run(MIDDLE))
            self.until(f"{ROWS} return shots.length === {place + 1};", f"ball {place + 1} is saved")
            self.until(f"{ROWS} return !shots.some(isFresh);", f"ball {place + 1} is fresh no longer")

    def until_copied(self, balls: int) -> None:
        """Wait until the phone says copied, and look whether the server holds each ball once."""
        self.until(f"{ROWS} return rows.every((row) => row.state === 'taken');", "everything is copied")
        with self.server.directory() as directory, directory.open_book(self.book_id) as book:
            held = [fact["root"] for fact in book.after(0, 10_000) if fact["kind"] == "shot"]
        assert len(held) == len(set(held)) == balls


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    started = Server(tmp_path / "data").start()
    yield started
    started.stop()


@pytest.fixture(params=ENGINES, ids=lambda opener: opener.__name__)
def newcomer(request: pytest.FixtureRequest, server: Server) -> Iterator[Player]:
    with request.param() as engine:
        yield Player(engine, server)


@pytest.fixture
def player(newcomer: Player) -> Player:
    return newcomer.with_the_demo_set()


def test_the_walk_from_the_first_page_to_a_plan_without_signal(newcomer: Player) -> None:
    newcomer.open("/")
    newcomer.until_seen("#start")
    newcomer.engine.run("document.querySelector('[name=known_carry]').value = '85';")
    newcomer.touch("Start my book")
    newcomer.until("return location.pathname === '/card';", "the card follows")
    newcomer.book_id = newcomer.engine.run("return document.body.dataset.book;")
    newcomer.until_seen(".dial [data-trust=told]")
    newcomer.open("/bucket")
    newcomer.start_bucket()
    newcomer.server.stop()
    newcomer.hit(BALLS)
    newcomer.touch("More")
    newcomer.until_seen("#more")
    newcomer.touch("End the bucket")
    newcomer.until_seen("#ended #end-words p")
    assert newcomer.engine.run("return document.querySelectorAll('#end-dots i').length;") == BALLS
    newcomer.open("/card")
    newcomer.until_seen(".dial .cell")
    newcomer.until_seen("[data-part=since], [data-moved]")
    newcomer.open("/fits")
    newcomer.until_seen("li.fit")
    before = newcomer.engine.run("return document.querySelector('.far-digits').value;")
    longer = """
      document.querySelector('[data-step="1"]').click(); // nothing happens before the page's script has started
      return document.querySelector(".far-digits").value !== args[0];
    """
    newcomer.until(longer, "another distance", before)
    newcomer.until_seen("li.fit")
    newcomer.open("/practice")
    newcomer.until("return document.body.classList.contains('scripted');", "the plan's script starts")
    newcomer.touch("Start a bucket with this plan")
    newcomer.until("return location.pathname === '/bucket';", "the plan's bucket follows")
    newcomer.until("return document.body.classList.contains('hitting');", "the plan's bucket is open")
    newcomer.server.start()
    newcomer.until_copied(BALLS)


def test_five_balls_are_saved_and_copied(player: Player) -> None:
    player.start_bucket()
    player.hit(BALLS)
    player.until_copied(BALLS)


def test_balls_noted_while_the_server_was_away_are_sent_after_many_page_changes(player: Player) -> None:
    player.start_bucket()
    player.server.stop()
    player.hit(BALLS)
    for path in ("/card", "/fits", "/bucket", "/practice", "/card", "/more", "/bucket"):
        player.open(path)
    player.server.start()
    player.until_copied(BALLS)


def test_a_page_left_in_the_middle_of_a_write_holds_nothing_back(player: Player) -> None:
    player.start_bucket()
    player.engine.run(NEVER_ENDING)
    player.open("/card")
    player.until(f"{ROWS} return rows.length > 0;", "the next page reads")
    player.open("/bucket")
    player.hit(BALLS)
    player.until_copied(BALLS)
