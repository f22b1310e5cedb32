"""Book files: made by several processes at once, migrated, damaged, filled to the brim, deleted."""

import json
import sqlite3
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from uuid import UUID

import pytest
from sqlite_utils import Database

from tests import factories as make
from tests.factories import NOW
from webapp.store import migrations, reading
from webapp.store.book import VERSION, Book
from webapp.store.connect import DamagedFile, StoreFull
from webapp.store.directory import VERSION as DIRECTORY_VERSION
from webapp.store.directory import Directory, hash_of
from webapp.store.faults import BusyFile, NewerFile, look_at_header

OPEN_AND_ADD = """
import json, sys
from pathlib import Path
from webapp.store.book import Book
print("waiting", flush=True)
sys.stdin.readline()
with Book(Path(sys.argv[1])) as book:
    for fact in json.loads(sys.argv[2]):
        assert book.add([fact], None, sys.argv[3]).refused == []
"""

MAKE_WHERE_FILES_MUST_BE_SMALL = """
import resource, sys
from pathlib import Path
from webapp.store.connect import make
from webapp.store.faults import BusyFile
resource.setrlimit(resource.RLIMIT_FSIZE, (50_000, 50_000))
try:
    make(Path(sys.argv[1]), "book", int(sys.argv[2]))
except BusyFile as fault:
    print(fault)
"""

GROW_AND_CLOSE = """
import sqlite3, sys
for n in range(400):
    conn = sqlite3.connect(sys.argv[1], isolation_level=None)
    conn.execute("PRAGMA journal_mode=WAL")
    conn.execute("CREATE TABLE IF NOT EXISTS facts (body)")
    with conn:
        conn.execute("BEGIN")
        conn.executemany("INSERT INTO facts VALUES (zeroblob(?))", [(5000,)] * 40)
    conn.close()
    if not n:
        print("begun", flush=True)
"""


