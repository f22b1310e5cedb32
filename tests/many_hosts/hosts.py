"""Hosts of the app on one log, and phones that speak HTTP with any of them and remember what they were promised.

Knows the wire; what is done to hosts and PostgreSQL is in kills.py.
"""

import http.client
import json
import re
from dataclasses import dataclass, field
from functools import partial
from itertools import count
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from tests.browser.chromium import now
from tests.browser.server import STORE, Server
from tests.factories import Raw, raw

from .postgres import until

PATIENCE_S = 60
AWAY = (503, "log_away")
# Phones of these tests write as fast as they can, for an hour at length; the limits of a day are not what is looked at.
WIDE = {
    "CLOCKYARD_STARTS_AN_HOUR": "100000",
    "CLOCKYARD_MOST_FACTS_A_DAY": "100000000",
    "CLOCKYARD_MOST_BOOK": "10000000000",
}
_addresses = count(1)


class NoAnswer(Exception):
    """The line broke before an answer came: whether the host did what it was asked is not known."""


@dataclass
class Answer:
    """What a host said."""

    status: int
    headers: http.client.HTTPMessage
    body: bytes

    @property
    def told(self) -> dict[str, Any]:
        """What the phone's code reads."""
        found: dict[str, Any] = json.loads(self.body)
        return found

    @property
    def text(self) -> str:
        """What a person reads."""
        return self.body.decode()

    @property
    def said(self) -> tuple[int, str]:
        """The status, and the code of a refusal."""
        is_json = self.headers.get_content_type() == "application/json"
        return self.status, self.told.get("error", {}).get("code", "") if is_json else ""


class Host(Server):
    """`clockyard serve` with a folder of its own for its caches, on a log that others share."""

    def __init__(self, data: Path, store_url: str, **environment: str) -> None:
        super().__init__(data, **{STORE: store_url, **WIDE, **environment})

    def kill(self) -> None:
        """Let it die at once."""
        assert self.process
        self.process.kill()
        self.stop()

    def caches(self) -> list[Path]:
        """The books it keeps a file of."""
        return sorted((self.data / "cache").glob("*.sqlite"))


@dataclass
class Phone:
    """A phone of one book: its cookies, its own address, and every id a host said it had taken."""

    book_id: str = ""
    cookies: dict[str, str] = field(default_factory=dict)
    promised: set[str] = field(default_factory=set)
    address: str = ""

    def __post_init__(self) -> None:
        number = next(_addresses)
        self.address = f"127.1.{number // 250}.{number % 250 + 1}"

    def start_book(self, host: Host) -> "Phone":
        """Start a book as the first page does."""
        answer = self.post(host, "/start", hand="right", unit="yd", loft_1="56")
        assert answer.status == 302, answer.said
        self.book_id = self.ask(host, "GET", "/api/session").told["book"]
        return self

    def another(self, host: Host, other: Host | None = None) -> "Phone":
        """Let another phone into the book with a joining code, made at one host and used at the other."""
        joined = Phone(self.book_id)
        answer = joined.post(other or host, "/open", code=self.joining_code(host))
        assert answer.status == 302, answer.said
        return joined

    def joining_code(self, host: Host) -> str:
        """A code that lets one more phone in."""
        return _found(r'class="code">([^<]+)<', self.post(host, "/phones/join").text)

    def coach_link(self, host: Host) -> tuple[str, str]:
        """The address of a new coach's link, and its id."""
        page = self.post(host, "/links", days="14", shows="shots").text
        return _found(r"(/w/[\w-]+)", page), _found(r"/links/([\w-]+)/end", page)

    def send(self, host: Host, facts: list[Raw]) -> tuple[int, str]:
        """Send a batch of facts; the status, and the code of a refusal."""
        session = self.ask(host, "GET", "/api/session")
        if session.status != 200:
            return session.said
        body = json.dumps({"book": self.book_id, "facts": facts})
        headers = {"X-CSRFToken": session.told["csrf"], "Content-Type": "application/json"}
        answer = self.ask(host, "POST", "/api/facts", body, headers)
        if answer.status == 200:
            assert not answer.told["refused"], answer.text
            self.promised |= set(answer.told["taken"])
        return answer.said

    def send_until_taken(self, host: Host, facts: list[Raw]) -> None:
        """Send the same again until the host has it, as a phone does; a refusal other than "away" is a fault.

        A host that is away answers at once or after its watchdog: this waits for answers and for no time.
        """

        def is_taken() -> bool:
            try:
                said = self.send(host, facts)
            except NoAnswer:
                return False
            assert said in ((200, ""), AWAY), said
            return said != AWAY

        until(is_taken)

    def reaches_log(self, host: Host) -> bool:
        """Whether a host reads from the log again; after an outage each host notices that by itself."""
        said = self.ask(host, "GET", "/api/facts?limit=1").said
        assert said in ((200, ""), AWAY), said
        return said != AWAY

    def held(self, host: Host) -> list[tuple[int, str]]:
        """The number and the id of every fact that a host gives out."""
        return [(fact["seq"], fact["id"]) for fact in self.facts(host)]

    def facts(self, host: Host) -> list[Raw]:
        """Every fact that a host gives out."""
        found: list[Raw] = []
        while True:
            answer = self.ask(host, "GET", f"/api/facts?after={found[-1]['seq'] if found else 0}&limit=1000")
            assert answer.status == 200, answer.said
            found += answer.told["facts"]
            if not answer.told["more"]:
                return found

    def post(self, host: Host, path: str, **form: str) -> Answer:
        """Send a form."""
        token = self.ask(host, "GET", "/api/token")
        if token.status != 200:
            return token
        words = urlencode({**form, "csrf_token": token.told["csrf"]})
        return self.ask(host, "POST", path, words, {"Content-Type": "application/x-www-form-urlencoded"})

    def ask(self, host: Host, method: str, path: str, body: str = "", headers: dict[str, str] | None = None) -> Answer:
        """One request; NoAnswer when the host is not there or dies over it."""
        line = http.client.HTTPConnection("127.0.0.1", host.port, timeout=PATIENCE_S, source_address=(self.address, 0))
        cookies = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        try:
            line.request(method, path, body or None, {"Cookie": cookies, **(headers or {})})
            heard = line.getresponse()
            answer = Answer(heard.status, heard.headers, heard.read())
        except (OSError, http.client.HTTPException) as error:
            raise NoAnswer from error
        finally:
            line.close()
        for one in heard.headers.get_all("Set-Cookie") or []:
            name, _, value = one.partition(";")[0].partition("=")
            self.cookies[name] = value
        return answer


def notes(many: int) -> list[Raw]:
    """So many facts that hang on nothing."""
    return [raw("note", {"words": "a note of a phone"}, now()) for _ in range(many)]


def amiss(phones: list[Phone], hosts: list[Host]) -> tuple[int, int]:
    """How many promised facts a host lacks, and how many it holds twice or by another number than the first host."""
    lost = doubled = 0
    promised: dict[str, set[str]] = {}
    by_book = {phone.book_id: phone for phone in phones}
    for phone in phones:
        promised.setdefault(phone.book_id, set()).update(phone.promised)
    for book_id, phone in by_book.items():
        for host in hosts:
            until(partial(phone.reaches_log, host))
        first = phone.held(hosts[0])
        for host in hosts:
            held = phone.held(host)
            ids = [fact_id for _, fact_id in held]
            lost += len(promised[book_id] - set(ids))
            doubled += len(ids) - len(set(ids)) + len(set(held) ^ set(first))
    return lost, doubled


def _found(pattern: str, page: str) -> str:
    found = re.search(pattern, page)
    assert found, pattern
    return found[1]
