"""Commands, settings and numbers of a host with a log, and what is said of a log that cannot be used."""

from datetime import UTC, datetime
from pathlib import Path

import psycopg
import pytest
from click.testing import CliRunner, Result

from webapp import create_app
from webapp.cli import main
from webapp.config import kept_secret, settings
from webapp.doctor import examine
from webapp.store.open_directory import open_directory

from .postgres import Cluster


def run(url: str, *words: object) -> Result:
    """A command with a log."""
    return CliRunner().invoke(main, list(map(str, words)), env={"STORE_URL": url})


def test_every_command_works_with_a_log(tmp_path: Path, log_url: str) -> None:
    """What one host writes, the commands of another read; a data folder need not be there."""
    table = tmp_path / "balls.csv"
    assert run(log_url, "demo", "--data", tmp_path / "one").exit_code == 0
    other = ("--data", tmp_path / "other")
    assert "272 balls" in run(log_url, "books", *other).output
    assert "settled" in run(log_url, "card", "--book", "demo", *other).output
    assert run(log_url, "fits", "--carry", "60", "--book", "demo", *other).exit_code == 0
    assert run(log_url, "leave", "--book", "demo", *other).exit_code == 0
    table.write_text("made_at,bucket,club,swing,carry,contact\n2025-05-01T09:40:00Z,one,56,9:00,54,clean\n")
    assert run(log_url, "import", table, "--book", "new", *other).exit_code == 0
    assert run(log_url, "full", "--club", "56", "--carry", "85", "--book", "new", *other).exit_code == 0
    assert "1 balls" in run(log_url, "books", "--data", tmp_path / "one").output
    assert run(log_url, "clinic", "--starts", "3", *other).exit_code == 0
    assert "0 of 3" in run(log_url, "clinics", "--data", tmp_path / "one").output
    with open_directory(tmp_path / "one", store_url=log_url) as directory:
        demo = directory.book_of_alias("demo")
    assert run(log_url, "delete", demo, "--yes", *other).exit_code == 0
    assert demo not in run(log_url, "books", "--data", tmp_path / "one").output


def test_hosts_share_one_secret(tmp_path: Path, log_url: str) -> None:
    told = [settings({"DATA": tmp_path / name, "STORE_URL": log_url}, {})["SECRET_KEY"] for name in ("one", "other")]
    assert told[0] == told[1]
    assert len(told[0]) == 64
    assert not (tmp_path / "one" / "secret").exists()
    assert kept_secret(tmp_path / "one", make=False) == ""


def findings(folder: Path, url: str, **more: str) -> dict[str, tuple[bool, str]]:
    """What the doctor says of a host, by what it looked at."""
    environment = {"STORE_URL": url, **more}
    found = examine(folder, None, datetime.now(UTC), environment)
    return {one.what: (one.well, one.words) for one in found}


def test_the_doctor_looks_at_the_log_and_changes_nothing(tmp_path: Path, log_url: str, cluster: Cluster) -> None:
    host = tmp_path / "host"
    host.mkdir(mode=0o700)
    before = findings(host, log_url)
    assert before["log"][0]
    assert "no tables yet" in before["log"][1]
    with psycopg.connect(log_url) as owner:
        assert owner.execute("SELECT to_regclass('told')").fetchone() == (None,)
    assert run(log_url, "demo", "--data", host).exit_code == 0
    found = findings(host, log_url)
    assert "1 books" in found["log"][1]
    assert found["log's clock"][0]
    assert found["log's commits"][0]
    assert not found["limits"][0]
    assert "CLOCKYARD_LIMITS_STORAGE" in found["limits"][1]
    assert findings(host, log_url, CLOCKYARD_LIMITS_STORAGE="redis://cache.example")["limits"][0]
    assert "journal" not in found
    well, words = findings(host, log_url, CLOCKYARD_JOURNAL=str(tmp_path))["journal"]
    assert not well
    assert "not used with STORE_URL" in words


def test_the_doctor_sees_commits_that_wait_for_nothing(tmp_path: Path, log_url: str) -> None:
    with psycopg.connect(log_url, autocommit=True) as owner:
        owner.execute("ALTER ROLE CURRENT_USER IN DATABASE " + owner.info.dbname + " SET synchronous_commit = off")
    well, words = findings(tmp_path, log_url)["log's commits"]
    assert not well
    assert "synchronous_commit" in words


def test_the_numbers_tell_of_the_log(tmp_path: Path, log_url: str) -> None:
    app = create_app({"DATA": tmp_path / "host", "STORE_URL": log_url, "TESTING": True})
    assert run(log_url, "demo", "--data", tmp_path / "host").exit_code == 0
    text = app.test_client().get("/metrics").get_data(as_text=True)
    assert "clockyard_open_books 1.0" in text
    assert "clockyard_directory_usable 1.0" in text
    appended = next(line for line in text.splitlines() if line.startswith('clockyard_log{what="appended"}'))
    assert float(appended.split()[1]) >= 293


def test_a_restore_says_where_the_books_lie(tmp_path: Path, log_url: str) -> None:
    told = run(log_url, "restore", tmp_path, "--data", tmp_path / "host")
    assert (told.exit_code, "Nothing was changed: the books lie in the log" in told.output) == (1, True)


COMMANDS = (("books",), ("card",), ("doctor",), ("serve", "--port", "1"), ("move-out", "nowhere"))


@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
def test_a_log_that_cannot_be_reached_is_said_in_words(
    tmp_path: Path, cluster: Cluster, words: tuple[str, ...]
) -> None:
    wrong = {
        "no address": "STORE_URL is no address",
        "postgresql://127.0.0.1:1/clockyard": "cannot be reached",
        cluster.url(password="another"): "password authentication failed",
        cluster.url("no_such_database"): "does not exist",
    }
    for url, said in wrong.items():
        told = run(url, *words, "--data", tmp_path)
        assert (told.exit_code, said in told.output) == (1, True), told.output
        assert "another" not in told.output


def test_a_later_log_is_left_alone(tmp_path: Path, log_url: str) -> None:
    assert run(log_url, "demo", "--data", tmp_path / "host").exit_code == 0
    with psycopg.connect(log_url, autocommit=True) as owner:
        owner.execute("UPDATE told SET value = '999' WHERE name = 'version'")
    later = f"{log_url}?application_name=later"  # another line: this process has seen that one's tables
    for words in (("books",), ("serve", "--port", "1"), ("doctor",)):
        told = run(later, *words, "--data", tmp_path / "host")
        assert (told.exit_code, "newer version" in told.output) == (1, True), told.output


def test_other_tables_are_left_alone(tmp_path: Path, log_url: str) -> None:
    with psycopg.connect(log_url, autocommit=True) as owner:
        owner.execute("CREATE TABLE told (name text, value text)")
    told = run(log_url, "books", "--data", tmp_path / "host")
    assert (told.exit_code, "other tables" in told.output) == (1, True), told.output
