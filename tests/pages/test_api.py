"""What the phone's code talks to: session, facts in, facts out."""

import json
from math import inf, nan
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.facts import MOST_FACTS_A_BATCH
from webapp.store import reading
from webapp.store.book import Book
from webapp.store.copying import back_up
from webapp.store.directory import Directory

from ..factories import NOW, a_bucket, a_club, a_setting, a_shot, corrected, numbered, raw, voided
from .visitor import send_facts, token


def sent_raw(player: FlaskClient, body: bytes, kind: str = "application/json") -> Any:
    """The answer to a body as it stands."""
    return player.post("/api/facts", data=body, content_type=kind, headers={"X-CSRFToken": token(player)})


def test_a_session_names_the_book_its_newest_number_and_a_token(player: FlaskClient, book: Book) -> None:
    book.add([a_club()], None, NOW)
    told = player.get("/api/session").get_json()
    assert (told["book"], told["cursor"]) == (book.id, 1)
    assert told["csrf"]


def test_a_session_tells_whether_what_a_phone_fetched_and_sent_last_is_in_its_place(
    player: FlaskClient, book: Book
) -> None:
    first, second = a_club(), a_club("51")
    book.add([first, second], None, NOW)

    def in_place(**named: str) -> bool:
        return bool(player.get("/api/session", query_string=named).get_json()["in_place"])

    assert in_place()
    assert in_place(fetched=f"2 {second['id']}", sent=first["id"])
    assert not in_place(fetched=f"1 {second['id']}")
    assert not in_place(fetched=f"3 {second['id']}")
    assert not in_place(sent=raw("note", {"words": "never sent"})["id"])
    for nonsense in ("2", "x y", f"{2**70} {second['id']}", "2 not-an-id"):
        assert not in_place(fetched=nonsense)
    assert not in_place(sent="not-an-id")


def test_a_session_tells_how_far_the_book_lies_in_a_verified_copy(
    player: FlaskClient, book: Book, directory: Directory, tmp_path: Path
) -> None:
    book.add([a_club()], None, NOW)
    assert player.get("/api/session").get_json()["safe_cursor"] == 0
    list(back_up(directory, tmp_path / "copy", NOW))
    book.add([a_club("51")], None, NOW)
    told = player.get("/api/session").get_json()
    assert (told["safe_cursor"], told["cursor"]) == (1, 2)


def test_a_phone_without_a_book_gets_a_token_with_its_refusal(client: FlaskClient) -> None:
    answer = client.get("/api/session")
    assert answer.status_code == 401
    assert answer.get_json()["error"]["code"] == "no_book"
    assert answer.get_json()["error"]["csrf"]
    assert client.get("/api/token").get_json()["csrf"]


def test_facts_are_taken_by_name_and_shown(player: FlaskClient, book: Book) -> None:
    bucket, club = a_bucket(), a_club()
    shot = a_shot(bucket, club)
    told = send_facts(player, [bucket, club, shot], book.id).get_json()
    assert told == {"taken": [bucket["id"], club["id"], shot["id"]], "refused": [], "cursor": 3}
    assert len(reading.shots(book)) == 1


def test_the_same_batch_again_is_taken_again_and_changes_nothing(player: FlaskClient, book: Book) -> None:
    facts = [a_bucket(), a_club()]
    first, second = (send_facts(player, facts, book.id).get_json() for _ in range(2))
    assert first == second
    assert book.cursor == 2


def test_a_correction_and_a_void_are_taken(player: FlaskClient, book: Book) -> None:
    club = a_club()
    send_facts(player, [corrected(club, name="gap"), club], book.id)
    assert [one.name for one in reading.clubs(book)] == ["gap"]
    send_facts(player, [voided(club)], book.id)
    assert reading.clubs(book) == []


def test_a_made_up_time_is_noted_with_the_servers_own(player: FlaskClient, book: Book) -> None:
    bucket, club = a_bucket(), a_club()
    ahead = a_shot(bucket, club, made_at="2099-01-01T00:00:00.000Z")
    send_facts(player, [bucket, club, ahead], book.id)
    assert reading.shots(book)[0]["struck_at"] < "2099"


BUCKET, CLUB = a_bucket(), a_club()
SHOT = a_shot(BUCKET, CLUB)


