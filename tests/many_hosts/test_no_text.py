"""What PostgreSQL's text cannot hold (U+0000; its manual, 8.3) is refused in words, and nothing of it is kept."""

import json

from tests.factories import a_club, a_setting, raw

from .hosts import Host, Phone, notes

NUL = "a\x00b"


def test_a_fact_with_a_nul_is_refused_and_the_others_of_its_batch_are_taken(hosts: list[Host]) -> None:
    phone, good = Phone().start_book(hosts[0]), notes(1)
    club = a_club()
    bad = [
        raw("club", {**club["body"], "name": NUL}),
        raw("note", {"words": NUL}),
        a_setting("nickname", NUL),
        a_setting("hidden_cells", [NUL]),
    ]
    bad += [{**one, name: NUL} for one in notes(1) for name in ("id", "root", "kind", "made_at")]
    session = phone.ask(hosts[0], "GET", "/api/session").told
    headers = {"X-CSRFToken": session["csrf"], "Content-Type": "application/json"}
    before = phone.held(hosts[1])
    body = json.dumps({"book": phone.book_id, "facts": [*bad, *good]})
    answer = phone.ask(hosts[0], "POST", "/api/facts", body, headers)
    assert answer.status == 200, answer.said
    assert (len(answer.told["refused"]), answer.told["taken"]) == (len(bad), [good[0]["id"]])
    assert [fact_id for _, fact_id in phone.held(hosts[1])] == [*(key for _, key in before), good[0]["id"]]
    other = json.dumps({"book": NUL, "facts": good})
    assert phone.ask(hosts[0], "POST", "/api/facts", other, headers).status in (400, 403, 409)


def test_a_form_or_an_address_with_a_nul_changes_nothing(hosts: list[Host]) -> None:
    phone = Phone().start_book(hosts[0])
    link, _ = phone.coach_link(hosts[0])
    before = phone.held(hosts[0])
    for path, form in {
        "/links": {"days": "14", "shows": "shots", "label": NUL},
        "/links/a%00b/end": {},
        "/phones/a%00b/cut-off": {},
        "/open": {"code": NUL},
        "/bag/nickname": {"nickname": NUL},
    }.items():
        assert phone.post(hosts[0], path, **form).status in (302, 400, 403, 404), path
    for path in ("/w/a%00b", "/tablet/a%00b", "/card/a%00b/90"):
        assert phone.ask(hosts[0], "GET", path).status in (400, 404, 410), path
    stranger = Phone(cookies={"book": '"a\\000b"'})  # as cookies spell it (RFC 2109's quoting, as Python reads it)
    assert stranger.ask(hosts[0], "GET", "/api/session").status == 401
    assert phone.ask(hosts[0], "GET", "/links").text.count("/end") == 1
    assert Phone().ask(hosts[1], "GET", link).status == 200
    assert phone.held(hosts[1]) == before
