"""The numbers of the running server: what is counted, and who may ask."""

from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp import create_app
from webapp.moments import moment_of, moved
from webapp.store.book import Book
from webapp.store.copying import back_up
from webapp.store.directory import Directory

from ..conftest import SECRET
from ..factories import NOW, a_club
from .visitor import send_facts


@pytest.fixture
def app(data: Path) -> Flask:
    """An app that has answered nobody yet."""
    return create_app({"DATA": data, "SECRET": SECRET, "TESTING": True})


def numbers(client: FlaskClient, **headers: str) -> dict[str, float]:
    answer = client.get("/metrics", headers=headers)
    assert answer.status_code == 200
    lines = [line.rpartition(" ") for line in answer.text.splitlines() if not line.startswith("#")]
    return {name: float(value) for name, _, value in lines}


@pytest.mark.files_only
def test_answers_are_counted_by_page_status_and_code(player: FlaskClient, book: Book) -> None:
    send_facts(player, [a_club()], book.id)
    player.get("/nothing-here")
    told = numbers(player)
    assert told['clockyard_request_seconds_count{method="POST",page="api.take"}'] == 1
    assert told['clockyard_refusals_total{code="not_found"}'] == 1
    assert told['clockyard_answers_total{status="404"}'] == 1
    assert told["clockyard_open_books"] == 1
    assert told["clockyard_unfinished_jobs"] == 0
    assert told["clockyard_free_bytes"] > 0
    assert {'clockyard_estimates{how="made"}', 'clockyard_estimates{how="kept"}'} <= told.keys()
    assert any(name.startswith("clockyard_versions_info{") for name in told)


@pytest.mark.files_only
def test_the_age_of_the_last_copy_and_a_failed_one_are_told(
    app: Flask, player: FlaskClient, book: Book, directory: Directory, tmp_path: Path
) -> None:
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=2))
    assert numbers(player)["clockyard_backup_age_seconds"] != numbers(player)["clockyard_backup_age_seconds"]  # NaN
    list(back_up(directory, tmp_path / "copy", NOW))
    assert numbers(player)["clockyard_backup_age_seconds"] == 7200
    directory.note_backup(moved(NOW, hours=1), "the disk is full", str(tmp_path))
    assert numbers(player)["clockyard_backup_failed"] == 1


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({}, 200),
        ({"X-Forwarded-For": "198.51.100.7"}, 404),
        ({"X-Forwarded-For": "198.51.100.7", "Authorization": "Bearer a word of the owner"}, 200),
        ({"X-Forwarded-For": "198.51.100.7", "Authorization": "Bearer a guess"}, 404),
    ],
)
def test_only_this_machine_and_the_owners_word_are_answered(
    app: Flask, client: FlaskClient, headers: dict[str, str], status: int
) -> None:
    app.config["METRICS_TOKEN"] = "a word of the owner"
    assert client.get("/metrics", headers=headers).status_code == status


def test_another_machine_is_not_answered(client: FlaskClient) -> None:
    assert client.get("/metrics", environ_base={"REMOTE_ADDR": "198.51.100.7"}).status_code == 404


def test_no_word_lets_nobody_in_with_an_empty_one(client: FlaskClient) -> None:
    answer = client.get("/metrics", headers={"X-Forwarded-For": "198.51.100.7", "Authorization": "Bearer "})
    assert answer.status_code == 404


def test_a_broken_directory_is_a_number_and_no_fault(client: FlaskClient, data: Path, directory: Directory) -> None:
    directory.close()
    directory.path.write_bytes(b"")
    assert numbers(client)["clockyard_directory_usable"] == 0