@pytest.mark.parametrize(
    ("bad", "field", "code"),
    [
        (raw("putt", {}), "kind", "unknown_kind"),
        ({**a_club(), "kind": ["club"]}, "kind", "unknown_kind"),
        ({key: value for key, value in a_club().items() if key != "id"}, "id", "bad_id"),
        ({**a_club(), "id": 7}, "id", "bad_id"),
        ({**a_club(), "root": "x"}, "root", "bad_id"),
        ({**a_club(), "made_at": "now"}, "made_at", "bad_time"),
        ({**a_club(), "made_at": "2025-02-30T10:00:00.000Z"}, "made_at", "bad_time"),
        ({**a_club(), "made_at": "9999-12-31T23:59:59.999Z"}, "made_at", "bad_time"),
        ({**a_club(), "extra": 1}, "", "unknown_field"),
        ({**a_club(), "body": "56"}, "body", "bad_body"),
        (raw("club", None), "body", "bad_body"),
        (a_club("x" * 41, 56), "name", "out_of_range"),
        (a_club("<script>", 56), "name", "out_of_range"),
        (a_club("\ud800", 56), "name", "out_of_range"),
        (a_club("", 56), "name", "out_of_range"),
        (a_club("56", 35), "loft_deg", "out_of_range"),
        (a_club("56", 71), "loft_deg", "out_of_range"),
        (a_club("56", 10**400), "loft_deg", "out_of_range"),
        (raw("club", {"name": "56"}), "loft_deg", "missing"),
        (raw("club", {"name": "56", "loft_deg": 56, "color": "red"}), "color", "unknown_field"),
        (raw("shot", {**SHOT["body"], "carry_m": "far"}), "carry_m", "out_of_range"),
        (a_shot(BUCKET, CLUB, -1), "carry_m", "out_of_range"),
        (a_shot(BUCKET, CLUB, 401), "carry_m", "out_of_range"),
        (a_shot(BUCKET, CLUB, carry_m=None), "carry_m", "missing"),
        (a_shot(BUCKET, numbered(2)), "club_id", "unknown_club"),
        (a_shot(numbered(2), CLUB), "bucket_id", "unknown_bucket"),
        (a_shot(CLUB, CLUB), "bucket_id", "unknown_bucket"),
        (raw("club", CLUB["body"], root=BUCKET["id"]), "root", "wrong_root"),
        ({**CLUB, "body": {"name": "58", "loft_deg": 58}}, "id", "id_reused"),
        (a_setting("colour", "red"), "name", "out_of_range"),
        (a_setting("ball_limit", "many"), "value", "out_of_range"),
        *[(raw("table", {"chosen": {"a": odd}}), "chosen", "out_of_range") for odd in (nan, inf, "\ud800")],
        (7, "", "not_a_fact"),
        (None, "", "not_a_fact"),
    ],
)  # fmt: skip
def test_one_bad_fact_is_refused_in_words_and_never_blocks_the_others(
    player: FlaskClient, book: Book, bad: Any, field: str, code: str
) -> None:
    club = a_club("60")
    body = json.dumps({"book": book.id, "facts": [BUCKET, CLUB, bad, club]})
    answer = sent_raw(player, body.encode())
    told = answer.get_json()
    assert answer.status_code == 200
    assert told["taken"] == [BUCKET["id"], CLUB["id"], club["id"]]
    ((refused),) = told["refused"]
    assert (refused["field"], refused["code"]) == (field, code)
    assert refused["message"].endswith("It stays on the phone until it is mended.")


def test_a_name_of_an_unknown_club_in_a_full_carry_is_refused(player: FlaskClient, book: Book) -> None:
    told = send_facts(player, [raw("full_carry", {"club_id": numbered(3), "carry_m": 70})], book.id).get_json()
    assert told["refused"][0]["code"] == "unknown_club"


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"not json",
        b"[]",
        b"7",
        b"null",
        b"{}",
        b'{"facts": {}}',
        b'{"facts": null}',
        b"\xff\xfe",
        b'{"facts": ' + b"[" * 100_000,
        b"[" * 900_000,
        b'{"facts": [' + b"9" * 100_000 + b"]}",
    ],
)
def test_a_body_that_is_no_batch_takes_nothing_and_says_so(player: FlaskClient, book: Book, body: bytes) -> None:
    answer = sent_raw(player, body)
    assert answer.status_code == 400
    assert answer.get_json()["error"]["code"] == "bad_request"
    assert "The phone keeps them." in answer.get_json()["error"]["message"]
    assert book.cursor == 0


