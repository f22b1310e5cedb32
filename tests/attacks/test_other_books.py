"""Another player's book by every route there is: its ids open nothing and change nothing."""

from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.factories import a_bucket, a_club, a_shot, corrected, voided
from tests.pages.visitor import send, send_facts, token
from webapp import codes
from webapp.moments import moved
from webapp.store import reading
from webapp.store.directory import Directory, hash_of

from .conftest import PRIVATE_WORDS, Owner, rules

# The metrics are for the server's own machine, from which these tests ask; the dial is the first page's.
OPEN_TO_ALL = {
    "/", "/open", "/deleted", "/healthz", "/metrics", "/start/dial", "/sw.js", "/manifest.webmanifest", "/api/token",
    "/without-signal", "/start/without-signal", "/start/file", "/clinic", "/players", "/tablet",
    "/tablet/<code>",
}  # fmt: skip
# The last changes the phone's own cookie and nothing else.
NEEDS_NO_BOOK = {"/start", "/start/file", "/demo", "/open", "/round", "/tablet/<code>"}
# The buttons that one form has several of, and where.
DEEDS = {
    "retire {club}": ("/bag/set",),
    "replace {club}": ("/bag/set",),
    "same": ("/bucket/start",),
    "task": ("/bucket/start",),
    "name": ("/settings/swings",),
    "remove": ("/settings/swings",),
}


def no_private_word(answer: Any) -> None:
    """Nothing of the robbed player is in an answer."""
    told = answer.get_data(as_text=True) + str(answer.headers)
    assert [word for word in PRIVATE_WORDS if word in told] == []


def test_the_owner_sees_the_words_that_these_tests_look_for(owner: Owner, app: Flask) -> None:
    told = "".join(
        owner.phone.get(owner.address(rule)).get_data(as_text=True)
        for rule in rules(app, "GET")
        if rule.rule != "/export/book.sqlite"
    )
    assert [word for word in PRIVATE_WORDS if word not in told] == []


def test_every_address_with_anothers_id_is_refused(
    app: Flask, owner: Owner, thief: Owner, directory: Directory
) -> None:
    before, tried = owner.state(directory), 0
    for method in ("GET", "POST"):
        for rule in rules(app, method):
            if not rule.arguments or "token" in rule.arguments:
                continue
            tried += 1
            headers = {"X-CSRFToken": token(thief.phone)} if method == "POST" else {}
            answer = thief.phone.open(owner.address(rule), method=method, headers=headers, follow_redirects=True)
            assert answer.status_code < 500, rule
            assert method == "POST" or answer.status_code == 404, rule
            no_private_word(answer)
    assert tried >= 4
    assert owner.state(directory) == before


def test_every_form_with_anothers_ids_in_it_changes_nothing_of_theirs(
    app: Flask, owner: Owner, thief: Owner, directory: Directory
) -> None:
    before = owner.state(directory)
    fields: dict[str, Any] = {**owner.parts, "book": owner.book.id, "cell": f"{owner.parts['club_id']}:90", "yes": ""}
    for club in reading.clubs(owner.book):
        fields.update({f"{club.id}-name": "taken", f"{club.id}-loft_deg": "50"})
    club = owner.parts["club_id"]
    deeds = [(rule, "keep") for rule in rules(app, "POST")]
    deeds += [(rule, deed) for rule, _ in deeds for deed in DEEDS if rule.rule in DEEDS[deed]]
    for rule, deed in deeds:
        answer = send(thief.phone, owner.address(rule), follow=False, **{**fields, "do": deed.format(club=club)})
        assert answer.status_code < 500, rule
        no_private_word(answer)
    assert owner.state(directory) == before


def test_facts_that_name_anothers_facts_touch_only_the_senders_book(owner: Owner, thief: Owner) -> None:
    before = owner.book.after(0, 10_000)
    theirs = {fact["kind"]: {name: fact[name] for name in ("id", "root", "kind", "made_at", "body")} for fact in before}
    bucket, club = a_bucket(), a_club()
    told = send_facts(
        thief.phone,
        [
            corrected(theirs["club"], name="taken"),
            voided(theirs["shot"]),
            a_shot(theirs["bucket"], theirs["club"]),
            bucket,
            a_shot(bucket, theirs["shot"]["body"]["club_id"]),
            club,
        ],
    ).get_json()
    assert {refused["code"] for refused in told["refused"]} == {"unknown_bucket", "unknown_club"}
    assert owner.book.after(0, 10_000) == before
    assert send_facts(thief.phone, [club], owner.book.id).status_code == 409


def test_without_a_cookie_no_address_shows_or_changes_a_book(app: Flask, owner: Owner, directory: Directory) -> None:
    before = owner.state(directory)
    for rule in rules(app, "GET"):
        if rule.rule in OPEN_TO_ALL or "token" in rule.arguments:
            continue
        answer = app.test_client().get(owner.address(rule))
        assert answer.status_code == 401, rule
        no_private_word(answer)
    for rule in rules(app, "POST"):
        if rule.rule in NEEDS_NO_BOOK:
            continue
        answer = send(app.test_client(), owner.address(rule), follow=False, yes="y")
        assert answer.status_code == 401, rule
    assert owner.state(directory) == before


