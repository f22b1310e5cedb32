"""Whatever is sent to the phone's addresses and to every form: never a fault, and never a page that can't be read."""

import json
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.conftest import SECRET
from tests.factories import NOW, numbered
from tests.pages.visitor import token
from webapp import create_app
from webapp.books.coach_book import CoachBook
from webapp.facts import KINDS, SETTINGS, check
from webapp.fields import Field, is_uuid
from webapp.link_profile import Profile
from webapp.moments import moment_of, moved
from webapp.store.directory import Directory

from .conftest import facts_of_a_book, parts_of, rules

a_run = settings(derandomize=True, suppress_health_check=list(HealthCheck))
ODD = st.sampled_from(
    ["", "NaN", "sNaN", "-0", "1e999", "inf", "٣", "\x00", "<b>", "'", "=1", "\ud800", "9:00", "x" * 500, "🏌"]
)
anything = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**20), 10**20) | st.floats() | st.text(max_size=20) | ODD,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8) | ODD, inner, max_size=3),
    max_leaves=6,
)
FIRST_ROOTS = [numbered(number) for number in range(1, 6)]
TIMES = [moved(NOW, days=days) for days in (-400, -3, 0, 400)] + [
    "0001-01-02T00:00:00.000Z",
    "9997-12-31T23:59:59.999Z",
]


@pytest.fixture(scope="module")
def target(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """A phone of a full book on a server without limits: the app, the phone, a token, parts of addresses, facts."""
    data = tmp_path_factory.mktemp("anything") / "data"
    app = create_app({"DATA": data, "SECRET": SECRET, "RATELIMIT_ENABLED": False})
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=1))
    facts = facts_of_a_book("Heron", "Pellow Fen")
    with Directory(data) as directory, directory.open_book(directory.new_book(NOW)) as book:
        assert book.add(facts, None, NOW).refused == []
        phone = app.test_client()
        phone.set_cookie("book", directory.new_device(book.id, "Phone", NOW))
        link = directory.new_link(book.id, "", NOW, moved(NOW, days=14), {})
        homework_key = CoachBook(book, link, Profile()).homework()[0].key
    parts = {**parts_of(facts), "token": link, "code": link, "key": "a" * 16, "link_id": "none", "device_id": "none"}
    parts["homework_key"] = homework_key
    return app, phone, token(phone), parts, facts


def values_of(field: Field) -> st.SearchStrategy[Any]:
    """Values a field takes, its ends among them, and some it does not."""
    if field.choices:
        return st.sampled_from(field.choices)
    if field.low is not None and field.high is not None and field.misfit(field.low) == "":
        ends = [end for end in (field.low, field.high) if field.misfit(end) == ""]
        return st.sampled_from(ends) | st.integers(int(field.low) + 1, int(field.high))
    fitting = ("", "half", True, False, [], {}, None, NOW, "9998-12-31T23:59:59.999Z", ["a:b:c"], {"spin_rpm": 0})
    return st.sampled_from([value for value in fitting if field.misfit(value) == ""] or [NOW])


@st.composite
def sound_facts(draw: Any, known: dict[str, str]) -> list[dict[str, Any]]:
    """Facts that a book takes, at the ends of what is allowed: odd times, corrections, voids, the smallest numbers."""
    made = []
    for _ in range(draw(st.integers(1, 12))):
        kind = draw(st.sampled_from(list(KINDS)))
        fields = KINDS[kind]
        body = {name: draw(values_of(field)) for name, field in fields.items() if field.required or draw(st.booleans())}
        for name in ("bucket_id", "club_id", "follows"):
            if name in fields:
                body[name] = known["bucket_id" if name == "bucket_id" else "club_id"]
        if kind == "setting":
            body["name"] = draw(st.sampled_from(list(SETTINGS)))
            body["value"] = draw(values_of(SETTINGS[body["name"]]))
        fact_id = draw(st.uuids(version=4).map(str))
        root = draw(st.sampled_from([fact_id, fact_id, *FIRST_ROOTS[:2]]))
        gone = root != fact_id and draw(st.booleans())
        fact = {"id": fact_id, "root": root, "kind": kind, "made_at": draw(st.sampled_from(TIMES))}
        made.append({**fact, "body": None if gone else body})
    return made


@given(body=st.one_of(anything, st.fixed_dictionaries({"facts": st.lists(anything, max_size=4)})))
@a_run
def test_no_json_whatever_is_a_fault(target: Any, body: Any) -> None:
    _, phone, csrf, *_ = target
    text = json.dumps(body).encode()
    answer = phone.post("/api/facts", data=text, content_type="application/json", headers={"X-CSRFToken": csrf})
    assert answer.status_code in (200, 400, 409)


