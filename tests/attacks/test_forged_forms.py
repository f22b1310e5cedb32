"""Forms and facts that no page of ours sent: refused at every address that takes writing."""

import pytest
from flask import Flask

from tests.factories import a_club
from tests.pages.visitor import token
from webapp import create_app
from webapp.store.directory import Directory

from .conftest import Owner, rules

ANOTHER_SERVER = {"SECRET": "another secret, quite as long as the first one", "RATELIMIT_ENABLED": False}


def forged_tokens(app: Flask, thief: Owner) -> dict[str, str]:
    """Tokens that are not this session's."""
    other_server = create_app({**ANOTHER_SERVER, "DATA": app.config["DATA"]})
    return {
        "none": "",
        "made up": "IjAi.Zm9v.YmFy",
        "of another session": token(thief.phone),
        "of another server": token(other_server.test_client()),
        "no text at all": "\x00<>'\"",
    }


@pytest.mark.parametrize("way", ["field", "header", "address"])
def test_no_address_takes_a_form_without_this_sessions_token(
    app: Flask, owner: Owner, thief: Owner, directory: Directory, way: str
) -> None:
    before, tried = owner.state(directory), 0
    for kind, forged in forged_tokens(app, thief).items():
        for rule in rules(app, "POST"):
            tried += 1
            address = owner.address(rule)
            fields = {"yes": "y", "loft_1": "56", "hand": "right", "unit": "yd", "do": "keep"}
            if way == "header":
                answer = owner.phone.post(address, data=fields, headers={"X-CSRFToken": forged.replace("\x00", "")})
            elif way == "address":
                answer = owner.phone.post(address, data=fields, query_string={"csrf_token": forged})
            else:
                answer = owner.phone.post(address, data={**fields, "csrf_token": forged})
            assert answer.status_code == 400, (kind, rule)
            assert "nothing was changed" in answer.get_data(as_text=True), rule
    assert tried > 50
    assert owner.state(directory) == before
    assert len(directory.books()) == 2


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE"])
def test_no_address_takes_another_method_of_writing(
    app: Flask, owner: Owner, directory: Directory, method: str
) -> None:
    before, csrf = owner.state(directory), token(owner.phone)
    for rule in {rule.rule: rule for rule in app.url_map.iter_rules() if rule.endpoint != "static"}.values():
        for headers in ({"X-CSRFToken": csrf}, {}):
            answer = owner.phone.open(owner.address(rule), method=method, headers=headers)
            assert answer.status_code in (400, 405), rule
    assert owner.state(directory) == before


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data"])
def test_facts_cannot_be_sent_by_a_form_of_another_site(owner: Owner, kind: str) -> None:
    before = owner.book.cursor
    answer = owner.phone.post("/api/facts", data=f'{{"facts": [{a_club()}]}}'.encode(), content_type=kind)
    assert answer.status_code == 400
    assert owner.book.cursor == before


def test_a_session_signed_elsewhere_is_none(app: Flask, owner: Owner) -> None:
    other = create_app({**ANOTHER_SERVER, "DATA": app.config["DATA"]})
    stranger = other.test_client()
    csrf = token(stranger)
    cookie = stranger.get_cookie("session")
    assert cookie
    owner.phone.set_cookie("session", cookie.value)
    assert owner.phone.post("/settings", data={"hand": "left", "csrf_token": csrf}).status_code == 400