def forgeries(owner: Owner) -> dict[str, str]:
    """Cookies that resemble the right one."""
    return {
        "the id of the book": owner.book.id,
        "the id of the phone": owner.parts["device_id"],
        "the link's secret": owner.link,
        "the kept fingerprint": hash_of(owner.secret).hex(),
        "one character less": owner.secret[:-1],
        "one character more": f"{owner.secret}A",
        "other capitals": owner.secret.swapcase(),
        "a guess": "A" * len(owner.secret),
        "a percent sign": f"{owner.secret}%",
        "another script": "ü" * 20,
    }


def test_a_forged_cookie_opens_nothing(app: Flask, owner: Owner) -> None:
    for forgery, cookie in forgeries(owner).items():
        client = app.test_client()
        client.set_cookie("book", cookie)
        for path in ("/card", "/api/session", "/api/facts", "/export/book.json"):
            answer = client.get(path)
            assert answer.status_code == 401, forgery
            no_private_word(answer)


@pytest.mark.parametrize(
    "raw_cookie", [b"book=\xff\xfe\x00", b"book=\xed\xa0\x80", b"book", b"=;;=,", b"session=\xff; phone=\xff"]
)
def test_a_cookie_that_is_no_text_opens_nothing(app: Flask, raw_cookie: bytes) -> None:
    answer = app.test_client().get("/card", environ_overrides={"HTTP_COOKIE": raw_cookie.decode("latin-1")})
    assert answer.status_code == 401


def test_a_phone_that_was_cut_off_is_shut_out_of_every_address(app: Flask, owner: Owner, directory: Directory) -> None:
    cut = app.test_client()
    cut.set_cookie("book", owner.secret)
    own = directory.devices(owner.book.id)[0]
    directory.cut_off(owner.book.id, own.id, moved(own.created_at, hours=1))
    _shut_out(app, owner, cut, 403, directory)


def test_the_cookie_of_a_deleted_book_is_dead_at_every_address(app: Flask, owner: Owner, directory: Directory) -> None:
    replayed = app.test_client()
    replayed.set_cookie("book", owner.secret)
    send(owner.phone, "/delete", yes="y")
    owner.book.close()
    _shut_out(app, owner, replayed, 410, None)
    assert not owner.book.path.exists()


def _shut_out(app: Flask, owner: Owner, phone: FlaskClient, status: int, directory: Directory | None) -> None:
    before = owner.state(directory) if directory else None
    for rule in rules(app, "GET"):
        if rule.rule in OPEN_TO_ALL or "token" in rule.arguments:
            continue
        phone.set_cookie("book", owner.secret)  # a page of a deleted book takes the cookie back
        answer = phone.get(owner.address(rule))
        assert answer.status_code == status, rule
        no_private_word(answer)
    for rule in rules(app, "POST"):
        if rule.rule in NEEDS_NO_BOOK:
            continue
        phone.set_cookie("book", owner.secret)
        assert send(phone, owner.address(rule), follow=False, yes="y").status_code == status, rule
    if directory:
        assert owner.state(directory) == before


@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE"])
def test_a_link_cannot_be_written_to_with_any_method(
    app: Flask, owner: Owner, thief: Owner, directory: Directory, method: str
) -> None:
    before = owner.state(directory)
    for rule in rules(app, "GET"):
        if "token" not in rule.arguments:
            continue
        for query in ("", "?_method=DELETE", "?do=keep"):
            answer = thief.phone.open(
                owner.address(rule) + query,
                method=method,
                data={"csrf_token": token(thief.phone), "_method": "PUT"},
                headers={"X-HTTP-Method-Override": "DELETE"},
            )
            assert answer.status_code == 405
            assert set(answer.allow) == {"GET", "HEAD", "OPTIONS"}
    assert owner.state(directory) == before


def test_a_link_is_no_key_to_anything_else(app: Flask, owner: Owner, directory: Directory) -> None:
    reader = app.test_client()
    assert reader.get(f"/w/{owner.link}").status_code == 200
    assert "Set-Cookie" not in reader.get(f"/w/{owner.link}").headers
    assert send(reader, "/open", code=owner.link).status_code == 404
    assert reader.get("/api/facts", headers={"Authorization": f"Bearer {owner.link}"}).status_code == 401
    for path in ("/export/book.json", "/settings", "/api/facts"):
        assert reader.get(f"/w/{owner.link}{path}").status_code == 404


def test_a_book_read_through_a_link_is_open_for_reading_only(owner: Owner, directory: Directory) -> None:
    with directory.open_book(owner.book.id, read_only=True) as opened, pytest.raises(Exception, match="readonly"):
        opened.conn.execute("DELETE FROM facts")
    assert owner.book.cursor > 0


def test_codes_of_two_books_never_open_each_other(owner: Owner, thief: Owner, directory: Directory) -> None:
    mine, theirs = codes.new_code(), codes.new_code()
    directory.set_recovery(thief.book.id, mine, "2025-05-01T00:00:00.000Z")
    directory.set_recovery(owner.book.id, theirs, "2025-05-01T00:00:00.000Z")
    send(thief.phone, "/open", code=mine)
    assert thief.phone.get("/api/session").get_json()["book"] == thief.book.id
