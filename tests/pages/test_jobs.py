"""Long imports and exports: jobs beside the server, one at a time, with a page that says how far they are."""

import fcntl
import json
import os
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from webapp import working
from webapp.moments import moved
from webapp.store import reading
from webapp.store.book import Book
from webapp.store.directory import Directory
from webapp.store.folder_lock import alone
from webapp.store.jobs import IMPORT, MOST_UNFINISHED, Job, Jobs

from ..factories import NOW, a_bucket, a_club, a_shot
from .test_leaving import HEADER, balls_of, bring, take
from .visitor import send, send_facts, words

BALLS = 12
LONGEST_S = 60


@pytest.fixture
def app(app: Flask) -> Flask:
    """An app to which a dozen balls are many."""
    app.config["BALLS_AT_ONCE"] = BALLS - 1
    return app


@pytest.fixture
def jobs(data: Path) -> Jobs:
    """The jobs of the data folder."""
    return Jobs(data)


def table(balls: int = BALLS, carry: str = "54") -> bytes:
    """A table of balls."""
    lines = [f"2025-04-30T10:{place // 60:02d}:{place % 60:02d}Z,56,9:00,{carry}\n" for place in range(balls)]
    return HEADER + "".join(lines).encode()


def over(player: FlaskClient) -> TestResponse:
    """The page of a job once nothing more becomes of it; until then it asks the browser to come again.

    A browser comes again after some seconds; this one waits for the process that does the job.
    """
    while "Refresh" in (page := player.get("/job")).headers:
        assert page.status_code == 200
        for worker in list(working._begun.values()):
            worker.wait(LONGEST_S)
    return page


def made(player: FlaskClient) -> tuple[bytes, Any]:
    """The file that a job made, and its headers."""
    with player.get("/job/file") as answer:
        assert answer.status_code == 200
        return answer.data, answer.headers


def fill(book: Book, balls: int = BALLS) -> None:
    """A book with some balls."""
    bucket, club = a_bucket(), a_club()
    shots = [a_shot(bucket, club, 40 + place, moved(NOW, seconds=place)) for place in range(balls)]
    assert book.add([bucket, club, *shots], None, moved(NOW, hours=1)).refused == []


def test_a_long_import_is_taken_beside_the_server_and_its_page_says_so(player: FlaskClient, book: Book) -> None:
    page = bring(player, table(), "balls.csv")
    assert page.request.path == "/job"
    assert f"{BALLS} balls came into the book; 0 were there already." in words(over(player))
    assert len(balls_of(book)) == BALLS
    data = book.path.parents[1]
    while Jobs(data).at_work():  # the file is let go just after the page says that it came
        player.get("/job")
    assert not list(data.glob("jobs/*/file")), "the file that was brought is let go"


def test_a_file_with_a_bad_row_is_refused_whole_with_its_line(player: FlaskClient, book: Book) -> None:
    bring(player, table() + b"never,56,9:00,50\n", "balls.csv")
    shown = words(over(player))
    assert "Your file was not taken. Nothing was changed." in shown
    assert f"Line {BALLS + 2}: made_at must be an ISO 8601 time" in shown
    assert book.cursor == 0


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"\xff\xfe" + table(), "The file is no table of balls: it is no text in an encoding known here."),
        (b"no table\n" * 20, "The file is no table of balls: the first line must name the columns"),
        (b'{"facts": [' + b'{"kind": 7},' * 20 + b"7]}", "This entry"),
        (b'{"facts": [' + b'{"kind": 7},' * 20, "it is not a whole book as this page gives it out"),
    ],
)
def test_a_long_file_that_does_not_fit_is_refused_in_words(
    player: FlaskClient, book: Book, content: bytes, sentence: str
) -> None:
    bring(player, content)
    assert sentence in words(over(player))
    assert book.cursor == 0


@pytest.mark.parametrize("name", ["shots.csv", "book.json", "book.sqlite"])
def test_the_file_of_a_large_book_is_what_a_small_ones_would_be(
    app: Flask, player: FlaskClient, book: Book, name: str
) -> None:
    fill(book)
    answer = player.get(f"/export/{name}")
    assert (answer.status_code, answer.location) == (303, "/job")
    assert f"Save {name}" in words(over(player))
    content, headers = made(player)
    assert headers["Content-Disposition"] == f"attachment; filename={name}"
    assert headers["Cache-Control"] == "no-store"
    app.config["BALLS_AT_ONCE"] = 1000
    at_once = take(player, name)
    if name == "book.json":  # all but the moment it was made
        assert json.loads(content)["facts"] == json.loads(at_once)["facts"]
    else:
        assert content == at_once


