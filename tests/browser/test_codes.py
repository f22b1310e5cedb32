"""Codes that come in an address's fragment: the page takes them into its box and out of the address."""

from playwright.sync_api import Page, expect

from webapp.moments import moved

from .chromium import now
from .server import Server

CODE = "ABCDEFGHIJ"


def test_a_recovery_sheets_picture_fills_the_box_and_leaves_no_code_in_the_history(page: Page, server: Server) -> None:
    page.goto(f"{server.url}/open#{CODE}")
    expect(page.get_by_label("code", exact=True)).to_have_value(CODE)
    assert page.url == f"{server.url}/open"
    page.goto(f"{server.url}/open#OTHER12345")  # in the same tab: the page stands as it is
    expect(page.get_by_label("code", exact=True)).to_have_value("OTHER12345")
    assert page.url == f"{server.url}/open"


def test_a_clinics_address_starts_a_book_and_names_its_code_in_no_address(page: Page, server: Server) -> None:
    with server.directory() as directory:
        number = directory.new_clinic(CODE, "", 1, now(), moved(now(), hours=1))
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(f"{server.url}/clinic#{CODE}")
    expect(page.get_by_label("code of the clinic")).to_have_value(CODE)
    with page.expect_response(lambda answer: "/start/dial?" in answer.url):
        page.get_by_label("second wedge").fill("50")
    page.get_by_role("button", name="Start my book").tap()
    page.wait_for_url("**/card")
    # The first address is the one typed; a browser sends its fragment to nobody (RFC 9110, section 4.2.3, from memory).
    assert not [address for address in asked if CODE in address.partition("#")[0]]
    with server.directory() as directory:
        assert [one.used for one in directory.clinics() if one.number == number] == [1]
