"""Whatever the line does to whatever is sent, each fact ends in the server's book exactly once.

The faults are those a phone meets between a range and a server; their list is the project's own.
"""

from collections.abc import Callable
from typing import Any

import pytest

from tests.browser.chromium import facts_of, now
from tests.browser.server import Server
from tests.browser.waiting import while_time_stands
from tests.factories import a_shot

from .phone import Phone
from .proxy import (
    FAULTS,
    SILENT,
    Fault,
    Proxy,
    answer_500,
    duplicate_late,
    lose_the_answer,
    refuse,
    stall_in_the_answer,
)

Row = dict[str, Any]
BUCKET = {"place": "Pellow Fen", "surface": "mat", "ball": "range", "judged_by": "monitor"}


def shot_of(bucket: Row, club_id: str) -> Row:
    return {
        "bucket_id": bucket["root"], "club_id": club_id, "swing_deg": 90, "mode": "swing", "carry_m": 49.3776,
        "landed": "seen", "contact": "clean", "judged_by": "monitor", "aside": False,
    }  # fmt: skip


def begin(phone: Phone, bucket: Row, shot: Row) -> Row:
    return phone.note("bucket", BUCKET)


def strike(phone: Phone, bucket: Row, shot: Row) -> Row:
    return phone.note("shot", shot["body"])


def correct(phone: Phone, bucket: Row, shot: Row) -> Row:
    return phone.change(shot, carry_m=45.72)


def withdraw(phone: Phone, bucket: Row, shot: Row) -> Row:
    return phone.note("shot", None, shot["root"])


def end(phone: Phone, bucket: Row, shot: Row) -> Row:
    return phone.change(bucket, ended_at=now())


WRITES: tuple[Callable[[Phone, Row, Row], Row], ...] = (begin, strike, correct, withdraw, end)


@pytest.fixture(scope="module")
def visit(phone: Phone, server: Server) -> tuple[Row, list[Row]]:
    """A bucket and balls that the server has: one for each fault that meets a correction or a withdrawal."""
    club_id = next(fact["id"] for fact in facts_of(server, phone.book_id) if fact["kind"] == "club")
    bucket = phone.note("bucket", BUCKET)
    shots = [phone.note("shot", shot_of(bucket, club_id)) for _ in FAULTS]
    phone.wait_until_nothing_waits()
    return bucket, shots


@pytest.mark.parametrize("write", WRITES, ids=lambda write: write.__name__)
@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.__name__)
def test_each_fact_is_on_the_server_once_and_nothing_waits(
    phone: Phone, server: Server, proxy: Proxy, visit: tuple[Row, list[Row]],
    fault: Fault, write: Callable[[Phone, Row, Row], Row],
) -> None:  # fmt: skip
    bucket, shots = visit
    held, heard = facts_of(server, phone.book_id), phone.heard()
    proxy.fail(fault)
    row = write(phone, bucket, shots[FAULTS.index(fault)])
    assert proxy.struck.wait(30)
    if fault in SILENT:
        phone.run_out_of_patience()
    phone.wait_to_hear(heard)
    phone.signal_is_back()
    phone.wait_until_nothing_waits()
    proxy.let_late_ones_through()
    came = facts_of(server, phone.book_id)[len(held) :]
    assert [(fact["id"], fact["root"], fact["body"]) for fact in came] == [(row["id"], row["root"], row["body"])]


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.__name__)
def test_a_ball_goes_out_although_the_line_fails_before_it_is_sent(
    phone: Phone, server: Server, proxy: Proxy, visit: tuple[Row, list[Row]], fault: Fault
) -> None:
    held, heard = facts_of(server, phone.book_id), phone.heard()
    phone.wait_until_idle()
    proxy.fail(fault, b"GET /api/session")
    row = strike(phone, visit[0], visit[1][0])
    assert proxy.struck.wait(30)
    if fault in SILENT:
        phone.run_out_of_patience()
    phone.wait_to_hear(heard)
    phone.signal_is_back()
    phone.wait_until_nothing_waits()
    proxy.let_late_ones_through()
    assert [fact["id"] for fact in facts_of(server, phone.book_id)[len(held) :]] == [row["id"]]


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.__name__)
def test_what_another_phone_noted_comes_down_although_the_line_fails_and_nothing_goes_up_twice(
    phone: Phone, server: Server, proxy: Proxy, visit: tuple[Row, list[Row]], fault: Fault
) -> None:
    phone.wait_until_idle()
    heard = phone.heard()
    other = a_shot(visit[0]["root"], visit[1][0]["body"]["club_id"], made_at=now())
    with server.directory() as directory, directory.open_book(phone.book_id) as book:
        assert book.add([other], None, now()).refused == []
    asked = len(proxy.asked)
    proxy.fail(fault, b"GET /api/facts")
    strike(phone, visit[0], visit[1][0])
    assert proxy.struck.wait(30)
    if fault in SILENT:
        phone.run_out_of_patience()
    phone.wait_to_hear(heard)
    phone.wait_until_idle()  # told in mid exchange, it would begin another one after it, unseen from here
    phone.signal_is_back()
    phone.wait_until_it_has(other["id"])
    phone.wait_until_idle()
    assert proxy.asked[asked:].count("POST /api/facts") == 1