@given(data=st.data())
@a_run
def test_no_change_to_a_sound_fact_is_a_fault(target: Any, data: Any) -> None:
    _, phone, csrf, _, facts = target
    fact = json.loads(json.dumps(data.draw(st.sampled_from(facts))))
    fact["id"] = fact["root"] = data.draw(st.uuids().map(str))
    inside = data.draw(st.booleans())
    place = fact["body"] if inside else fact
    place[data.draw(st.sampled_from(sorted(place)))] = data.draw(anything)
    text = json.dumps({"facts": [fact]}).encode()
    answer = phone.post("/api/facts", data=text, content_type="application/json", headers={"X-CSRFToken": csrf})
    assert answer.status_code == 200
    told = answer.get_json()
    assert len(told["taken"]) + len(told["refused"]) == 1
    assert all(is_uuid(taken) for taken in told["taken"])


@given(data=st.data())
@settings(a_run, max_examples=8)
def test_no_sound_facts_make_a_page_that_cannot_be_read(target: Any, data: Any) -> None:
    app, phone, csrf, parts, _ = target
    facts = data.draw(sound_facts(parts))
    sound = [fact for fact in facts if check(fact) is None]
    assert len(sound) * 2 >= len(facts)
    told = phone.post("/api/facts", json={"facts": sound}, headers={"X-CSRFToken": csrf})
    assert told.status_code == 200
    unreadable = [(path, code) for path, code in _every_page(app, phone, parts) if code >= 500]
    assert unreadable == []


# Names that our forms' fields and questions bear.
FORM_FIELDS = [
    "name",
    "loft_1",
    "loft_2",
    "known_loft",
    "known_carry",
    "hand",
    "unit",
    "join_code",
    "new-name",
    "new-loft_deg",
    "new-carry",
    "new-sole_note",
    "clock",
    "swing_deg",
    "do",
    "label",
    "days",
    "nickname",
    "code",
    "yes",
    "gap_limit",
    "ball_limit",
    "judged_by",
    "ball",
    "thumb",
    "junior",
    "seen_from",
    "club_id",
    "mode",
    "meant_carry",
    "carry",
    "landed",
    "contact",
    "surface",
    "place",
    "wind",
    "wind_force",
    "bay_offset",
    "cell",
    "balls",
    "what",
    "words",
    "on",
    "lie",
    "meant",
    "direction",
    "temperature",
    "altitude",
    "reason",
    "aside",
    "delivery",
]


@given(data=st.data())
@settings(a_run, max_examples=60)
def test_no_form_whatever_is_a_fault(target: Any, data: Any) -> None:
    app, phone, csrf, parts, _ = target
    rule = data.draw(st.sampled_from([rule for rule in rules(app, "POST") if rule.rule != "/delete"]))
    text = st.text(max_size=12).filter(_is_sendable) | ODD.filter(_is_sendable) | st.sampled_from(list(parts.values()))
    fields = data.draw(st.dictionaries(st.sampled_from(FORM_FIELDS), text | st.integers(-5, 500).map(str), max_size=8))
    answer = phone.post(_address(rule, parts), data={**fields, "csrf_token": csrf})
    assert answer.status_code < 500
    assert "Something went wrong" not in answer.get_data(as_text=True)


@given(data=st.data())
@settings(a_run, max_examples=60)
def test_no_question_in_an_address_is_a_fault(target: Any, data: Any) -> None:
    app, phone, _, parts, _ = target
    pages = [rule for rule in rules(app, "GET") if rule.rule not in ("/export/book.sqlite", "/trends", "/sw.js")]
    rule = data.draw(st.sampled_from(pages))
    text = st.text(max_size=12).filter(_is_sendable) | ODD.filter(_is_sendable) | st.integers(-5, 500).map(str)
    names = st.sampled_from([*FORM_FIELDS, *rule.arguments, "ball", "paper", "after", "limit", "unit", "from", "to"])
    query = data.draw(st.dictionaries(names, text, max_size=6))
    assert phone.get(_address(rule, parts), query_string=query).status_code < 500


def _is_sendable(text: str) -> bool:
    try:
        text.encode()
    except UnicodeEncodeError:
        return False
    return True


def _address(rule: Any, parts: dict[str, str]) -> str:
    return str(rule.build({name: parts[name] for name in rule.arguments}, append_unknown=False)[1])


def _every_page(app: Flask, phone: FlaskClient, parts: dict[str, str]) -> list[tuple[str, int]]:
    return [
        (rule.rule, phone.get(_address(rule, parts)).status_code)
        for rule in rules(app, "GET")
        if rule.rule not in ("/sw.js", "/manifest.webmanifest")
    ]