def test_however_often_its_page_is_looked_at_one_process_does_a_job(
    player: FlaskClient, book: Book, data: Path
) -> None:
    fill(book)
    player.get("/export/book.json")
    begun = {working._begun[data].pid}  # also one that has ended by now
    while "Refresh" in player.get("/job").headers:
        begun.add(working._begun[data].pid)
    assert len(begun) == 1


def test_a_large_book_comes_back_from_its_json(
    app: Flask, player: FlaskClient, book: Book, directory: Directory
) -> None:
    fill(book)
    player.get("/export/book.json")
    over(player)
    taken, _ = made(player)
    with directory.open_book(directory.new_book(NOW)) as other:
        phone = app.test_client()
        phone.set_cookie("book", directory.new_device(other.id, "Phone", NOW))
        bring(phone, taken)
        assert f"{book.cursor} entries came into the book; 0 were there already." in words(over(phone))
        assert balls_of(other) == balls_of(book)


@pytest.mark.files_only
def test_while_a_file_goes_in_phones_are_told_to_keep_what_they_have(
    player: FlaskClient, book: Book, jobs: Jobs, data: Path
) -> None:
    jobs.put(Job(book.id, IMPORT, NOW), lambda file: file.write_bytes(table()))
    job = jobs.of(book.id)
    assert job
    with jobs.alone():
        jobs.note(job.now("running", 0.25))
        page = player.get("/job")
        assert 'value="25"' in page.text
        assert "what phones note stays on them and follows" in words(page)
        answer = send_facts(player, [a_club()], book.id)
        assert (answer.status_code, answer.get_json()["error"]["code"]) == (503, "busy")
        assert player.get("/card").status_code == 200
    assert send_facts(player, [a_club()], book.id).status_code == 200, "a killed job shuts nobody out"
    working.work_off(data)
    assert f"{BALLS} balls came into the book" in words(over(player))


def test_a_second_file_waits_for_the_first_to_be_done(player: FlaskClient, book: Book, jobs: Jobs, data: Path) -> None:
    with_one = Job(book.id, IMPORT, NOW)
    with_one_before = Job(str(book.id).replace(book.id[0], "0" if book.id[0] != "0" else "1", 1), IMPORT, "2024")
    jobs.put(with_one, lambda file: file.write_bytes(table()))
    jobs.put(with_one_before, lambda file: file.write_bytes(table()))
    with jobs.alone():
        assert "waits its turn; 1 before it" in words(player.get("/job"))
        page = bring(player, table(BALLS + 5), "balls.csv")
        assert "One file at a time: the one before is not done yet, so nothing new was begun." in words(page)
    assert f"{BALLS} balls came into the book" in words(over(player))