def test_it_tries_again_by_itself_and_less_often_each_time(
    phone: Phone, server: Server, proxy: Proxy, visit: tuple[Row, list[Row]]
) -> None:
    phone.wait_until_idle()
    heard, clock = phone.heard(), phone.page.clock
    with while_time_stands(phone.page):
        proxy.fail(refuse)
        row = strike(phone, visit[0], visit[1][0])
        phone.let_a_try_end()
        clock.run_for(10)
        for fault, wait_ms in ((answer_500, 5000), (lose_the_answer, 10_000), (None, 20_000)):
            assert phone.wait_to_hear(heard) != "ok"
            phone.let_a_try_end()
            heard = phone.heard()
            clock.run_for(wait_ms - 100)
            phone.let_a_try_end()
            assert phone.heard() == heard
            if fault:
                proxy.fail(fault)
            clock.run_for(200)
    phone.wait_until_nothing_waits()
    assert [fact["id"] for fact in facts_of(server, phone.book_id)].count(row["id"]) == 1


def test_an_old_copy_of_a_mended_fact_does_not_undo_the_mending(
    phone: Phone, server: Server, proxy: Proxy, visit: tuple[Row, list[Row]]
) -> None:
    phone.wait_until_idle()
    heard = phone.heard()
    body = visit[1][0]["body"]
    lost = phone.page.evaluate("() => phone.newFact('bucket', {}).id")  # a bucket that is not here yet
    proxy.fail(duplicate_late)
    row = phone.note("shot", {**body, "bucket_id": lost})
    phone.wait_to_hear(heard)
    assert [one["state"] for one in phone.rows() if one["id"] == row["id"]] == ["refused"]
    proxy.fail(stall_in_the_answer)
    bucket_row = phone.page.evaluate(
        "async ([book, id, body]) => (await phone.add(book, [{ ...phone.newFact('bucket', body), id, root: id }]))[0]",
        [phone.book_id, lost, BUCKET],
    )
    assert proxy.stalled.wait(30)
    proxy.let_late_ones_through()
    mended = phone.change({**row, "made_at": ""}, carry_m=40.0)
    assert mended["id"] == row["id"]
    phone.run_out_of_patience()
    phone.signal_is_back()
    phone.wait_until_nothing_waits()
    held = [fact for fact in facts_of(server, phone.book_id) if fact["root"] == row["root"]]
    assert [fact["body"]["carry_m"] for fact in held] == [body["carry_m"], 40.0]
    assert bucket_row["id"] in {fact["id"] for fact in facts_of(server, phone.book_id)}