def test_four_processes_that_open_a_fresh_book_at_once_all_get_their_facts_in(tmp_path: Path) -> None:
    path = tmp_path / "fresh.sqlite"
    batches = [[make.raw("note", {"words": f"{process} {place}"}) for place in range(5)] for process in range(4)]
    processes = [
        subprocess.Popen(
            [sys.executable, "-c", OPEN_AND_ADD, str(path), json.dumps(batch), NOW],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for batch in batches
    ]
    for process in processes:
        assert process.stdout
        assert process.stdout.readline() == "waiting\n"
    for process in processes:
        assert process.stdin
        process.stdin.write("go\n")
        process.stdin.flush()
    for process in processes:
        said = process.communicate(timeout=60)
        assert process.returncode == 0, said
    with Book(path) as book:
        assert {fact["body"]["words"] for fact in book.after(0)} == {
            fact["body"]["words"] for batch in batches for fact in batch
        }


def an_old_book(path: Path) -> list[str]:
    """A file as the first version left it, with rows that are awkward; gives their ids."""
    conn = sqlite3.connect(path, isolation_level=None)
    migrations.book.apply(Database(conn, execute_plugins=False), stop_before="m002_derived")
    bucket, club = make.a_bucket(), make.a_club("Ünï 56", 56.0)
    shot, lost = make.a_shot(bucket, club), make.a_shot(bucket, club)
    orphan = make.corrected(make.a_shot(bucket, club, 61), aside=True)  # a correction whose root never came
    rows = [make.voided(lost), bucket, club, shot, orphan, lost, make.raw("note", {"words": "'; DROP TABLE facts--"})]
    for fact in rows:
        ids = [UUID(fact[name]).bytes for name in ("id", "root")]
        values = (*ids, fact["kind"], fact["made_at"], NOW, json.dumps(fact["body"], sort_keys=True))
        conn.execute("INSERT INTO facts (id, root, kind, made_at, received_at, body) VALUES (?, ?, ?, ?, ?, ?)", values)
    conn.close()
    return [fact["id"] for fact in rows]


def test_a_book_of_an_earlier_version_is_brought_up_to_date_with_every_fact(tmp_path: Path) -> None:
    path = tmp_path / "old.sqlite"
    ids = an_old_book(path)
    with Book(path) as book:
        assert [fact["id"] for fact in book.after(0)] == ids
        assert [club.name for club in reading.clubs(book)] == ["Ünï 56"]
        assert sorted(ball["aside"] for ball in reading.shots(book)) == [False, True]
        assert book.add([make.a_club("51")], None, NOW).refused == []


def test_eight_that_open_an_old_book_at_once_all_find_its_balls(tmp_path: Path) -> None:
    path = tmp_path / "old.sqlite"
    an_old_book(path)

    def balls(_: int) -> int:
        with Book(path) as book:
            return len(reading.shots(book))

    with ThreadPoolExecutor(8) as openers:
        assert list(openers.map(balls, range(8))) == [2] * 8


def test_a_file_that_another_process_grows_and_closes_is_never_called_damaged(tmp_path: Path) -> None:
    """Each closing copies the log into the file, first its head and then the pages that the head tells of."""
    path = tmp_path / "grown.sqlite"
    with subprocess.Popen([sys.executable, "-c", GROW_AND_CLOSE, str(path)], stdout=subprocess.PIPE) as process:
        assert process.stdout
        process.stdout.readline()
        looks = 0
        while process.poll() is None:
            look_at_header(path, VERSION)
            looks += 1
    assert process.returncode == 0
    assert looks > 100


def test_a_book_whose_bringing_up_fails_stays_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "old.sqlite"
    ids = an_old_book(path)
    with sqlite3.connect(path, isolation_level=None) as conn:
        conn.execute("UPDATE facts SET body = 'no JSON' WHERE kind = 'note'")
    with pytest.raises(DamagedFile, match="a fact cannot be read"):
        Book(path)
    tables = {row[0] for row in conn.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    assert "facts" in tables
    assert "shots" not in tables
    conn.execute("UPDATE facts SET body = '{\"words\": \"mended\"}' WHERE kind = 'note'")
    conn.close()
    with Book(path) as book:
        assert [fact["id"] for fact in book.after(0)] == ids
        assert len(reading.shots(book)) == 2


def test_a_read_only_book_is_brought_up_to_date_first(tmp_path: Path) -> None:
    path = tmp_path / "old.sqlite"
    ids = an_old_book(path)
    with Book(path, read_only=True) as book:
        assert len(book.after(0)) == len(ids)
        assert reading.settings(book)["unit"] == "yd"


def test_a_file_tells_its_version_which_is_the_number_of_its_steps(tmp_path: Path, book: Book) -> None:
    with Directory(tmp_path / "fresh") as directory:
        for conn, version in ((book.conn, VERSION), (directory.conn, DIRECTORY_VERSION)):
            steps = conn.execute("SELECT COUNT(*) FROM _sqlite_migrations").fetchone()[0]
            assert conn.execute("PRAGMA user_version").fetchone()[0] == version == steps


def test_a_book_that_is_up_to_date_but_does_not_tell_so_keeps_its_rows(tmp_path: Path, book: Book) -> None:
    bucket, club = make.a_bucket(), make.a_club()
    book.add([bucket, club, make.a_shot(bucket, club)], None, NOW)
    book.conn.execute("PRAGMA user_version=0")
    with Book(book.path) as again:
        assert len(reading.shots(again)) == 1
        assert again.conn.execute("PRAGMA user_version").fetchone()[0] == VERSION


def test_a_backup_tells_the_version_of_its_book(tmp_path: Path, book: Book) -> None:
    book.copy_to(tmp_path / "copy.sqlite")
    with closing(sqlite3.connect(tmp_path / "copy.sqlite")) as conn:
        assert conn.execute("PRAGMA user_version").fetchone()[0] == VERSION


@pytest.mark.parametrize("content", [b"no database at all" * 100, b"SQLite format 3\x00" + b"\xff" * 5000])
def test_a_file_that_is_no_book_is_told_apart_and_left_untouched(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "damaged.sqlite"
    path.write_bytes(content)
    with pytest.raises(DamagedFile):
        Book(path)
    assert path.read_bytes() == content


@pytest.mark.files_only
def test_a_book_with_a_damaged_page_is_refused_and_takes_no_other_down(directory: Directory) -> None:
    damaged_id, whole_id = directory.new_book(NOW), directory.new_book(NOW)
    with directory.open_book(damaged_id) as book:
        book.add([make.raw("note", {"words": "x" * 300}) for _ in range(200)], None, NOW)
        book.conn.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    path = directory.book_path(damaged_id)
    content = bytearray(path.read_bytes())
    content[8 * 4096 : 40 * 4096] = b"\xa5" * (32 * 4096)
    # Put in place as another file, as a restore does it, so that the check at first opening is made again.
    path.with_name("other").write_bytes(bytes(content))
    path.with_name("other").rename(path)
    with pytest.raises(DamagedFile):
        directory.open_book(damaged_id)
    assert path.read_bytes() == bytes(content)
    with directory.open_book(whole_id) as book:
        assert book.add([make.a_club()], None, NOW).refused == []


def test_a_full_disk_takes_no_part_of_a_batch_and_loses_nothing(book: Book) -> None:
    bucket, club = make.a_bucket(), make.a_club()
    book.add([bucket, club, make.a_shot(bucket, club)], None, NOW)
    pages = book.conn.execute("PRAGMA page_count").fetchone()[0]
    book.conn.execute(f"PRAGMA max_page_count={pages + 2}")
    batch = [make.raw("note", {"words": "w" * 400}) for _ in range(400)]
    with pytest.raises(StoreFull):
        book.add(batch, None, NOW)
    assert book.cursor == 3
    assert len(reading.shots(book)) == 1
    book.conn.execute("PRAGMA max_page_count=1000000")
    assert len(book.add(batch, None, NOW).taken) == 400


def test_a_book_lives_on_after_its_writer_is_killed_in_mid_batch(tmp_path: Path) -> None:
    path = tmp_path / "killed.sqlite"
    with Book(path) as book:
        book.add([make.a_club()], None, NOW)
    dies = (
        "import os, signal, sys\nfrom pathlib import Path\nfrom webapp.store.book import Book\n"
        "from webapp.store import derived\nfrom tests import factories as make\n"
        "derived.refresh = lambda *_: os.kill(os.getpid(), signal.SIGKILL)  # the facts are in, their rows are not\n"
        "Book(Path(sys.argv[1])).add([make.a_club('51')], None, make.NOW)\n"
    )
    root = Path(__file__).parents[2]
    done = subprocess.run([sys.executable, "-c", dies, str(path)], cwd=root, timeout=60, check=False)
    assert done.returncode == -9
    with Book(path) as book:
        assert [club.name for club in reading.clubs(book)] == ["56"]
        assert book.add([make.a_club("51")], None, NOW).refused == []


def test_a_book_that_another_process_holds_is_not_called_damaged(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "held.sqlite"
    Book(path).close()
    monkeypatch.setattr("webapp.store.connect._BUSY_MS", 50)
    holder = sqlite3.connect(path, isolation_level=None)
    holder.execute("PRAGMA locking_mode=EXCLUSIVE")
    holder.execute("BEGIN EXCLUSIVE")
    with pytest.raises(BusyFile, match="locked"):
        Book(path)
    holder.execute("ROLLBACK")
    holder.close()
    with Book(path) as book:
        assert book.add([make.a_club()], None, NOW).refused == []


def steps_of(kind: str) -> list[str]:
    """The landed steps of a book or a directory."""
    with closing(sqlite3.connect(":memory:")) as conn:
        return [step.name for step in getattr(migrations, kind).pending(Database(conn, execute_plugins=False))]


def a_file_before(path: Path, kind: str, step: str) -> sqlite3.Connection:
    """A file as the program left it that did not know a step yet."""
    conn = sqlite3.connect(path, isolation_level=None)
    getattr(migrations, kind).apply(Database(conn, execute_plugins=False), stop_before=step)
    conn.execute(f"PRAGMA user_version={steps_of(kind).index(step)}")
    return conn


@pytest.mark.parametrize("step", steps_of("book")[1:])
def test_a_book_of_every_landed_version_is_brought_up_to_date_with_every_fact(tmp_path: Path, step: str) -> None:
    path = tmp_path / "old.sqlite"
    bucket, club = make.a_bucket(), make.a_club()
    facts = [bucket, club, *(make.a_shot(bucket, club) for _ in range(3))]
    with closing(a_file_before(path, "book", step)) as conn:
        conn.executemany(
            "INSERT INTO facts (id, root, kind, made_at, received_at, body) VALUES (?, ?, ?, ?, ?, ?)",
            [
                (
                    UUID(one["id"]).bytes,
                    UUID(one["root"]).bytes,
                    one["kind"],
                    one["made_at"],
                    NOW,
                    json.dumps(one["body"]),
                )
                for one in facts
            ],
        )
    with Book(path) as book:
        assert [one["id"] for one in book.after(0)] == [one["id"] for one in facts]
        assert len(reading.shots(book)) == 3
        assert book.conn.execute("PRAGMA user_version").fetchone()[0] == VERSION


@pytest.mark.parametrize("step", steps_of("directory")[1:])
def test_a_directory_of_every_landed_version_keeps_every_way_in(tmp_path: Path, step: str) -> None:
    (tmp_path / "books").mkdir()
    with closing(a_file_before(tmp_path / "directory.sqlite", "directory", step)) as conn:
        conn.execute("INSERT INTO books (id, created_at) VALUES ('one', ?)", (NOW,))
        conn.execute("INSERT INTO devices VALUES (?, x'01', 'one', 'phone', ?, ?, NULL)", (hash_of("secret"), NOW, NOW))
        conn.execute("INSERT INTO codes VALUES (?, 'one', 'recovery', ?, NULL)", (hash_of("SHEET"), NOW))
    with Directory(tmp_path) as directory:
        device = directory.device("secret")
        assert device
        assert device.book_id == "one"
        assert directory.use_code("SHEET", NOW) == "one"
        assert directory.conn.execute("PRAGMA user_version").fetchone()[0] == DIRECTORY_VERSION


@pytest.mark.parametrize("version", [VERSION + 1, 99])
def test_a_book_of_a_later_program_is_refused_and_not_touched(tmp_path: Path, version: int) -> None:
    path = tmp_path / "newer.sqlite"
    with Book(path) as book:
        book.add([make.a_club()], None, NOW)
        book.conn.execute(f"PRAGMA user_version={version}")
    content, beside = path.read_bytes(), sorted(tmp_path.iterdir())
    with pytest.raises(NewerFile, match=f"version {version}"):
        Book(path)
    assert (path.read_bytes(), sorted(tmp_path.iterdir())) == (content, beside)


def test_a_new_book_has_its_log_before_it_is_opened(tmp_path: Path) -> None:
    with Directory(tmp_path) as directory:
        path = directory.book_path(directory.new_book(NOW))
        assert path.read_bytes()[18:20] == b"\2\2"  # SQLite, "Database File Format", 1.3.3
        with closing(sqlite3.connect(path)) as conn:
            assert conn.execute("PRAGMA journal_mode").fetchone() == ("wal",)
            assert conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def test_a_book_that_the_system_does_not_let_be_written_is_none_and_leaves_nothing(tmp_path: Path) -> None:
    words = [sys.executable, "-c", MAKE_WHERE_FILES_MUST_BE_SMALL, str(tmp_path / "new.sqlite"), str(VERSION)]
    done = subprocess.run(words, capture_output=True, text=True, check=True)
    assert "File too large" in done.stdout
    assert list(tmp_path.iterdir()) == []


def test_an_empty_file_is_damage_and_never_a_new_book(tmp_path: Path) -> None:
    path = tmp_path / "empty.sqlite"
    path.touch()
    with pytest.raises(DamagedFile, match="empty"):
        Book(path)
    assert path.read_bytes() == b""


def test_a_database_without_facts_is_no_book(tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / "other.sqlite")) as conn:
        conn.execute("CREATE TABLE songs (name TEXT)")
    with pytest.raises(DamagedFile, match="no table of a book"):
        Book(tmp_path / "other.sqlite")