def test_a_file_brought_as_the_one_before_ends_is_not_removed_with_it(
    book: Book, jobs: Jobs, data: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    jobs.put(Job(book.id, IMPORT, NOW), lambda file: file.write_bytes(table()))
    note, ended = Jobs.note, list[Job]()

    def note_and_bring(self: Jobs, job: Job) -> None:
        note(self, job)
        if not job.is_over:
            return
        ended.append(job)
        with suppress(BlockingIOError), (jobs.folder / ".putting").open() as lock:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            if len(ended) == 1:  # nobody holds the place shut, so another file can come into it now
                fcntl.flock(lock, fcntl.LOCK_UN)
                jobs.put(Job(book.id, IMPORT, NOW), lambda file: file.write_bytes(table(carry="60")))

    monkeypatch.setattr(Jobs, "note", note_and_bring)
    working.work_off(data)
    assert [job.state for job in ended] == ["done"]
    assert not jobs.file(book.id).exists()


def test_a_server_takes_so_many_jobs_and_no_more(player: FlaskClient, book: Book, jobs: Jobs) -> None:
    fill(book)
    jobs.folder.mkdir()
    with jobs.alone():
        for place in range(MOST_UNFINISHED):
            jobs.put(Job(f"{place}", "shots.csv", NOW))
        answer = player.get("/export/shots.csv")
    assert (answer.status_code, jobs.of(book.id)) == (503, None)
    assert "Nothing was begun; try again in some minutes." in words(answer)


def test_a_book_may_not_grow_beyond_its_size_by_a_file(app: Flask, player: FlaskClient, book: Book) -> None:
    app.config["MOST_BOOK"] = book.size_bytes() + 20_000
    bring(player, table(400), "balls.csv")
    assert "the book would hold more than the 0 MB that one may hold here" in words(over(player))
    assert book.cursor == 0


def test_a_job_that_was_killed_is_done_again_and_given_up_after_some_times(
    player: FlaskClient, book: Book, jobs: Jobs, data: Path
) -> None:
    jobs.put(
        Job(book.id, IMPORT, NOW, begun=working.MOST_BEGUN - 1, state="running"), lambda file: file.write_bytes(table())
    )
    assert f"{BALLS} balls came into the book" in words(over(player))
    jobs.put(
        Job(book.id, IMPORT, NOW, begun=working.MOST_BEGUN, state="running"), lambda file: file.write_bytes(table())
    )
    assert "ask for it once more, what is in the book already is not doubled" in words(over(player))


def test_a_deleted_book_leaves_no_job_and_no_file(player: FlaskClient, book: Book, jobs: Jobs) -> None:
    fill(book)
    player.get("/export/shots.csv")
    over(player)
    send(player, "/delete", yes="y")
    assert [path for path in jobs.folder.iterdir() if path.is_dir()] == []
    assert player.get("/job/file").status_code in (401, 410)


def test_a_folder_that_is_being_restored_has_its_jobs_left_alone(book: Book, jobs: Jobs, data: Path) -> None:
    jobs.put(Job(book.id, IMPORT, NOW), lambda file: file.write_bytes(table()))
    with alone(data):
        working.work_off(data)
    assert [job.state for job in jobs.unfinished()] == ["waiting"]
    working.work_off(data)
    assert jobs.unfinished() == []


def test_a_file_that_was_not_made_is_not_there(player: FlaskClient, book: Book) -> None:
    assert player.get("/job/file").status_code == 404
    assert "No file is being worked on." in words(player.get("/job"))
    bring(player, table(), "balls.csv")
    over(player)
    assert player.get("/job/file").status_code == 404


def test_what_has_been_over_for_a_day_is_let_go(book: Book, jobs: Jobs) -> None:
    for name, state in (("old", "done"), ("waits", "waiting"), ("new", "done")):
        jobs.put(Job(name, "shots.csv", NOW, state=state))
    for name in ("old", "waits"):
        os.utime(jobs.folder / name, (0, 0))
    (jobs.folder / ".half").mkdir()
    os.utime(jobs.folder / ".half", (0, 0))
    jobs.sweep()
    assert sorted(path.name for path in jobs.folder.iterdir() if path.is_dir()) == ["new", "waits"]


def test_only_its_owner_can_read_what_lies_there(player: FlaskClient, book: Book, jobs: Jobs) -> None:
    fill(book)
    player.get("/export/shots.csv")
    over(player)
    there: list[Any] = [jobs.folder, *jobs.folder.rglob("*")]
    assert [path for path in there if path.stat().st_mode & 0o077] == []


def test_two_wedges_begun_anew_go_with_the_facts_that_replace_them(player: FlaskClient, book: Book) -> None:
    """One transaction: a kill in between would leave both, and doing it again would find nothing new to judge by."""
    book.add([a_club("56", 56)], None, NOW)
    facts = [a_club("56", 55), *(a_bucket() for _ in range(BALLS))]
    bring(player, json.dumps({"facts": facts}).encode())
    assert f"{len(facts)} entries came into the book" in words(over(player))
    assert [club.loft_deg for club in reading.clubs(book)] == [55]


@pytest.mark.parametrize(
    "content",
    [HEADER + b"x,\n" * 300_000, HEADER + b"x,,,,,,,\n" * 200_000, b'{"facts": [' + b"0," * 500_000 + b"0]}"],
)
def test_a_file_of_nothing_but_wrong_rows_is_not_read_to_its_end(
    player: FlaskClient, book: Book, content: bytes
) -> None:
    """Each row's refusal takes some hundred bytes: of a 20 MB file they would fill the server's memory."""
    bring(player, content)
    shown = words(over(player))
    assert "And many more like these." in shown
    assert book.cursor == 0