def test_a_form_is_no_batch(player: FlaskClient) -> None:
    assert sent_raw(player, b"facts=1", "application/x-www-form-urlencoded").status_code == 400


def test_a_batch_of_five_hundred_is_taken_and_one_more_is_not(player: FlaskClient, book: Book) -> None:
    buckets = [a_bucket() for _ in range(MOST_FACTS_A_BATCH + 1)]
    refused = send_facts(player, buckets, book.id)
    assert refused.status_code == 413
    assert refused.get_json()["error"]["code"] == "too_many_facts"
    assert book.cursor == 0
    assert len(send_facts(player, buckets[:MOST_FACTS_A_BATCH], book.id).get_json()["taken"]) == MOST_FACTS_A_BATCH


def test_five_megabytes_are_refused(player: FlaskClient, book: Book) -> None:
    answer = sent_raw(player, b'{"facts": ["' + b"x" * 5_000_000 + b'"]}')
    assert answer.status_code == 413
    assert answer.get_json()["error"]["code"] == "too_large"
    assert "what the phone holds stays on it" in answer.get_json()["error"]["message"]
    assert book.cursor == 0


def test_another_books_facts_are_not_taken(player: FlaskClient, book: Book) -> None:
    answer = send_facts(player, [a_club()], numbered(9))
    assert answer.status_code == 409
    assert answer.get_json()["error"]["code"] == "other_book"
    assert book.cursor == 0


def test_a_batch_without_a_token_brings_a_fresh_one_to_try_again_with(
    app: Flask, player: FlaskClient, book: Book
) -> None:
    answer = player.post("/api/facts", json={"facts": [a_club()]})
    error = answer.get_json()["error"]
    assert (answer.status_code, error["code"]) == (400, "csrf")
    assert book.cursor == 0
    again = player.post("/api/facts", json={"facts": [a_club()]}, headers={"X-CSRFToken": error["csrf"]})
    assert again.status_code == 200


@pytest.mark.parametrize("cookie", ["", "made-up", "x" * 3000])
def test_an_unknown_phone_keeps_what_it_has(client: FlaskClient, cookie: str) -> None:
    client.set_cookie("book", cookie)
    for answer in (send_facts(client, [a_club()]), client.get("/api/facts")):
        assert answer.status_code == 401
        assert "What it noted stays on it" in answer.get_json()["error"]["message"]


def test_facts_are_given_in_order_page_by_page(player: FlaskClient, book: Book) -> None:
    clubs = [a_club(str(loft)) for loft in (46, 50, 54, 58, 62)]
    book.add(clubs, None, NOW)
    first = player.get("/api/facts?after=0&limit=3").get_json()
    assert [fact["id"] for fact in first["facts"]] == [club["id"] for club in clubs[:3]]
    assert (first["cursor"], first["more"]) == (3, True)
    rest = player.get(f"/api/facts?after={first['cursor']}&limit=3").get_json()
    assert [fact["seq"] for fact in rest["facts"]] == [4, 5]
    assert (rest["cursor"], rest["more"]) == (5, False)
    assert player.get("/api/facts?after=5").get_json() == {"facts": [], "cursor": 5, "more": False}


@pytest.mark.parametrize(
    "query", ["after=-1", "after=x", "limit=0", "limit=-5", "limit=x", "after=" + "9" * 30, "after="]
)
def test_a_strange_question_for_facts_is_answered(player: FlaskClient, book: Book, query: str) -> None:
    book.add([a_club()], None, NOW)
    assert player.get(f"/api/facts?{query}").status_code == 200


def test_more_than_a_thousand_facts_are_never_given_at_once(player: FlaskClient, book: Book) -> None:
    book.add([a_setting("nickname", str(number)) for number in range(1001)], None, NOW)
    told = player.get("/api/facts?limit=100000").get_json()
    assert (len(told["facts"]), told["more"]) == (1000, True)


def test_a_phone_is_named_with_each_fact_it_sent(player: FlaskClient, book: Book, directory: Directory) -> None:
    club = a_club()
    send_facts(player, [club], book.id)
    assert book.history(club["id"])[0]["device"] == directory.devices(book.id)[0].id
