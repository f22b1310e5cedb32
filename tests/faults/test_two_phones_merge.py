"""Two phones and a server in any order of deeds, losses and clocks come to the same book, which equals a plain union.

The phones follow the outbox's rules in Python (outbox.py); the server is the real application on real files.
"""

import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from tests.browser.server import Server
from tests.conftest import SECRET
from tests.factories import a_bucket, a_club, a_shot
from webapp import create_app
from webapp.facts import Fact, fold
from webapp.moments import text_of
from webapp.store import reading
from webapp.store.directory import Directory
from webapp.units import YARD_M

from .outbox import Outbox

Raw = dict[str, Any]
PHONES = st.integers(0, 1)
CARRIES_M = st.integers(20, 120).map(lambda carry_yd: carry_yd * YARD_M)
PLACES = st.integers(0, 1000)
TOO_FAR_M = 900.0
CLOCKS = st.sampled_from([timedelta(0), timedelta(days=-20_000), timedelta(days=3650), timedelta(seconds=-7)])
FATES = st.sampled_from(
    ["heard", "answer lost", "twice", "not arrived", "in parts, last first", "in parts, buckets unheard"]
)


class TwoPhones(RuleBasedStateMachine):
    """What the server must hold is kept beside it: per root every version that arrived, by id."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.seconds = 0
        self.clocks = [timedelta(0), timedelta(0)]
        self.outboxes = [Outbox(), Outbox()]
        self.wire: list[tuple[int, list[Raw]]] = []
        self.arrived: dict[str, dict[str, Raw]] = {}
        self.is_cut_off = False

    @initialize(clocks=st.tuples(CLOCKS, CLOCKS))
    def begin(self, clocks: tuple[timedelta, timedelta]) -> None:
        """One book with a club, a bucket and three balls of the first phone that both phones know."""
        self.clocks = list(clocks)
        self.server = Server(Path(self.folder.name))
        of_server = {"DATA": self.server.data, "STORE_URL": self.server.store_url}
        self.app = create_app({**of_server, "SECRET": SECRET, "TESTING": True, "NOW": self._now})
        self.club, self.bucket = a_club(), a_bucket()
        with self.server.directory() as directory:
            self.book_id = directory.new_book(text_of(self._now()))
            self.lines = [self._line(directory) for _ in self.outboxes]
            self.book = directory.open_book(self.book_id)
        self.book.add([self.club, self.bucket], None, text_of(self._now()))
        for fact in (self.club, self.bucket):
            self.arrived[fact["root"]] = {fact["id"]: fact}
        self.fetch(0)
        for _ in range(3):
            self.strike(0, 50.0, 0)
        self.outboxes[0].end_of_fresh()
        self.send(0, "heard")
        self.fetch(1)

    @rule(phone=PHONES, carry_m=CARRIES_M, place=PLACES)
    def strike(self, phone: int, carry_m: float, place: int) -> None:
        buckets = self.outboxes[phone].shown("bucket")
        body = a_shot(buckets[place % len(buckets)], self.club, 50)["body"]
        self.outboxes[phone].add("shot", {**body, "carry_m": carry_m}, self._told(phone), fresh=True)

    @rule(phone=PHONES, fate=FATES)
    def strike_in_a_new_bucket(self, phone: int, fate: str) -> None:
        bucket = self.outboxes[phone].add("bucket", a_bucket()["body"], self._told(phone))
        self.outboxes[phone].add("shot", a_shot(bucket, self.club, 50)["body"], self._told(phone))
        self.send(phone, fate)

    @rule(phone=PHONES, place=PLACES)
    def end_a_bucket(self, phone: int, place: int) -> None:
        buckets = self.outboxes[phone].shown("bucket")
        self._correct(phone, buckets[place % len(buckets)], ended_at=text_of(self._now()))

    @rule(phone=PHONES, carry_m=CARRIES_M, place=PLACES)
    def correct(self, phone: int, carry_m: float, place: int) -> None:
        if shots := self.outboxes[phone].shown("shot"):
            self._correct(phone, shots[place % len(shots)], carry_m=carry_m)

    @rule(phone=PHONES, place=PLACES)
    def mistype(self, phone: int, place: int) -> None:
        if shots := self.outboxes[phone].shown("shot"):
            self._correct(phone, shots[place % len(shots)], carry_m=TOO_FAR_M)

    @rule(phone=PHONES, carry_m=CARRIES_M, old_copy_first=st.booleans())
    def mend_what_was_refused(self, phone: int, carry_m: float, old_copy_first: bool) -> None:
        for row in list(self.outboxes[phone].rows.values()):
            if row.state == "refused":
                if old_copy_first:
                    self._hand_over(phone, [row.fact])
                self.outboxes[phone].revise(row.fact, {"carry_m": carry_m}, self._told(phone))

    @rule(phone=PHONES, place=PLACES)
    def set_aside_or_restore(self, phone: int, place: int) -> None:
        if shots := self.outboxes[phone].shown("shot"):
            shot = shots[place % len(shots)]
            self._correct(phone, shot, aside=not shot["body"].get("aside"))

    @rule(phone=PHONES, place=PLACES)
    def withdraw(self, phone: int, place: int) -> None:
        if shots := self.outboxes[phone].shown("shot"):
            shot = shots[place % len(shots)]
            self.outboxes[phone].add("shot", None, self._told(phone), shot["root"], after=shot["made_at"])

    @rule(phone=PHONES, clock=CLOCKS)
    def set_the_clock(self, phone: int, clock: timedelta) -> None:
        self.clocks[phone] = clock

    @rule(phone=PHONES, carry_m=CARRIES_M)
    def mend_a_ball_whose_old_copy_arrives_first(self, phone: int, carry_m: float) -> None:
        self.strike_in_a_new_bucket(phone, "in parts, buckets unheard")
        self.mend_what_was_refused(phone, carry_m, old_copy_first=True)

    @rule(phone=PHONES, fate=FATES)
    def send_after_four_seconds_and_fetch(self, phone: int, fate: str) -> None:
        self.outboxes[phone].end_of_fresh()
        self.send(phone, fate)
        self.fetch(phone)

    @rule(phone=PHONES, fate=FATES)
    def send(self, phone: int, fate: str) -> None:
        facts = self.outboxes[phone].due()
        parts = [[fact] for fact in reversed(facts)] if fate.startswith("in parts") else [facts] if facts else []
        for part in parts:
            self.wire.append((phone, part))
            if fate == "not arrived":
                continue
            answer = self._hand_over(phone, part)
            if fate == "twice":
                answer = self._hand_over(phone, part)
            unheard = fate == "answer lost" or ("buckets unheard" in fate and part[0]["kind"] == "bucket")
            if answer and not unheard:
                self.outboxes[phone].settle(answer["taken"], answer["refused"])

    @precondition(lambda self: self.wire)
    @rule(place=PLACES)
    def an_old_request_arrives(self, place: int) -> None:
        self._hand_over(*self.wire[place % len(self.wire)])

    @rule(phone=PHONES)
    def fetch(self, phone: int) -> None:
        outbox = self.outboxes[phone]
        told = self.lines[phone].get(f"/api/facts?after={outbox.fetched}&limit=3").get_json()
        while "facts" in told:
            outbox.bring(told["facts"])
            outbox.fetched = told["cursor"]
            if not told["more"]:
                return
            told = self.lines[phone].get(f"/api/facts?after={outbox.fetched}&limit=3").get_json()
        assert self.is_cut_off
        assert phone == 1

    @precondition(lambda self: not self.is_cut_off)
    @rule(chance=st.integers(0, 19))
    def cut_off_the_second(self, chance: int) -> None:
        if chance == 7:
            with self.server.directory() as directory:
                second = next(one for one in directory.devices(self.book_id) if one.name == "phone 2")
                assert directory.cut_off(self.book_id, second.id, text_of(self._now()))
            self.is_cut_off = True

    @invariant()
    def the_server_holds_each_version_that_arrived_once(self) -> None:
        if not hasattr(self, "book"):
            return
        held = self.book.after(0, 10**6)
        versions = [(fact["root"], fact["id"], fact["body"]) for fact in held]
        wanted = [(root, id, fact["body"]) for root, versions in self.arrived.items() for id, fact in versions.items()]
        assert sorted(versions, key=str) == sorted(wanted, key=str)
        assert {shot["id"]: (shot["raw_carry_m"], shot["aside"]) for shot in reading.shots(self.book, most=10**6)} == {
            root: (body["carry_m"], bool(body.get("aside")))
            for root, body in self._shown().items()
            if body is not None and "carry_m" in body
        }

    def teardown(self) -> None:
        """The line is good again: every phone that may send has sent all, and all show the same."""
        if hasattr(self, "book"):
            self._come_to_rest()
            self.the_server_holds_each_version_that_arrived_once()
            self.book.close()
        self.folder.cleanup()

    def _come_to_rest(self) -> None:
        allowed = [0] if self.is_cut_off else [0, 1]
        for phone in allowed:
            outbox = self.outboxes[phone]
            outbox.end_of_fresh()
            for _ in range(3):  # what is refused for a number is mended; what was barred goes with its bucket
                for row in list(outbox.rows.values()):
                    if row.state == "refused" and row.fact["body"].get("carry_m") == TOO_FAR_M:
                        outbox.revise(row.fact, {"carry_m": 50.0}, self._told(phone))
                self.send(phone, "heard")
        for phone in allowed:
            self.fetch(phone)
            outbox = self.outboxes[phone]
            assert {row.state for row in outbox.rows.values()} == {"taken"}
            shown = fold(Fact(**row.fact) for row in outbox.rows.values())
            assert {root: fact.body for root, fact in shown.items()} == {
                root: body for root, body in self._shown().items() if body is not None
            }
        if self.is_cut_off:
            kept = self.outboxes[1].rows.values()
            assert all(row.state != "taken" or row.fact["id"] in self.arrived[row.fact["root"]] for row in kept)

    def _correct(self, phone: int, shown: Raw, **changes: Any) -> None:
        fact = self.outboxes[phone].revise(shown, changes, self._told(phone))
        assert fact["id"] == shown["id"] or fact["made_at"] > shown["made_at"]

    def _hand_over(self, phone: int, facts: list[Raw]) -> Raw | None:
        """One request that arrives; None where the server will not have the phone any more."""
        line = self.lines[phone]
        session = line.get("/api/session").get_json()
        token = session["csrf"] if "csrf" in session else session["error"]["csrf"]
        answer = line.post("/api/facts", json={"book": self.book_id, "facts": facts}, headers={"X-CSRFToken": token})
        if answer.status_code == 403:
            assert self.is_cut_off
            assert phone == 1
            return None
        told: Raw = answer.get_json()
        assert answer.status_code == 200, told
        by_id = {fact["id"]: fact for fact in facts}
        for id in told["taken"]:
            fact = by_id[id]
            first = self.arrived.setdefault(fact["root"], {}).setdefault(id, fact)
            assert first["body"] == fact["body"], "an id was taken with two contents"
        assert {one["code"] for one in told["refused"]} <= {"id_reused", "unknown_bucket", "out_of_range"}, told
        return told

    def _shown(self) -> dict[str, Raw | None]:
        """Per root what was said last, withdrawn for good where a withdrawal is among it: the plain rule."""
        return {
            root: None
            if any(fact["body"] is None for fact in versions.values())
            else max(versions.values(), key=lambda fact: (fact["made_at"], fact["id"]))["body"]
            for root, versions in self.arrived.items()
        }

    def _line(self, directory: Directory) -> FlaskClient:
        client = self.app.test_client()
        name = f"phone {len(directory.devices(self.book_id)) + 1}"
        client.set_cookie("book", directory.new_device(self.book_id, name, text_of(self._now())))
        return client

    def _now(self) -> datetime:
        """The server's clock: a second a question."""
        self.seconds += 1
        return datetime(2026, 5, 1, 9, 30, tzinfo=UTC) + timedelta(seconds=self.seconds)

    def _told(self, phone: int) -> str:
        """What the phone's own clock says."""
        return text_of(self._now() + self.clocks[phone])


TestTwoPhones = pytest.mark.usefixtures("log_of_servers")(TwoPhones.TestCase)
TestTwoPhones.settings = settings(max_examples=40, stateful_step_count=40, suppress_health_check=list(HealthCheck))
