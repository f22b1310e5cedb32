"""Other browsers than Chromium, each opened and driven over its own protocol: WebKitGTK and Firefox.

Knows pages, scripts and fingers; nothing of Clockyard.
"""

import itertools
import json
import re
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Protocol

import websocket
from selenium import webdriver
from selenium.webdriver.common.actions.action_builder import ActionBuilder
from selenium.webdriver.common.actions.pointer_input import PointerInput
from selenium.webdriver.webkitgtk.options import Options
from selenium.webdriver.webkitgtk.service import Service

LONGEST_S = 60
_LISTENS = re.compile(r"WebDriver BiDi listening on (ws://\S+)")


class Engine(Protocol):
    """One open browser with one page."""

    def open(self, address: str) -> None:
        """Go to a page; returns once it is loaded."""

    def run(self, script: str, *args: Any) -> Any:
        """What the body of an asynchronous function of `args` gives, as JSON would carry it."""

    def set_cookie(self, name: str, value: str, address: str) -> None:
        """Give the browser a cookie of this address."""

    def tap(self, x: int, y: int) -> None:
        """Touch the page there with one finger and lift."""


class WebKit:
    """WebKitGTK through its own driver."""

    def __init__(self, driver: webdriver.WebKitGTK) -> None:
        self.driver = driver
        driver.set_script_timeout(LONGEST_S)
        driver.set_page_load_timeout(LONGEST_S)

    def open(self, address: str) -> None:
        self.driver.get(address)

    def run(self, script: str, *args: Any) -> Any:
        told = self.driver.execute_async_script(
            f"""const done = arguments[arguments.length - 1];
            const args = [...arguments].slice(0, -1);
            (async () => {{ {script} }})()
              .then((value) => done({{ value }}), (error) => done({{ fault: String(error) }}));""",
            *args,
        )
        assert "fault" not in told, told["fault"]
        return told.get("value")

    def set_cookie(self, name: str, value: str, address: str) -> None:
        self.open(f"{address}/healthz")  # cookies can be given only to the page in view
        self.driver.add_cookie({"name": name, "value": value, "path": "/", "httpOnly": True, "sameSite": "Lax"})

    def tap(self, x: int, y: int) -> None:
        deeds = ActionBuilder(self.driver, mouse=PointerInput("touch", "finger"))
        deeds.pointer_action.move_to_location(x, y).pointer_down().pointer_up()
        deeds.perform()


class Firefox:
    """Firefox by the open two-way protocol it speaks itself, so that no further driver is needed."""

    def __init__(self, line: websocket.WebSocket) -> None:
        self.line, self.numbers = line, itertools.count(1)
        self.ask("session.new", capabilities={})
        self.page = self.ask("browsingContext.getTree")["contexts"][0]["context"]

    def ask(self, method: str, **params: Any) -> Any:
        """One command and its result; what Firefox tells unasked is passed over."""
        number = next(self.numbers)
        self.line.send(json.dumps({"id": number, "method": method, "params": params}))
        while True:
            told = json.loads(self.line.recv())
            if told.get("id") == number:
                assert told["type"] == "success", told
                return told["result"]

    def open(self, address: str) -> None:
        self.ask("browsingContext.navigate", context=self.page, url=address, wait="complete")

    def run(self, script: str, *args: Any) -> Any:
        told = self.ask(
            "script.evaluate",
            expression=f"(async (args) => JSON.stringify(await (async () => {{ {script} }})()))({json.dumps(args)})",
            target={"context": self.page},
            awaitPromise=True,
        )
        assert told["type"] == "success", told
        return json.loads(told["result"].get("value", "null"))

    def set_cookie(self, name: str, value: str, address: str) -> None:
        host = address.split("//")[1].split(":")[0]
        cookie = {"name": name, "value": {"type": "string", "value": value}, "domain": host, "httpOnly": True}
        self.ask("storage.setCookie", cookie={**cookie, "sameSite": "lax", "path": "/"})

    def tap(self, x: int, y: int) -> None:
        deeds = [{"type": "pointerMove", "x": x, "y": y}, {"type": "pointerDown", "button": 0}]
        finger = {"type": "pointer", "id": "finger", "parameters": {"pointerType": "touch"}}
        self.ask("input.performActions", context=self.page,
                 actions=[{**finger, "actions": [*deeds, {"type": "pointerUp", "button": 0}]}])  # fmt: skip


@contextmanager
def webkit() -> Iterator[Engine]:
    """WebKitGTK's own small browser; needs a display, such as xvfb-run gives."""
    options = Options()
    options.binary_location = str(next(Path("/usr/lib").glob("*/webkit2gtk-4.1/MiniBrowser")))
    options.add_argument("--automation")
    driver = webdriver.WebKitGTK(options=options, service=Service("/usr/bin/WebKitWebDriver"))
    try:
        yield WebKit(driver)
    finally:
        driver.quit()


@contextmanager
def firefox() -> Iterator[Engine]:
    """Firefox ESR with a profile of its own and no window."""
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        (Path(profile) / "user.js").write_text(
            'user_pref("dom.w3c_touch_events.enabled", 1);\nuser_pref("network.manage-offline-status", false);\n'
        )
        command = ["firefox-esr", "--headless", "--no-remote", "--profile", profile, "--remote-debugging-port", "0"]
        process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True)
        assert process.stderr
        found = next(filter(None, map(_LISTENS.search, process.stderr)))
        line = websocket.create_connection(f"{found[1]}/session", timeout=LONGEST_S, suppress_origin=True)
        opened = Firefox(line)
        try:
            yield opened
        finally:
            opened.ask("browser.close")
            line.close()
            process.wait(LONGEST_S)
            process.stderr.close()


ENGINES: tuple[Callable[[], Any], ...] = (webkit, firefox)
