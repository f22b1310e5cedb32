"""The commands of a server's owner: the environment file, backups, restores and a doctor that changes nothing."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tests.factories import NOW
from tests.faults import disks
from webapp.cli import main
from webapp.moments import moved, text_of
from webapp.store.directory import DIRECTORY, Directory

from .conftest import Command

pytestmark = pytest.mark.files_only  # what is kept of a log: tests/many_hosts/test_commands_with_a_log.py


def run(*words: object) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


@pytest.fixture
def env_file(data: Path, tmp_path: Path) -> Path:
    """A file of settings, as the service has it, that names the data folder."""
    path = tmp_path / "clockyard.env"
    path.write_text(f"# where the books lie\n\nCLOCKYARD_DATA={data}\nCLOCKYARD_BEHIND_PROXY=1\n")
    return path


@contextmanager
def somewhere_else(folder: Path) -> Iterator[None]:
    """Work in a folder that has nothing to do with the data."""
    before = Path.cwd()
    folder.mkdir()
    os.chdir(folder)
    try:
        yield
    finally:
        os.chdir(before)


def state(folder: Path) -> dict[str, tuple[int, bytes]]:
    return {
        str(path.relative_to(folder)): (path.stat().st_mode, path.read_bytes() if path.is_file() else b"")
        for path in sorted(folder.rglob("*"))
    }


def test_a_backup_takes_the_folder_from_the_environment_file(
    clockyard: Command, env_file: Path, tmp_path: Path
) -> None:
    clockyard("demo")
    with somewhere_else(tmp_path / "elsewhere"):
        done = run("backup", tmp_path / "copy", "--env", env_file)
    assert (done.exit_code, "Copied 1 book to" in done.stdout) == (0, True), done.output
    assert "293 facts" in run("restore-check", tmp_path / "copy").stdout


def test_the_services_own_file_is_read_when_none_is_named(
    clockyard: Command, env_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    clockyard("demo")
    monkeypatch.setattr("webapp.cli.options.SERVICE_FILE", env_file)
    with somewhere_else(tmp_path / "elsewhere"):
        assert run("backup", tmp_path / "copy").exit_code == 0
        assert run("card").exit_code == 1


@pytest.mark.parametrize("command", [("backup", "copy"), ("books",), ("card",), ("doctor",)])
def test_a_folder_without_books_is_refused_and_not_made(tmp_path: Path, command: tuple[str, ...]) -> None:
    done = run(*command, "--data", tmp_path / "nothing")
    assert done.exit_code == 1
    assert "Traceback" not in done.output
    assert not (tmp_path / "nothing").exists()


def test_restore_check_refuses_a_folder_without_a_directory(tmp_path: Path) -> None:
    (tmp_path / "copy").mkdir()
    assert run("restore-check", tmp_path / "copy").exit_code == 1


def test_an_environment_file_that_is_not_there_is_said(tmp_path: Path) -> None:
    done = run("backup", tmp_path / "copy", "--env", tmp_path / "no.env")
    assert done.exit_code == 1
    assert "cannot be read" in done.output


def test_what_is_wrong_with_a_book_stands_in_its_own_line(clockyard: Command, data: Path) -> None:
    clockyard("demo")
    path = next((data / "books").glob("*.sqlite"))
    content = bytearray(path.read_bytes())
    content[8 * 4096 : 9 * 4096] = bytes(4096)  # of such a page SQLite says over two lines that it is none
    other = path.with_name("other")
    other.write_bytes(content)
    other.replace(path)  # a new file, so that this process looks it over again
    (line,) = clockyard("books").stdout.splitlines()
    assert line.startswith(f"demo\t{path.stem}\tdamaged (*** in database main *** Page 9: ")


def test_a_restore_says_what_it_did_and_lets_the_doctor_look(clockyard: Command, data: Path, tmp_path: Path) -> None:
    clockyard("demo")
    clockyard("backup", tmp_path / "copy")
    with Directory(data) as directory:
        book_id = directory.book_of_alias("demo")
        assert book_id
        directory.delete_book(book_id, NOW)
    done = clockyard("restore", tmp_path / "copy")
    assert done.exit_code == 0, done.output
    assert "Closed again: a book was deleted" in done.stdout
    assert f"The folder as it was before lies in {data}.before-" in done.stdout
    assert "ok   disk" in done.stdout
    assert "BAD" not in done.stdout
    assert clockyard("doctor").exit_code == 0
    assert "demo" not in clockyard("books").stdout


def test_a_restore_says_nothing_of_what_was_begun_and_closed_since_the_backup(
    clockyard: Command, data: Path, tmp_path: Path
) -> None:
    clockyard("demo")
    clockyard("backup", tmp_path / "copy")
    with Directory(data) as directory:
        directory.delete_book(directory.new_book(NOW), NOW)
    assert "Nothing that this backup holds open was closed since." in clockyard("restore", tmp_path / "copy").stdout


def test_a_backup_without_a_damaged_book_names_it_and_can_be_put_back(
    clockyard: Command, data: Path, tmp_path: Path
) -> None:
    clockyard("demo")
    with Directory(data) as directory:
        damaged = directory.new_book(NOW)
    directory.book_path(damaged).write_bytes(b"")
    done = clockyard("backup", tmp_path / "copy")
    assert done.exit_code == 1
    assert f"lacks these books, so do not rely on it for them: {damaged}.sqlite: " in done.output
    looked = clockyard("restore-check", tmp_path / "copy")
    assert (looked.exit_code, f"{damaged}.sqlite\tLEFT OUT" in looked.stdout) == (1, True)
    assert "1 of the books cannot be restored from this copy; all others can." in looked.output
    data.rename(tmp_path / "lost")
    done = clockyard("restore", tmp_path / "copy")
    assert (done.exit_code, f"{damaged} is not in this copy" in done.stdout) == (0, True), done.output
    assert "now holds 1 book and 293 facts" in done.stdout
    assert "BAD  backup" in done.stdout  # of the restored folder no copy holds every book
    assert clockyard("card", "--book", "demo").exit_code == 0


def test_a_restore_without_a_journal_says_that_it_ended_everything(
    clockyard: Command, data: Path, tmp_path: Path
) -> None:
    clockyard("demo")
    clockyard("backup", tmp_path / "copy")
    (tmp_path / "copy").rename(tmp_path / "moved")
    data.rename(tmp_path / "lost")
    done = clockyard("restore", tmp_path / "moved")
    assert done.exit_code == 0, done.output
    assert "every coach link, every recovery sheet and every other code was ended" in done.stdout


def test_the_doctor_changes_no_file(clockyard: Command, data: Path) -> None:
    clockyard("demo")
    before = state(data)
    assert clockyard("doctor").exit_code == 0
    assert state(data) == before
    assert not (data / "secret").exists()


def test_the_doctor_complains_of_a_folder_or_book_that_others_can_read(clockyard: Command, data: Path) -> None:
    clockyard("demo")
    book = next((data / "books").glob("*.sqlite"))
    for path, mode in ((book, 0o644), (data, 0o755)):
        sound = path.stat().st_mode
        path.chmod(mode)
        done = clockyard("doctor")
        assert (done.exit_code, "BAD  permissions" in done.stdout) == (1, True)
        path.chmod(sound)
    assert clockyard("doctor").exit_code == 0


@pytest.mark.skipif(os.geteuid() != 0, reason="only root can give a file to somebody else")
def test_the_doctor_finds_a_file_that_the_service_does_not_own(clockyard: Command, data: Path) -> None:
    clockyard("demo")
    os.chown(next((data / "books").glob("*.sqlite")), 65534, 65534)
    done = clockyard("doctor")
    assert (done.exit_code, "BAD  owner" in done.stdout) == (1, True)


def test_the_doctor_finds_a_disk_that_takes_no_writing(clockyard: Command, data: Path, tmp_path: Path) -> None:
    if not disks.may_mount(tmp_path / "mounted"):
        pytest.skip("no disk may be mounted here")
    clockyard("demo")
    with disks.read_only(data):
        done = clockyard("doctor")
    assert (done.exit_code, f"BAD  disk: {data} takes no writing" in done.stdout) == (1, True), done.stdout
    assert clockyard("doctor").exit_code == 0


def test_the_doctor_names_a_setting_that_is_none(clockyard: Command, env_file: Path) -> None:
    clockyard("demo")
    with env_file.open("a") as file:
        file.write("CLOCKYARD_JOIN_COD=wedge\nCLOCKYARD_COLOUR=red\n")
    done = run("doctor", "--env", env_file)
    words = "CLOCKYARD_COLOUR is no setting; CLOCKYARD_JOIN_COD is no setting (CLOCKYARD_JOIN_CODE?)"
    assert (done.exit_code, f"BAD  settings: {words}" in done.stdout) == (1, True), done.stdout


def test_the_doctor_tells_a_failed_and_an_overdue_backup(clockyard: Command, data: Path, tmp_path: Path) -> None:
    now = text_of(datetime.now(UTC))
    with Directory(data) as directory:
        directory.new_book(moved(now, days=-9))
        assert "BAD  backup: overdue: none was ever taken" in clockyard("doctor").stdout
        directory.note_backup(moved(now, days=-3), "", str(tmp_path), {})
        assert "BAD  backup: overdue: the last whole one" in clockyard("doctor").stdout
        directory.note_backup(now, "", str(tmp_path), {})
        assert "ok   backup" in clockyard("doctor").stdout
        directory.note_backup(now, "the disk is full", str(tmp_path), {})
    done = clockyard("doctor")
    assert "failed: the disk is full" in done.stdout
    assert done.exit_code == 1


def test_a_newer_directory_is_refused_by_every_command_in_words(clockyard: Command, data: Path) -> None:
    clockyard("demo")
    with Directory(data) as directory:
        directory.conn.execute("PRAGMA user_version=99")
    content = (data / DIRECTORY).read_bytes()
    for command in ("books", "card", "doctor"):
        done = clockyard(command)
        assert done.exit_code == 1
        assert "written by a newer version" in done.output
    assert (data / DIRECTORY).read_bytes() == content


def test_no_backup_is_overdue_before_its_time(clockyard: Command, data: Path) -> None:
    with Directory(data) as directory:
        directory.new_book(text_of(datetime.now(UTC) - timedelta(hours=1)))
    assert "ok   backup: none was taken yet" in clockyard("doctor").stdout
