"""One visitor is one visitor to the limits, whatever address of theirs is used.

Source: RFC 4291, 2.5.1 (the low 64 bits name an interface) and 2.5.5.2 (IPv4-mapped addresses), from memory.
"""

import pytest
from flask import Flask

from tests.conftest import SECRET
from tests.pages.visitor import send
from webapp import create_app


@pytest.fixture
def app(data: object) -> Flask:
    """A server that lets each address start one book an hour."""
    return create_app({"DATA": data, "SECRET": SECRET, "STARTS_AN_HOUR": 1})


@pytest.mark.parametrize(
    ("one", "other", "status"),
    [
        ("2001:db8:1:2::1", "2001:db8:1:2:ffff::9", 429),
        ("2001:db8:1:2::1", "2001:db8:1:3::1", 302),
        ("198.51.100.7", "::ffff:198.51.100.7", 429),
        ("198.51.100.7", "198.51.100.8", 302),
    ],
)
def test_a_household_starts_so_many_books_by_whichever_of_its_addresses(
    app: Flask, one: str, other: str, status: int
) -> None:
    found = []
    for address in (one, other):
        phone = app.test_client()
        phone.environ_base["REMOTE_ADDR"] = address
        found.append(send(phone, "/start", follow=False, hand="right", unit="yd", loft_1="56").status_code)
    assert found == [302, status]
